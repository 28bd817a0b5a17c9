"""A job that is ticked off is a row of the daybook, and is asked for no more."""

from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path

import pytest
from folders import SEASON, write_folder

from propsched.advice.job import DUTIES, Job, JobKind
from propsched.advice.jobs import jobs_between
from propsched.advice.state import BatchState
from propsched.domain.plan import HeatRun, HotbedRun, Placement, Plan
from propsched.errors import PropschedError
from propsched.service.note_event import note_event
from propsched.service.noted import When
from propsched.service.opened import Opened, open_season
from propsched.service.tick import event_of, tick
from propsched.service.undo import undo

EMPTY = "time,batch,event,space,count,note\n"
SAT = date(2027, 2, 13)
LAST = date(2027, 5, 30)


def stop(batch: str, stage: str, space: str, start: int, end: int) -> Placement:
    first, then = SAT + timedelta(days=start), SAT + timedelta(days=end)
    crop, method = (
        ("leek", "seed") if batch == "leeks" else ("blackcurrant", "hardwood")
    )
    return Placement(
        batch=batch, crop=crop, method=method, stage=stage, space=space, start=first,
        end=then, end_latest=then, root_mean_c=12.0, area_m2=0.1, containers=4,
        container="tray",
    )  # fmt: skip


HEATED = HeatRun(space="bench", start=SAT, end=SAT + timedelta(days=20), kwh=9, cost=2)
PLAN = Plan(
    season="invented", today=SAT, status="optimal", worth=1, bound=1, gap=0, terms={},
    placements=(
        stop("currants", "start", "border", 0, 98),
        stop("leeks", "start", "bench", 0, 14),
        stop("leeks", "grow", "house", 14, 70),
        stop("leeks", "harden", "border", 70, 84),
    ),
    batches=(), not_placed=(), standing_over=(),
    heat=(HEATED,),
    hotbeds=(HotbedRun(space="hotbed", make_up=SAT),), scarce=(), cautions=(),
)  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    heat = "set_c = 18, w_per_m2 = 150, from = 2026-12-01, to = 2027-03-31"
    open_heat = SEASON.replace(heat, 'set_c = 18, w_per_m2 = 150, when = "by-week"')
    assert open_heat != SEASON
    return write_folder(
        tmp_path / "season", season_toml=open_heat, daybook_csv=EMPTY, pins_csv=None
    )


def opened(folder: Path, today: date) -> Opened:
    return open_season(folder, today=today, need=frozenset())


def due(folder: Path, today: date) -> list[Job]:
    one = opened(folder, today)
    return list(
        jobs_between(
            PLAN,
            one.season,
            one.crops,
            first=today,
            days=1,
            states=one.states,
            sown=one.sown,
            beds=one.beds,
            heated=one.heated,
        )
    )


def due_kinds(folder: Path, today: date) -> list[JobKind]:
    return [job.kind for job in due(folder, today) if job.kind not in DUTIES]


def first(folder: Path, kind: JobKind, today: date = SAT) -> Job:
    return next(job for job in due(folder, today) if job.kind == kind)


def last(folder: Path, rows: int = 1) -> list[str]:
    text = (folder / "daybook.csv").read_text(encoding="utf-8")
    return [",".join(line.split(",")[1:5]) for line in text.splitlines()[-rows:]]


def test_a_season_of_jobs_ticked_off_leaves_none_behind(folder: Path) -> None:
    """Each job on its day; then nothing of it is asked for, or overdue."""
    said = []
    for number in (0, 14, 21, 70, 84, 98):
        day = SAT + timedelta(days=number)
        now = opened(folder, day)
        for job in due(folder, day):
            told = event_of(job, now)
            assert (told is None) == (job.kind in DUTIES - {"note"})
            if told is not None:
                said.append((job.kind, told[0]))
                tick(folder, job, today=day)
        assert due_kinds(folder, day) == [], day
    assert said == [
        ("make up bed", "bed-made-up"),
        ("heat on", "heat-on"),
        ("sow", "sown"),
        ("strike", "struck"),
        ("move", "emerged"),  # a move that waits for the seedlings says that they show
        ("heat off", "heat-off"),
        ("harden off", "hardening"),
        ("plant out", "planted-out"),
        ("plant out", "planted-out"),
    ]
    assert not any(state.standing for state in opened(folder, LAST).states.values())


