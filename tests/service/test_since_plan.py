"""What is noted as it was planned leaves the plan as it is; what is not does not."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from tui_season import DAYBOOK, TODAY, garden_plan, write_garden

from propsched.advice.job import DUTIES
from propsched.files.write import write_plan
from propsched.service.jobs import jobs
from propsched.service.opened import Opened, open_season
from propsched.service.since_plan import SincePlan, changed_beside, since_plan
from propsched.service.tick import tick

ROWS = DAYBOOK.count("\n") - 1


def _opened(folder: Path, *rows: str, told: bool = True) -> Opened:
    """The garden, planned this morning, and so many rows noted since."""
    write_garden(folder)
    plan = garden_plan(inputs=dict(open_season(folder, today=TODAY).files.digests))
    write_plan(folder, replace(plan, noted=ROWS if told else None))
    with (folder / "daybook.csv").open("a", encoding="utf-8") as book:
        book.writelines(f"{row}\n" for row in rows)
    return open_season(folder, today=TODAY)


def test_nothing_noted_since(tmp_path: Path) -> None:
    assert since_plan(_opened(tmp_path)) == SincePlan()


@pytest.mark.parametrize(
    "row",
    [
        # 6 March: lettuce-1 starts in the hotbed; chilli is up from 14 to 20 March
        "2027-03-06 15:00,lettuce-1,sown,hotbed,30,",
        "2027-03-06 15:00,chilli,emerged,propagator,14,",
        "2027-03-06 15:00,,cover-on,frame,,",
        "2027-03-06 15:00,,heat-on,bench,,",
        "2027-03-06 15:00,vine,moved,bench,17,",
    ],
)
def test_what_is_noted_as_planned_asks_for_nothing(tmp_path: Path, row: str) -> None:
    assert since_plan(_opened(tmp_path, row)) == SincePlan(1)
    assert changed_beside(open_season(tmp_path, today=TODAY)) == ()


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("2027-03-06 15:00,vine,lost,bench,9,", "vine: 9 lost"),
        ("2027-03-06 15:00,lettuce-1,sown,windowsill,30,",
         "lettuce-1: in windowsill, not in hotbed"),
        ("2027-03-06 15:00,lettuce-2,sown,hotbed,30,",
         "lettuce-2: start 14 days sooner"),
        ("2027-03-06 15:00,tomato,pricked-out,bench,24,",
         "tomato: prick-out 7 days sooner"),
        ("2027-03-06 15:00,bean,planted-out,border,46,", "bean: out 7 days sooner"),
        ("2027-03-06 15:00,aubergine,sown,propagator,12,",
         "aubergine: the plan has no place for it"),
        ("2027-03-06 15:00,,bed-made-up,hotbed,,",
         "hotbed: made up on 6 March, not as planned"),
        ("2027-03-06 15:00,,heat-off,bench,,",
         "bench: heat off on 6 March, not as planned"),
        ("2027-03-06 15:00,tomato,undone,propagator,30,sown of 2027-02-20 10:00",
         "tomato: sown was taken back"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("counted", [True, False])
def test_what_is_noted_otherwise_is_told(
    tmp_path: Path, row: str, told: str, counted: bool
) -> None:
    """Also of a plan that does not tell how many rows it was made with."""
    opened = _opened(tmp_path, row, told=counted)
    assert told in since_plan(opened).otherwise
    assert any(told in note for note in jobs(tmp_path, today=TODAY).notes)


def test_what_came_up_long_before_its_time_is_told(tmp_path: Path) -> None:
    """From the middle of the range to its end are 6 days; 13 sooner is out of it."""
    opened = _opened(tmp_path, "2027-03-01 15:00,chilli,emerged,propagator,14,")
    assert since_plan(opened).otherwise == ("chilli: seedling 13 days sooner",)


def test_what_was_noted_and_taken_back_again_is_nothing(tmp_path: Path) -> None:
    opened = _opened(
        tmp_path,
        "2027-03-06 15:00,vine,lost,bench,9,",
        "2027-03-06 15:05,vine,undone,bench,9,lost of 2027-03-06 15:00",
    )
    assert since_plan(opened) == SincePlan(2)


def test_rows_that_are_gone_are_told(tmp_path: Path) -> None:
    _opened(tmp_path)
    rows = DAYBOOK.splitlines()[:-2]
    (tmp_path / "daybook.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    found = since_plan(open_season(tmp_path, today=TODAY))
    assert found.otherwise == ("daybook.csv has fewer rows than it had",)


def test_a_job_done_next_day_is_on_its_day_and_next_week_is_not(tmp_path: Path) -> None:
    """Tomatoes are to be pricked out on Saturday the 13th."""
    told = {}
    for day in (9, 10, 13, 14, 16, 17, 20):
        folder = tmp_path / str(day)
        folder.mkdir()
        row = f"2027-03-{day:02d} 15:00,tomato,pricked-out,bench,24,"
        _opened(folder, row)
        later = open_season(folder, today=TODAY.replace(day=21))
        told[day] = bool(since_plan(later).otherwise)
    assert told == {9: True, 10: False, 13: False, 14: False, 16: False, 17: True,
                    20: True}  # fmt: skip


@pytest.mark.parametrize(("late", "agrees"), [(0, True), (7, False)])
def test_jobs_ticked_off_on_their_days_leave_the_plan_as_it_is(
    tmp_path: Path, late: int, agrees: bool
) -> None:
    """Five weeks of a season; a week late each of them is news."""
    _opened(tmp_path)
    ticked = 0
    for day in range(0, 36):
        today = TODAY + timedelta(days=day + late)
        for job in jobs(tmp_path, today=today, days=1).rows:
            due = job.date <= today - timedelta(days=late)
            if due and (job.kind not in DUTIES or job.kind == "note"):
                tick(tmp_path, job, today=today)
                ticked += 1
    assert ticked > 8
    otherwise = since_plan(open_season(tmp_path, today=today)).otherwise
    assert (otherwise == ()) == agrees
