"""Heat switched by the week, covers laid over stays, batches in two halves."""

from datetime import date, timedelta
from typing import Any

import pytest
from builders import make_batch, make_season, make_space

from propsched.advice.job import Job
from propsched.advice.jobs import jobs_between
from propsched.advice.parts import told_apart
from propsched.advice.state import heat_noted
from propsched.domain.batch import Event
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.plan import HeatRun, Placement, Plan, StandingOver, ways
from propsched.domain.space import Heat, Lamp

SAT = date(2027, 2, 6)
TRAY = Container(name="tray")
LEEK = Crop(
    name="leek",
    method="seed",
    stages=tuple(Needs(stage=s, container=TRAY) for s in ("start", "seedling")),
)
HEAT = Heat(set_c=18, w_per_m2=100, when="by-week")
SEASON = make_season(
    spaces=(
        make_space(id="bench", kind="heated-bench", heat=HEAT),
        make_space(id="frame", kind="cold-frame", covers=("fleece", "mat")),
    )
)


def on(day: int) -> date:
    return SAT + timedelta(days=day)


def stop(stage: str, space: str, start: int, end: int, **over: Any) -> Placement:
    plain: dict[str, Any] = {
        "batch": "leek",
        "crop": "leek",
        "method": "seed",
        "stage": stage,
        "space": space,
        "start": on(start),
        "end": on(end),
        "end_latest": on(end),
        "root_mean_c": 12.0,
        "area_m2": 0.1,
        "containers": 1,
        "container": "tray",
    }
    return Placement(**{**plain, **over})


def plan(*placements: Placement, **over: Any) -> Plan:
    plain: dict[str, Any] = {
        "season": "invented",
        "today": SAT,
        "status": "optimal",
        "worth": 1.0,
        "bound": 1.0,
        "gap": 0.0,
        "terms": {},
        "placements": placements,
        "batches": (),
        "not_placed": (),
        "standing_over": (),
        "heat": (),
        "hotbeds": (),
        "scarce": (),
        "cautions": (),
    }
    return Plan(**{**plain, **over})


def run(first: int, last: int, kwh: float = 5.0) -> HeatRun:
    return HeatRun(space="bench", start=on(first), end=on(last), kwh=kwh, cost=1.0)


def jobs(the_plan: Plan, first: int = 0, days: int = 28, **over: Any) -> list[Job]:
    plain: dict[str, Any] = {"season": SEASON, "crops": {"leek": LEEK}}
    return list(jobs_between(the_plan, first=on(first), days=days, **{**plain, **over}))


def told(found: list[Job], *kinds: str) -> list[tuple[date, str]]:
    return [(j.date, j.what) for j in found if j.kind in kinds]


HEAT_JOBS = ("heat on", "heat off")


def test_heat_goes_on_with_its_first_week_and_off_on_the_day_after_its_last() -> None:
    found = jobs(plan(heat=(run(0, 6), run(14, 20))))
    assert told(found, *HEAT_JOBS) == [
        (on(0), "Switch on the heat of bench"),
        (on(7), "Switch off the heat of bench"),
        (on(14), "Switch on the heat of bench"),
        (on(21), "Switch off the heat of bench"),
    ]


def test_what_is_noted_as_switched_is_no_job_any_more() -> None:
    one = plan(heat=(run(0, 6),))
    assert told(jobs(one, days=1, heated={"bench": True}), *HEAT_JOBS) == []
    assert told(jobs(one, first=7, days=1, heated={"bench": False}), *HEAT_JOBS) == []
    assert len(told(jobs(one, days=1, heated={"bench": False}), *HEAT_JOBS)) == 1


def test_a_switch_that_was_forgotten_is_named() -> None:
    found = jobs(plan(heat=(run(-7, -1),)), first=2, heated={"bench": True})
    assert told(found, *HEAT_JOBS) == [
        (on(0), "Switch off the heat of bench (was due 6 February)")
    ]


def test_heat_to_the_seasons_end_is_not_switched_off_in_the_plan() -> None:
    last = (SEASON.end - SAT).days
    found = jobs(plan(heat=(run(0, last),)), days=400)
    assert told(found, "heat off") == []


def test_the_run_of_a_lamp_is_no_heat() -> None:
    """40 W for 16 hours a day are 4.48 kWh a week."""
    lit = make_space(
        id="bench", kind="heated-bench", heat=HEAT, lamp=Lamp(mol_m2_d=6, w=40)
    )
    runs = plan(heat=(run(0, 6, kwh=4.5), run(7, 13, kwh=9.0)))
    found = jobs(runs, season=make_season(spaces=(lit,)))
    assert [day for day, _ in told(found, *HEAT_JOBS)] == [on(7), on(14)]


