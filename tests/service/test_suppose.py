"""What more room is worth, in seasons small enough to say it beforehand."""

import threading
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from builders import make_season, make_space
from folders import write_left_open

from propsched.domain.plan import BatchPlan, Plan, StandingOver
from propsched.domain.season import Season
from propsched.domain.space import Heat
from propsched.errors import PropschedError
from propsched.optimise.check import check
from propsched.optimise.problem import Problem, StageTable, Task
from propsched.optimise.solve import solve
from propsched.service.exchange import better_of
from propsched.service.gained import effects
from propsched.service.garden import (
    Another,
    MadeUp,
    Rebuilt,
    Room,
    SetTo,
    another,
    rebuilt,
    rebuilt_told,
    trays_m2,
)
from propsched.service.request import Request
from propsched.service.suppose import Supposed, suppose, tray_places

TODAY = date(2027, 1, 5)
ONE_TRAY = """\
format = 1

[season]
name = "one tray (invented)"
start = 2027-01-01
end = 2027-05-31

[site]
latitude = 52.0
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]

[work]
days = ["sat", "sun"]

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 0.092
"""
TWINS = """\
batch,crop,method,wanted,container,available_from,available_to,wanted_by,priority
one,lettuce,seed,24,module-tray,2027-02-06,2027-02-07,2027-05-15,3
two,lettuce,seed,24,module-tray,2027-02-06,2027-02-07,2027-05-15,3
three,lettuce,seed,24,module-tray,2027-02-06,2027-02-07,2027-05-15,3
"""
"""Three batches that want the same tray place in the same days."""
MIXED = """\
batch,crop,method,wanted,available_from,wanted_by,priority
onion,onion,seed,120,2027-01-10,2027-04-20,3
salad,lettuce,seed,24,2027-02-06,2027-04-24,3
celery,celery,seed,40,2027-03-06,2027-05-25,3
tomato,tomato,seed,12,2027-03-01,2027-05-22,4
"""
MORE = Room(space="frame", more_m2=trays_m2(1), trays=1)


def asked(folder: Path, *garden: Rebuilt, limit_s: float = 4) -> Supposed:
    request = Request(
        folder=folder,
        today=TODAY,
        save=False,
        time_limit_s=limit_s,
        gap=0,
        winters=4,
    )
    return suppose(request, garden, lambda event: None, threading.Event())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("tray")
    return write_left_open(where, season_toml=ONE_TRAY, batches_csv=TWINS)


@pytest.fixture(scope="module")
def answer(folder: Path) -> Supposed:
    return asked(folder, MORE)


def test_one_more_tray_place_lets_one_more_in(answer: Supposed) -> None:
    """Worth what the first is, and a little as a larger frame keeps warmer."""
    assert answer.as_is.status == answer.as_supposed.status == "optimal"
    assert answer.as_is.worth > 2.0
    assert answer.worth == pytest.approx(answer.as_is.worth, rel=0.02)
    assert answer.worth_least == answer.worth == answer.worth_most
    assert answer.supposed == ("1 more tray place in frame",)
    assert [row.kind for row in answer.rows if row.plants > 20] == ["comes in"]
    assert sum(row.worth or 0 for row in answer.rows) == pytest.approx(answer.worth)
    assert not answer.near
    assert answer.heat == 0


def test_the_estimate_of_one_tray_is_its_worth(answer: Supposed) -> None:
    """Three want the place, so one more is worth a batch by the prices as well."""
    assert answer.estimate == pytest.approx(answer.worth, rel=0.02)


def test_less_than_a_tray_place_lets_none_in(folder: Path) -> None:
    none = asked(folder, Room(space="frame", more_m2=-0.05))
    assert none.worth == pytest.approx(-none.as_is.worth)
    assert [row.kind for row in none.rows] == ["drops out"]


def test_nothing_is_saved(folder: Path, answer: Supposed) -> None:
    assert answer.as_supposed.placements
    assert not (folder / "plan.json").exists()


def test_a_second_frame_is_worth_exactly_its_twin(folder: Path) -> None:
    found = asked(folder, Another(space="frame"))
    assert found.worth == pytest.approx(found.as_is.worth, abs=1e-6)
    (row,) = found.rows
    assert row.kind == "comes in"
    assert row.worth == pytest.approx(found.worth)
    assert {p.space for p in found.as_supposed.placements} == {"frame", "frame-2"}
    assert found.estimate == pytest.approx(found.worth, rel=0.02)


