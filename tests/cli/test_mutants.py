"""Every command over folders that something was done to: an answer, or a refusal."""

import os
import random
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner
from folders import GOOD
from mutants import held, mutant, put

from propsched.cli.main import COMMANDS, cli
from propsched.errors import ExitCode
from propsched.files.disk import LOCK

MUTANTS = int(os.environ.get("PROPSCHED_MUTANTS_COMMANDS", "2"))
"""300 of them take some minutes: tests/benchmarks/README.md has the figures."""
LONGEST_S = 10.0
TODAY = ("--today", "2027-02-14")
SMALL = ("--winters", "1")
SEASON = """\
format = 1

[season]
name = "small"
start = 2027-02-01
end = 2027-03-31

[site]
latitude = 53.0
timezone = "Europe/Dublin"
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]

[work]
days = ["sat", "sun"]

[[probe]]
id = "kitchen"
offset_c = -0.5

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 4.0

[[space]]
id = "sill"
kind = "windowsill"
area_m2 = 0.3
room_c = 18
"""
FILES: Mapping[str, str] = {
    "season.toml": SEASON,
    "batches.csv": (
        "batch,crop,variety,method,wanted,available_from,wanted_by,priority,note\n"
        "leeks,leek,Giant,seed,40,2027-02-01,2027-03-31,3,\n"
        "salad,lettuce,,seed,12,2027-02-10,2027-03-31,2,from the tin\n"
    ),
    "weather.csv": (
        "date,tmin_c,tmax_c,kind,note\n"
        + "".join(
            f"2027-02-{d:02},{d % 5},{d % 5 + 6},observed,\n" for d in range(1, 14)
        )
        + "2027-02-14,-3,2,forecast,frost\n"
    ),
    "readings.csv": (
        "time,space,depth_cm,temp_c,probe,note\n"
        "2027-02-02 08:00,border,8,3.5,kitchen,\n"
        "2027-02-02 08:10,sill,,17.5,,\n"
    ),
    "daybook.csv": (
        "time,batch,event,space,count,note\n"
        "2027-02-07 10:00,leeks,sown,sill,60,\n2027-02-13,leeks,lost,,3,slugs\n"
    ),
    "pins.csv": "batch,stage,space,start\nsalad,start,sill,\n",
    "crops.csv": (
        "crop,method,stage,figure,value,note\nleek,seed,start,base_c,2.0,own\n"
    ),
}
LINES: Mapping[str, tuple[str, ...]] = {
    "new": ("new", "{folder}", *TODAY),
    "temps": ("temps", "{folder}", *TODAY, *SMALL),
    "where": ("where", "{folder}", "leek", *TODAY, *SMALL),
    "plan": ("plan", "{folder}", *TODAY, *SMALL, "--time-limit", "0.5"),
    "replan": ("replan", "{folder}", *TODAY, *SMALL, "--time-limit", "0.5"),
    "whatif": ("whatif", "{folder}", *TODAY, *SMALL, "--time-limit", "0.5"),
    "suppose": ("suppose", "{folder}", *TODAY, *SMALL, "--time-limit", "0.5"),
    "tonight": ("tonight", "{folder}", *TODAY, *SMALL),
    "compare": ("compare", "{folder}", "border", "sill", *TODAY, *SMALL),
    "export": (
        "export", "{folder}", *TODAY, *SMALL, "--html", "out/sheet.html",
        "--ics", "out/jobs.ics", "--csv", "out",
    ),
    "open": ("open", "{folder}", *TODAY, "--plain"),
    "crops": ("crops", "leek", "--season", "{folder}"),
    "note": ("note", "{folder}", "lost", "leeks", "1", *TODAY),
}  # fmt: skip
"""What is typed; a command that is not here needs the folder and the day alone."""
WRITES = {
    "plan": {"plan.json", "plan.previous.json"},
    "replan": {"plan.json", "plan.previous.json"},
    "note": {"daybook.csv"},
}
CODES = {code.value for code in ExitCode} - {ExitCode.BUG.value}


def words_for(name: str, folder: Path) -> list[str]:
    line = LINES.get(name, (name, "{folder}", *TODAY))
    return [word.format(folder=folder) for word in line]


@pytest.mark.slow
def test_every_command_answers_or_refuses(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    tiny_table: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out").mkdir()
    good = {name: text.encode() for name, text in FILES.items()}
    assert set(good) <= set(GOOD)
    run = CliRunner().invoke(cli, words_for("plan", put(tmp_path / "season", good)))
    assert run.exit_code == ExitCode.DONE, run.output
    good["plan.json"] = (tmp_path / "season" / "plan.json").read_bytes()
    draw = random.Random(2)
    longest, slowest, answered, ran = 0.0, "", 0, 0
    for number in range(MUTANTS + 1):
        files = mutant(good, draw) if number else good
        for name in COMMANDS:
            folder = put(tmp_path / "season", files)
            words = words_for(name, folder)
            began = time.perf_counter()
            run = CliRunner().invoke(cli, words)
            spent = time.perf_counter() - began
            if spent > longest:
                longest, slowest = spent, name
            what = (number, name, run.output)
            assert run.exit_code in CODES, what
            assert "Traceback" not in run.output, what
            refuses = number or name == "new"  # where there is a season already
            assert run.exit_code == ExitCode.DONE or refuses, what
            answered += run.exit_code == ExitCode.DONE
            ran += 1
            left = held(folder)
            changed = {
                one
                for one in {*left, *files} - {LOCK}
                if left.get(one) != files.get(one)
            }
            assert changed <= WRITES.get(name, set()), what
    assert {path.name for path in tmp_path.iterdir()} <= {"season", "out"}
    figures = f"{answered} answered, longest {longest:.2f} s ({slowest})"
    sys.stdout.write(f"{ran} runs, {figures}\n")
    assert longest < LONGEST_S