def test_the_last_switch_of_the_daybook_counts() -> None:
    book = [
        Event(time=_at(on(3)), event="heat-off", space="bench"),
        Event(time=_at(on(1)), event="heat-on", space="bench"),
        Event(time=_at(on(5)), event="heat-on", space="bench"),
    ]
    assert heat_noted(book, today=on(4)) == {"bench": False}
    assert heat_noted(book) == {"bench": True}


def _at(day: date) -> Any:
    from datetime import datetime

    return datetime(day.year, day.month, day.day, 8)


def test_a_fleece_is_laid_and_taken_off_with_its_stay() -> None:
    """Both stages under it: laid once, taken off once."""
    under = plan(
        stop("start", "frame", 0, 7, variant="fleece on"),
        stop("seedling", "frame", 7, 14, variant="fleece on"),
    )
    assert told(jobs(under), "cover on", "cover off") == [
        (on(0), "Lay fleece over leek in frame"),
        (on(14), "Take the fleece off leek in frame"),
    ]
    bare = plan(
        stop("start", "frame", 0, 7, variant="made up 6 February, fleece on"),
        stop("seedling", "frame", 7, 14, variant="made up 6 February"),
    )
    assert [day for day, _ in told(jobs(bare), "cover on", "cover off")] == [
        on(0), on(7),
    ]  # fmt: skip


def test_a_mat_is_a_duty_of_every_evening() -> None:
    matted = stop("start", "frame", 0, 7, variant="mat on")
    found = jobs(plan(matted))
    assert told(found, "cover on", "cover off") == []
    assert told(found, "night mat") == [
        (on(0), "Mat on frame every evening, off in the morning")
    ]
    other = stop("start", "frame", 0, 7, batch="holly", crop="holly")
    (duty,) = [j for j in jobs(plan(matted, other)) if j.kind == "night mat"]
    assert duty.what == "Mat on leek in frame every evening, off in the morning"


HALVES = (
    stop("start", "bench", 0, 7),
    stop("start", "frame", 0, 14),
    stop("seedling", "frame", 7, 28),
    stop("seedling", "frame", 14, 27),
)


def test_each_half_has_its_own_way() -> None:
    found = ways(HALVES)["leek"]
    assert [[(p.space, p.start) for p in way] for way in found] == [
        [("bench", on(0)), ("frame", on(7))],
        [("frame", on(0)), ("frame", on(14))],
    ]


def test_of_two_that_could_go_on_the_one_in_the_same_space_does() -> None:
    both = (
        stop("start", "bench", 0, 7),
        stop("start", "frame", 0, 7),
        stop("seedling", "frame", 7, 28),
        stop("seedling", "bench", 7, 28),
    )
    found = ways(both)["leek"]
    assert [[p.space for p in way] for way in found] == [["bench"] * 2, ["frame"] * 2]


def test_jobs_of_halves_have_their_own_name_and_half_the_seed() -> None:
    found = jobs(plan(*HALVES), batches=(make_batch(),), sown={"leek": 61})
    sown = [j for j in found if j.kind == "sow"]
    assert [(j.batch, j.count, j.space) for j in sown] == [
        ("leek (1 of 2)", 31, "bench"),
        ("leek (2 of 2)", 30, "frame"),
    ]
    moves = [j for j in found if j.kind == "move"]
    assert [(j.batch, j.from_space, j.space, j.date) for j in moves] == [
        ("leek (1 of 2)", "bench", "frame", on(7))
    ]
    assert [j.date for j in found if j.kind == "plant out"] == [on(27)]


def test_a_half_that_stands_over_is_not_planted_out() -> None:
    last = (SEASON.end - SAT).days
    split = plan(
        stop("start", "bench", 0, last - 10),
        stop("start", "frame", 0, last + 1),
        standing_over=(StandingOver(batch="leek", space="frame", half_by=None),),
    )
    out = [j for j in jobs(split, days=400) if j.kind == "plant out"]
    assert [j.from_space for j in out] == ["bench"]


@pytest.mark.parametrize("number", [1, 2])
def test_a_batch_in_one_piece_keeps_its_name(number: int) -> None:
    one = plan(*HALVES[: 2 * number : 2])
    assert told_apart(one) == (one, {})