def test_where_room_is_short_and_when(folder: Path, answer: Supposed) -> None:
    request = Request(
        folder=folder, today=TODAY, save=False, time_limit_s=4, gap=0, winters=4
    )
    found = tray_places(request, lambda event: None, threading.Event())
    (row,) = found.rows
    assert row.space == "frame"
    assert row.worth == pytest.approx(answer.worth, rel=0.02)
    first, last = row.weeks[0][0], row.weeks[-1][1]
    stay = found.plan.placements
    assert min(p.start for p in stay) <= last
    assert max(p.end for p in stay) >= first


def test_more_room_never_counts_for_less_than_the_proofs_leave(tmp_path: Path) -> None:
    """What fits into a smaller frame fits into a larger one, which is no colder."""
    text = ONE_TRAY.replace("0.092", "0.2")
    folder = write_left_open(tmp_path, season_toml=text, batches_csv=MIXED)
    some, more = (
        asked(folder, Room(space="frame", more_m2=m), limit_s=2) for m in (0.1, 0.25)
    )
    for found in (some, more):
        assert found.worth_least <= found.worth <= found.worth_most
        assert found.worth_most >= -1e-6
    assert more.worth_most >= some.worth_least
    assert more.worth > 0.5


def garden() -> Season:
    return make_season(
        start=date(2026, 11, 1),
        end=date(2027, 5, 31),
        spaces=(
            make_space(id="frame", kind="cold-frame", area_m2=1.0),
            make_space(
                id="bench",
                kind="heated-bench",
                area_m2=0.5,
                heat=Heat(set_c=18, w_per_m2=100),
            ),
            make_space(
                id="hotbed", kind="hotbed", area_m2=1.0, make_up_from=date(2027, 1, 1),
                make_up_to=date(2027, 2, 1),
            ),
            make_space(
                id="old-bed", kind="hotbed", area_m2=1.0, make_up=date(2026, 12, 1)
            ),
            make_space(id="pond", kind="check-point", area_m2=0),
        ),
    )  # fmt: skip


def test_a_garden_is_rebuilt_all_together() -> None:
    found = rebuilt(
        garden(),
        (
            SetTo(space="bench-2", set_c=22),
            MadeUp(space="hotbed", day=date(2027, 1, 16)),
            Room(space="frame", more_m2=0.5),
            Room(space="frame", more_m2=-0.2),
            Another(space="bench"),
            Another(space="old-bed"),
        ),
        TODAY,
    )
    spaces = {space.id: space for space in found.spaces}
    assert [s.id for s in found.spaces][-2:] == ["bench-2", "old-bed-2"]
    assert spaces["frame"].area_m2 == pytest.approx(1.3)
    assert spaces["bench-2"].heat is not None
    assert spaces["bench-2"].heat.set_c == 22
    assert spaces["bench"] == garden().spaces[1]
    assert spaces["hotbed"].make_up == date(2027, 1, 16)
    assert not spaces["hotbed"].make_up_open
    assert spaces["old-bed-2"].make_up == TODAY


def test_names_of_further_spaces_are_free() -> None:
    spaces = garden().spaces
    assert another((*spaces, replace(spaces[1], id="bench-2")), "bench") == "bench-3"


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (Room(space="bensh", more_m2=1), "did you mean bench"),
        (Room(space="attic", more_m2=1), "the season has frame, bench, hotbed"),
        (Room(space="frame", more_m2=-1.0), "leave no room"),
        (Room(space="pond", more_m2=1), "only measured"),
        (Another(space="pond"), "only measured"),
        (Another(space="attic"), "no space 'attic'"),
        (MadeUp(space="frame", day=date(2027, 1, 16)), "no hotbed or heap"),
        (MadeUp(space="old-bed", day=date(2027, 1, 16)), "already"),
        (MadeUp(space="hotbed", day=date(2027, 1, 2)), "from 2027-01-05 to 2027-05-31"),
        (MadeUp(space="hotbed", day=date(2027, 7, 2)), "from 2027-01-05 to 2027-05-31"),
        (SetTo(space="frame", set_c=20), "no heater"),
        (SetTo(space="bench", set_c=60), "0 to 40"),
    ],
)
def test_what_cannot_be_is_refused(one: Rebuilt, said: str) -> None:
    with pytest.raises(PropschedError, match=said):
        rebuilt(garden(), (one,), TODAY)


