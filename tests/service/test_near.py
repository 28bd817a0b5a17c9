"""Keeping to the plan in force: what it is worth, and to whom."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from builders import make_batch, make_crop, make_needs, make_season, make_space

from propsched.domain.plan import Placement, Plan
from propsched.domain.season import Weights
from propsched.optimise.problem import (
    WORTH_SCALE,
    Pinned,
    Problem,
    Route,
    StageTable,
    Stop,
    Task,
)
from propsched.optimise.solution import Solution
from propsched.optimise.solve import solve
from propsched.service.near import change_cost, keep_to
from propsched.service.raised import Raised, raised
from propsched.service.stands import keep_room

FIRST = date(2026, 11, 1)
DAYS = 60
SPACES = ("bench", "frame")


def day(number: int) -> date:
    return FIRST + timedelta(days=number)


def season(change: float = 0.1) -> Any:
    return make_season(
        end=day(DAYS - 1),
        spaces=tuple(make_space(id=name) for name in SPACES),
        weights=Weights(change=change),
    )


def one_raised(name: str) -> Raised:
    crop = make_crop(make_needs(), make_needs(stage="pot-up"))
    return raised(make_batch(id=name, crop=crop.name, wanted=10), crop)


def table(name: str) -> StageTable:
    shape = (len(SPACES), DAYS)
    return StageTable(
        name=name,
        length=np.full(shape, 10, np.int16),
        success=np.full(shape, 900_000, np.int32),
        over_success=np.full(shape, -1, np.int32),
        wait=10,
        any_day=False,
        why=np.zeros(shape, np.uint8),
    )


def problem(*names: str, **over: Any) -> Problem:
    plain: dict[str, Any] = {
        "days": DAYS,
        "space_of": np.array([0, 1], np.int32),
        "capacity": np.full((2, DAYS), 100, np.int64),
        "work": np.ones(DAYS, bool),
        "away": np.zeros(DAYS, bool),
        "minutes": np.full(DAYS, 600, np.int64),
        "move_cost": 0,
        "profiles": ((table("start"), table("pot-up")),),
        "tasks": tuple(
            Task(
                name=name, profile=0, area=(40, 80), minutes=(10, 10, 10),
                share=(1_000_000, 1_000_000), weight=3 * WORTH_SCALE, earliest=0,
                latest=DAYS - 1,
            )
            for name in names
        ),
        "space_names": SPACES,
        "variant_names": ("as set", "as set"),
    }  # fmt: skip
    return Problem(**{**plain, **over})


def placement(batch: str, stage: str, space: str, start: int, end: int) -> Placement:
    return Placement(
        batch=batch, crop="carrot", method="seed", stage=stage, space=space,
        start=day(start), end=day(end), end_latest=day(end), root_mean_c=12.0,
        area_m2=0.04, containers=1, container="tray",
    )  # fmt: skip


def plan(*placements: Placement, **over: Any) -> Plan:
    plain: dict[str, Any] = {
        "season": "invented", "today": FIRST, "status": "optimal", "worth": 3.0,
        "bound": 3.0, "gap": 0.0, "terms": {}, "placements": placements,
        "batches": (), "not_placed": (), "standing_over": (), "heat": (),
        "hotbeds": (), "scarce": (), "cautions": (),
    }  # fmt: skip
    return Plan(**{**plain, **over})


OLD = plan(
    placement("leek", "start", "frame", 12, 22),
    placement("leek", "pot-up", "bench", 22, 33),
)


def kept_in(today: int = 0, before: Plan = OLD, **over: Any) -> Problem:
    return keep_to(
        problem("leek", **over),
        before,
        [one_raised("leek")],
        season(),
        today=day(today),
    )


def solution(*routes: Route) -> Solution:
    return Solution(
        routes=routes, worth=0, bound=0, status="", area_price=np.zeros((2, DAYS)),
        minute_price=np.zeros(DAYS),
    )  # fmt: skip


def route(*stops: tuple[int, int, int]) -> Route:
    found = tuple(Stop(k, v, a, b) for k, (v, a, b) in enumerate(stops))
    return Route(task=0, stops=found, over=False, value=0)


def test_the_plan_in_force_loses_nothing_and_a_batch_given_up_pays_for_all() -> None:
    near = kept_in()
    assert near.constant == -2 * 1000
    same = solution(route((1, 12, 22), (0, 22, 33)))
    assert change_cost(near, same) == 0
    assert change_cost(near, solution()) == 2 * 1000


def test_each_day_costs_a_fourteenth_and_another_space_all() -> None:
    near = kept_in()
    week = solution(route((1, 19, 22), (0, 22, 33)))
    assert change_cost(near, week) == pytest.approx(500, abs=5)
    month = solution(route((1, 12, 22), (0, 42, 55)))
    assert change_cost(near, month) == 1000
    elsewhere = solution(route((0, 12, 22), (0, 22, 33)))
    assert change_cost(near, elsewhere) == 1000


def test_what_stands_already_cannot_be_kept_or_given_up() -> None:
    (task,) = problem("leek").tasks
    standing = replace(task, first_stage=0, under_way=True, must=True)
    near = kept_in(tasks=(standing,))
    assert [kept.stage for kept in near.tasks[0].kept] == [1]
    potted = replace(task, first_stage=1, under_way=True, must=True)
    assert kept_in(tasks=(potted,)).tasks[0].kept == ()
    assert kept_in(tasks=(potted,)).constant == 0


def test_a_start_that_was_missed_is_kept_by_the_next_work_day() -> None:
    work = np.zeros(DAYS, bool)
    work[[18, 25]] = True
    near = kept_in(today=15, work=work)
    assert [kept.start for kept in near.tasks[0].kept] == [18, 22]


def test_a_space_that_is_gone_costs_nothing() -> None:
    old = plan(
        placement("leek", "start", "shelf", 12, 22),
        placement("leek", "pot-up", "bench", 22, 33),
    )
    near = kept_in(before=old)
    assert [kept.space for kept in near.tasks[0].kept] == [0]
    assert near.constant == -1000


def test_without_a_weight_nothing_is_kept() -> None:
    plain = problem("leek")
    near = keep_to(plain, OLD, [one_raised("leek")], season(0.0), today=FIRST)
    assert near is plain


def test_the_planner_stays_where_another_way_is_as_good() -> None:
    """Every space and day would do alike: the plan in force decides."""
    near = kept_in()
    found = solve(near, gap=0.0, time_limit_s=5, workers=1)
    stops = [(s.variant, s.start) for s in found.routes[0].stops]
    assert stops == [(1, 12), (0, 22)]
    assert change_cost(near, found) == 0


def test_the_planner_leaves_it_where_more_is_to_be_had() -> None:
    """The frame would lose half the plants: the placement is given up, and paid for."""
    start = table("start")
    start.success[1] = 400_000
    near = kept_in(profiles=((start, table("pot-up")),))
    found = solve(near, gap=0.0, time_limit_s=5, workers=1)
    start_stop, pot_up = found.routes[0].stops
    assert start_stop.variant == 0
    assert (pot_up.variant, pot_up.start) == (0, 22)
    assert change_cost(near, found) == 1000


def test_what_has_nowhere_else_to_go_keeps_its_room_in_a_closed_space() -> None:
    """For as long as the space is out of use, and no more than it stands on."""
    (task,) = problem("leek").tasks
    here = Pinned(stage=0, variants=(1,), start=3, length=20)
    standing = replace(task, under_way=True, must=True, pins=(here,))
    free = np.full((2, DAYS), 100, np.int64)
    free[1, 10:20] = 0
    closed = problem("leek", tasks=(standing,), capacity=free)
    kept, said = keep_room(closed, season(), [("frame", 10, 20)], {"leek"})
    assert kept.capacity[1, 10:20].tolist() == [40] * 10
    assert (kept.capacity[1, 20:] == 100).all()
    assert said == (
        "frame cannot be cleared: no other space takes leek; planned as if it stayed "
        "there (out of use to 20 November)",
    )
    same, nothing = keep_room(closed, season(), [("frame", 10, 20)], ())
    assert (same.capacity == free).all()
    assert nothing == ()
