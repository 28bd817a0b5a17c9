"""Names and notes that a terminal, a spreadsheet or a file system might obey."""

import csv
import io
import json
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner
from folders import write_folder
from mutants import HOSTILE

from propsched.cli.main import cli
from propsched.errors import ExitCode
from propsched.files.read import read_season
from propsched.report.machine import as_csv
from propsched.report.words import clean

TODAY = ("--today", "2026-11-10")
FEW = ("--winters", "1")
NASTY = (
    "=cmd|' /C calc'!A0 \x1b[31mred\x1b[0m\x9b2J\x07 ../../x \u202egnp.exe\u200f "
    "<script>alert(1)</script>\u2028[bold]x[/]"
)
NAME = "=cmd|' /C calc'!A0  ../../x \u202egnp.exe\u200f <b>[bold]x[/]</b> %s{0}"
"""Names of batches and spaces may have no control characters; the rest they may."""
FORMULAE = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""Beginnings that a spreadsheet obeys: OWASP, "CSV Injection"."""


@pytest.mark.parametrize("text", HOSTILE)
def test_what_is_shown_has_nothing_to_obey(text: str) -> None:
    """Controls, format characters and breaks of lines, by Unicode's categories."""
    shown = clean(text)
    found = {unicodedata.category(c) for c in shown.replace("\u200d", "")}
    assert not found & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert "\n" not in shown


@pytest.mark.parametrize("text", HOSTILE)
def test_no_cell_of_a_table_begins_a_formula(text: str) -> None:
    (row,) = csv.DictReader(io.StringIO(as_csv(("a", "b"), [{"a": text, "b": -1.5}])))
    assert not row["a"].startswith(FORMULAE)
    assert row["b"] == "-1.5"  # a number stays one
    assert clean(text).lstrip() in row["a"]


def test_joiners_that_spelling_needs_are_kept() -> None:
    """Persian for "I want", with the joiner that Unicode 15, 9.2 calls for."""
    assert clean("می\u200cخواهم") == "می\u200cخواهم"


@pytest.fixture
def season(tmp_path: Path, tiny_table: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A season whose batch, space, probe and notes are all called that."""
    monkeypatch.chdir(tmp_path)
    toml = f"""\
format = 1
[season]
name = {json.dumps(NASTY)}
start = 2026-11-01
end = 2027-05-31
[site]
latitude = 53.0
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]
[work]
days = ["sat", "sun"]
[heat]
currency = {json.dumps(NASTY)}
[[probe]]
id = {json.dumps(NAME)}
[[space]]
id = {json.dumps(NAME)}
kind = "windowsill"
area_m2 = 0.5
room_c = 18
"""
    note = NASTY.replace('"', '""')
    return write_folder(
        tmp_path / "season",
        season_toml=toml,
        batches_csv=(
            "batch,crop,variety,method,wanted,wanted_by,note\n"
            f'"{NAME}",leek,"{note}",seed,40,2027-05-15,"{note}"\n'
        ),
        readings_csv=None, daybook_csv=None, pins_csv=None, history_csv=None,
        crops_csv=f'crop,method,stage,figure,value,note\nleek,seed,start,base_c,2,"{note}"\n',
    )  # fmt: skip


LINES = (
    ("check",),
    ("temps", *FEW),
    ("where", "leek", *FEW, "--explain"),
    ("plan", *FEW, "--time-limit", "1", "--explain"),
    ("plan", *FEW, "--time-limit", "1", "--no-save", "--format", "csv"),
    ("plan", *FEW, "--time-limit", "1", "--no-save", "--format", "json"),
    ("jobs",),
    ("jobs", "--format", "csv"),
    ("jobs", "--format", "json"),
    ("temps", *FEW, "--format", "csv"),
    ("temps", *FEW, "--format", "json"),
    ("tonight", *FEW),
    ("note", "sown", "{name}", "12", "--space", "{name}", "--note", "{note}"),
    ("note", "reading", "{name}", "9.5", "--note", "{note}"),
    ("note", "sown", "\udcff{name}"),
    ("check", "--format", "json"),
    ("lookback",),
    ("lookback", "--format", "json"),
    ("lookback", "--html", "out/back.html"),
    ("export", *FEW, "--html", "out/s.html", "--csv", "out", "--svg", "out"),
)


def test_every_answer_about_hostile_names_is_inert(
    season: Path, tmp_path: Path
) -> None:
    for name, *rest in LINES:
        words = [word.replace("{name}", NAME).replace("{note}", NASTY) for word in rest]
        run = CliRunner().invoke(cli, [name, str(season), *TODAY, *words])
        wanted = ExitCode.BAD_INPUT if "\udcff" in "".join(words) else ExitCode.DONE
        assert run.exit_code == wanted, (name, run.output)
        said = run.stdout + run.stderr
        found = {c for c in said if unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp")}
        assert found <= {"\n"}, (name, words, found)
        if "csv" in words:
            cells = [
                cell for row in csv.reader(io.StringIO(run.stdout)) for cell in row
            ]
            texts = [cell for cell in cells if not _number(cell)]
            assert name == "jobs" or any("cmd|" in text for text in texts)
            assert not [text for text in texts if text.startswith(FORMULAE)]
        if "json" in words and name == "plan":
            assert json.loads(run.stdout)["season"] == NASTY, "escaped, not altered"
    # nothing went up two folders, or into one that a name made up
    assert {path.name for path in tmp_path.iterdir()} == {"season", "out"}
    assert all(path.is_file() for path in (tmp_path / "out").iterdir())
    tables = list((tmp_path / "out").glob("*.csv"))
    assert len(tables) > 1
    for path in tables:
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            texts = [cell for cell in row if not _number(cell)]
            assert not [text for text in texts if text.startswith(FORMULAE)], path
    files = read_season(season)
    assert files.daybook[0].space == NAME
    assert files.readings["space"][0] == NAME


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