def test_what_is_supposed_is_told() -> None:
    assert rebuilt_told(
        (
            Room(space="bench", more_m2=0.3),
            Room(space="bench", more_m2=-0.3),
            Room(space="bench", more_m2=-0.184, trays=2),
            Another(space="propagator"),
            MadeUp(space="hotbed", day=date(2027, 1, 23)),
            SetTo(space="bench", set_c=20),
        )
    ) == (
        "0.3 m² more in bench",
        "0.3 m² less in bench",
        "2 fewer tray places in bench",
        "another propagator",
        "hotbed made up on 23 January",
        "bench set to 20 °C",
    )


def problem(capacity: int) -> Problem:
    days = 40
    table = StageTable(
        name="start",
        length=np.full((1, days), 10, np.int16),
        success=np.full((1, days), 900_000, np.int32),
        over_success=np.full((1, days), -1, np.int32),
        wait=0,
        any_day=True,
        why=np.zeros((1, days), np.uint8),
    )
    task = Task(
        name="one", profile=0, area=(10,), minutes=(0, 0), share=(1_000_000,),
        weight=10_000, earliest=0, latest=0,
    )  # fmt: skip
    return Problem(
        days=days,
        space_of=np.zeros(1, np.int32),
        capacity=np.full((1, days), capacity, np.int64),
        work=np.ones(days, bool),
        away=np.zeros(days, bool),
        minutes=np.full(days, 100, np.int64),
        move_cost=0,
        profiles=((table,),),
        tasks=(task, replace(task, name="two")),
        space_names=("frame",),
        variant_names=("as set",),
    )


def test_a_better_plan_is_taken_over_only_where_it_holds() -> None:
    """More room keeps what less room does; what needs the room stays where it is."""
    small, large = problem(10), problem(20)
    short, both = solve(small, gap=0), solve(large, gap=0)
    fell_short = replace(
        both, routes=(), worth=0, status="time limit"
    )  # a search that found nothing
    taken = better_of(large, fell_short, small, short)
    assert taken.worth == short.worth == 9_000
    assert not check(large, taken)
    assert better_of(small, short, large, both) is short


def plan(*batches: BatchPlan, over: tuple[str, ...] = ()) -> Plan:
    return Plan(
        season="invented", today=TODAY, status="optimal", worth=3.0, bound=3.0, gap=0.0,
        terms={}, placements=(), batches=batches, not_placed=(),
        standing_over=tuple(
            StandingOver(batch=name, space="frame", half_by=None) for name in over
        ),
        heat=(), hotbeds=(), scarce=(), cautions=(),
    )  # fmt: skip


def one(name: str, ready: date | None, plants: float) -> BatchPlan:
    return BatchPlan(
        batch=name, ready=ready, ready_latest=ready, wanted_by=None,
        plants_expected=plants, cost=0.0, wanted=40,
    )  # fmt: skip


def test_who_fares_otherwise_is_told_by_worth() -> None:
    march, april = date(2027, 3, 20), date(2027, 4, 3)
    before = plan(
        one("leek", april, 30), one("fig", march, 40), one("yew", None, 40),
        one("bean", march, 40), one("alike", march, 40), over=("yew",),
    )  # fmt: skip
    after = plan(
        one("leek", march, 38), one("fig", march, 30), one("yew", april, 40),
        one("salad", april, 24), one("alike", april, 40),
    )  # fmt: skip
    worths = {"leek": 1.0, "fig": 3.0, "yew": 1.0, "bean": 0.5, "alike": 1.0}
    rows = effects(
        before, after, worths,
        {"leek": 1.6, "fig": 2.3, "yew": 2.0, "salad": 2.5, "alike": 1.0}, TODAY,
    )  # fmt: skip
    assert [(row.batch, row.kind) for row in rows] == [
        ("salad", "comes in"),
        ("yew", "sooner"),
        ("fig", "fewer plants"),
        ("leek", "more plants"),
        ("bean", "drops out"),
    ]
    told = {row.batch: row.what for row in rows}
    assert told["salad"] == "24 plants by 3 April"
    assert told["leek"] == (
        "38 plants instead of 30; ready by 20 March instead of 3 April"
    )
    assert told["yew"] == "ready by 3 April instead of standing over"
    assert sum(row.worth or 0 for row in rows) == pytest.approx(
        1.6 + 2.3 + 2.0 + 2.5 - (1 + 3 + 1 + 0.5)
    )
