"""Programs killed while they write, and two that write at once: nothing is lost."""

import os
import subprocess
import sys
import time
from pathlib import Path

import killed_writer
import pytest
from folders import write_folder

from propsched.files.disk import PART
from propsched.files.read import read_season
from propsched.files.repair import look_over
from propsched.files.write import read_plan

KILLS = int(os.environ.get("PROPSCHED_KILLS", "15"))
ROWS = int(os.environ.get("PROPSCHED_ROWS", "120"))
"""500 kills and 5,000 rows: tests/benchmarks/README.md has the figures."""
KILLS_A_FOLDER = 25
ROOT = Path(__file__).parents[2]
ENV = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'tests'}"}

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs fork and SIGKILL")


def command(*words: object) -> list[str]:
    script = str(Path(killed_writer.__file__))
    return [sys.executable, script, *(str(word) for word in words)]


def test_a_killed_writer_loses_no_row_that_it_was_told_of(tmp_path: Path) -> None:
    told, parts = 0, 0
    for first in range(0, KILLS, KILLS_A_FOLDER):
        folder = write_folder(
            tmp_path / str(first), daybook_csv=None, readings_csv=None
        )
        kills = min(KILLS_A_FOLDER, KILLS - first)
        run = subprocess.run(
            command(folder, first, kills),
            env=ENV, text=True, capture_output=True, check=True, timeout=300,
        )  # fmt: skip
        heard = [line.split() for line in run.stdout.splitlines()]
        told += len(heard)
        assert {int(child) for child, _, _ in heard} == set(range(first, first + kills))
        files = read_season(folder)  # whole: no row is cut, no file unreadable
        events = set(files.daybook)
        notes = set(files.readings["note"])
        plan = read_plan(folder)
        assert plan is not None
        assert (folder / "plan.previous.json").exists()
        for child, what, number in heard:
            of = int(child), int(number)
            if what == "event":
                assert killed_writer.event(*of) in events
            elif what == "reading":
                assert killed_writer.note(*of) in notes
            else:
                assert plan.worth >= killed_writer.worth(*of)
        parts += len(list(folder.glob(f".*{PART}")))
        assert all(one.path.suffix == PART for one in look_over(folder).changes)
    figures = f"{told} writings told, {parts} begun files left behind"
    sys.stdout.write(f"{KILLS} kills, {figures}\n")


def test_two_programs_that_write_at_once_lose_no_row(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, readings_csv=None)
    began = time.perf_counter()
    writers = [
        subprocess.Popen(command(folder, name, ROWS), env=ENV)
        for name in ("one", "other")
    ]
    assert [writer.wait(900) for writer in writers] == [0, 0]
    spent = time.perf_counter() - began
    notes = list(read_season(folder).readings["note"])
    assert sorted(notes) == sorted(
        f"{name} {number}" for name in ("one", "other") for number in range(ROWS)
    )
    sys.stdout.write(f"{len(notes)} rows in {spent:.0f} s\n")
