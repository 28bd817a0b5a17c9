"""Jobs of a planned season, with and without a daybook."""

import shutil
import threading
from datetime import date, timedelta
from pathlib import Path

import pytest

from propsched.service.jobs import jobs
from propsched.service.planner import make_plan
from propsched.service.request import Request

ROOT = Path(__file__).resolve().parents[2]
PLANNED = date(2027, 3, 1)
STARTS = ("sow", "strike", "divide", "start")


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("jobs") / "five"
    shutil.copytree(ROOT / "examples" / "windowsill-five", folder)
    request = Request(folder=folder, today=PLANNED, winters=5)
    make_plan(request, lambda event: None, threading.Event())
    return folder


@pytest.fixture
def season(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "five"))


def note(season: Path, *rows: str) -> None:
    with (season / "daybook.csv").open("a", encoding="utf-8") as file:
        file.writelines(row + "\n" for row in rows)


def test_with_an_empty_daybook_what_was_due_counts_as_done_and_it_says_so(
    season: Path,
) -> None:
    first = jobs(season, today=PLANNED, days=90)
    assert first.notes == ()
    start = next(job for job in first.rows if job.kind in STARTS)
    later = jobs(season, today=start.date + timedelta(days=1))
    assert all(job.date > start.date for job in later.rows)
    assert len([n for n in later.notes if "counts as done" in n]) == 1


def test_with_a_daybook_in_use_a_missing_start_stays(
    season: Path,
) -> None:
    start = next(j for j in jobs(season, today=PLANNED, days=90).rows if j.batch)
    note(season, "2027-03-01 09:00,,bed-made-up,bed,,")
    later = jobs(season, today=start.date + timedelta(days=40), days=60)
    of_batch = [job for job in later.rows if job.batch == start.batch]
    assert [(job.kind, job.date) for job in of_batch] == [(start.kind, start.date)]
    assert f"was due {start.date.day} " in of_batch[0].what
    assert not any("counts as done" in n for n in later.notes)
    note(season, f"2027-03-01 10:00,{start.batch},moved,bed,,")
    wrong = jobs(season, today=start.date + timedelta(days=40), days=60)
    assert any("noted otherwise than planned – " in n for n in wrong.notes)


def test_a_file_that_was_not_there_when_it_was_planned_counts_as_changed(
    season: Path,
) -> None:
    (season / "pins.csv").write_text("batch,stage,space,start\n", encoding="utf-8")
    assert any("pins.csv changed" in n for n in jobs(season, today=PLANNED).notes)