def test_taken_back_it_is_asked_for_again(folder: Path) -> None:
    tick(folder, first(folder, "sow"), today=SAT)
    assert "sow" not in due_kinds(folder, SAT)
    undo(folder, today=SAT)
    assert "sow" in due_kinds(folder, SAT)


def test_as_many_are_sown_as_the_job_says_unless_told(folder: Path) -> None:
    job = first(folder, "sow")
    assert job.count is not None
    tick(folder, job, today=SAT)
    assert last(folder) == [f"leeks,sown,bench,{job.count}"]
    undo(folder, today=SAT)
    tick(folder, job, count=90, lost=5, today=SAT)
    assert last(folder, 2) == ["leeks,sown,bench,90", "leeks,lost,,5"]
    assert opened(folder, SAT).states["leeks"].count == 85


def test_losses_come_before_what_is_counted(folder: Path) -> None:
    tick(folder, first(folder, "sow"), today=SAT)
    later = SAT + timedelta(days=14)
    tick(folder, first(folder, "move", later), lost=20, count=150, today=later)
    assert last(folder, 2) == ["leeks,lost,,20", "leeks,emerged,house,150"]
    assert opened(folder, later).states["leeks"].count == 150


def test_done_on_an_earlier_day_it_follows_what_that_day_has(folder: Path) -> None:
    tick(folder, first(folder, "sow"), day=SAT, today=SAT + timedelta(days=3))
    note_event(
        folder, "sown", ["leeks", "9", "bench"], today=SAT,
        at=When(day=SAT, clock=time(11, 30)),
    )  # fmt: skip
    moved = Job(
        date=SAT, kind="move", batch="leeks", what="Move leek", space="house",
        stage="start",
    )  # fmt: skip
    tick(folder, moved, day=SAT, today=SAT + timedelta(days=3))
    assert opened(folder, SAT + timedelta(days=3)).states["leeks"].space == "house"


def test_a_standing_duty_has_nothing_to_tick_off(folder: Path) -> None:
    duty = first(folder, "take readings")
    with pytest.raises(PropschedError, match="standing duty"):
        tick(folder, duty, today=SAT)
    with pytest.raises(PropschedError, match="future"):
        tick(folder, first(folder, "sow"), day=SAT + timedelta(days=1), today=SAT)
    with pytest.raises(PropschedError, match="below zero"):
        tick(folder, first(folder, "sow"), lost=-1, today=SAT)
    assert (folder / "daybook.csv").read_text(encoding="utf-8") == EMPTY


def test_what_is_only_to_be_noted_is_done_by_noting_it(folder: Path) -> None:
    tick(folder, first(folder, "sow"), today=SAT)
    asked = Job(date=SAT, kind="note", batch="leeks", what="Look", space="bench")
    tick(folder, asked, count=140, today=SAT)
    assert last(folder) == ["leeks,emerged,,140"]


def test_seed_brought_out_of_the_cold_is_not_counted_anew(folder: Path) -> None:
    now = opened(folder, SAT)
    batch = replace(now.files.batches[0], id="ash", crop="ash", method="seed")
    cold = BatchState(
        batch="ash", stage="chill", stage_index=0, space="border", since=SAT,
        here_since=SAT, count=40,
    )  # fmt: skip
    job = Job(
        date=SAT, kind="start", batch=batch.id, what="Bring ash out of the cold",
        space="bench", stage="start", count=40,
    )  # fmt: skip
    out = replace(now, states={"ash": cold})
    assert event_of(job, out) == ("started", "ash", "bench", None)
