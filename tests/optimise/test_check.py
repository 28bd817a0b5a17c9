"""The checker passes what is right and names each of many ways to be wrong."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from propsched.optimise.check import check
from propsched.optimise.problem import (
    NEVER,
    PPM,
    Pinned,
    Problem,
    Route,
    Solution,
    StageTable,
    Stop,
    Task,
)
from propsched.optimise.solve import solve

DAYS = 40
CLOSED = (13, 14, 20, 21, 27)
"""Days that are no work days."""
AWAY = (21, 22)


def _table(
    name: str, length: int, wait: int, *, any_day: bool, over: int
) -> StageTable:
    shape = (3, DAYS)
    lengths = np.full(shape, length, dtype=np.int16)
    lengths[1] = NEVER
    lengths[2] += 2
    success = np.full(shape, PPM, dtype=np.int32)
    success[2] = 900_000
    stands = np.full(shape, -1, dtype=np.int32)
    if over:
        stands[0] = over
    return StageTable(
        name=name,
        length=lengths,
        success=success,
        over_success=stands,
        wait=wait,
        any_day=any_day,
        why=np.zeros(shape, dtype=np.uint8),
    )


def _task(name: str, profile: int, **over: object) -> Task:
    plain: dict[str, object] = {
        "name": name,
        "profile": profile,
        "area": (3, 4),
        "minutes": (5, 5, 5),
        "share": (PPM, PPM),
        "weight": 30_000,
        "earliest": 2,
        "latest": 15,
        "gate": 16,
        "wanted_from": 18,
        "wanted_by": 19,
        "late_per_day": 200,
        "early_per_day": 100,
    }
    return Task(**{**plain, **over})  # type: ignore[arg-type]


@cache
def _problem() -> Problem:
    work = np.ones(DAYS, dtype=np.bool_)
    work[list(CLOSED)] = False
    away = np.zeros(DAYS, dtype=np.bool_)
    away[list(AWAY)] = True
    work &= ~away
    return Problem(
        days=DAYS,
        space_of=np.array([0, 0, 1], dtype=np.int32),
        capacity=np.full((2, DAYS), 10, dtype=np.int64),
        work=work,
        away=away,
        minutes=np.full(DAYS, 12, dtype=np.int64),
        move_cost=50,
        profiles=(
            (
                _table("start", 5, 3, any_day=True, over=0),
                _table("grow", 6, 4, any_day=False, over=0),
            ),
            (_table("root", 30, 3, any_day=False, over=800_000),),
        ),
        tasks=(
            _task("leek", 0),
            _task(
                "willow",
                1,
                area=(2,),
                minutes=(5, 5),
                share=(PPM,),
                weight=0,
                over_weight=20_000,
                earliest=12,
                gate=0,
            ),
            _task(
                "kale",
                0,
                must=True,
                gate=0,
                pins=(
                    Pinned(stage=0, variants=(2,), start=0, length=4),
                    Pinned(stage=1, variants=(2,)),
                ),
            ),
            _task("lost", 0, latest=1),
        ),
        space_names=("bench", "frame"),
    )


@cache
def _solution() -> Solution:
    return solve(_problem(), gap=0.0)


def _route(task: int) -> Route:
    return next(route for route in _solution().routes if route.task == task)


def _with_route(route: Route) -> Solution:
    rest = tuple(r for r in _solution().routes if r.task != route.task)
    return replace(_solution(), routes=(*rest, route))


def _moved(task: int, number: int, **over: int) -> Solution:
    """One stop of one route changed."""
    route = _route(task)
    stops = list(route.stops)
    stops[number] = replace(stops[number], **over)
    return _with_route(replace(route, stops=tuple(stops)))


def _placed(
    task: int, *stops: tuple[int, int, int, int], over: bool = False
) -> Solution:
    value = _route(task).value
    route = Route(task, tuple(Stop(*stop) for stop in stops), over, value)
    return _with_route(route)


def _tight(**over: object) -> tuple[Problem, Solution]:
    return replace(_problem(), **over), _solution()  # type: ignore[arg-type]


Spoiled = tuple[Problem, Solution] | Solution

SPOILED: dict[str, tuple[Callable[[], Spoiled], str]] = {
    "a task that does not exist": (
        lambda: _with_route(replace(_route(0), task=99)),
        "does not exist",
    ),
    "a task below zero": (
        lambda: _with_route(replace(_route(0), task=-1)),
        "does not exist",
    ),
    "a task twice": (
        lambda: replace(_solution(), routes=(*_solution().routes, _route(0))),
        "placed twice",
    ),
    "a must task left out": (
        lambda: replace(
            _solution(), routes=tuple(r for r in _solution().routes if r.task != 2)
        ),
        "must be placed",
    ),
    "no stops": (lambda: _placed(0), "no stops"),
    "a stage left out": (lambda: _placed(0, (1, 0, 3, 16)), "one after the other"),
    "stages in the wrong order": (
        lambda: _placed(0, (1, 0, 3, 9), (0, 0, 9, 16)),
        "one after the other",
    ),
    "a stage too many": (
        lambda: _placed(0, (0, 0, 3, 8), (1, 0, 8, 16), (2, 0, 16, 19)),
        "one after the other",
    ),
    "ended early": (lambda: _placed(0, (0, 0, 3, 8)), "does not stand over"),
    "a variant that does not exist": (
        lambda: _moved(0, 0, variant=3),
        "variant that does not exist",
    ),
    "a start before the season": (
        lambda: _moved(0, 0, start=-1),
        "outside the season",
    ),
    "a start after the season": (
        lambda: _placed(0, (0, 0, 40, 45), (1, 0, 45, 52)),
        "outside the season",
    ),
    "material not there yet": (
        lambda: _placed(0, (0, 0, 1, 7), (1, 0, 7, 16)),
        "material is not there",
    ),
    "material gone": (
        lambda: _placed(0, (0, 0, 16, 23), (1, 0, 23, 30)),
        "material is not there",
    ),
    "a start off work days": (
        lambda: _placed(0, (0, 0, 13, 18), (1, 0, 18, 25)),
        "starts on a day that is no work day",
    ),
    "a gap between stages": (
        lambda: _placed(0, (0, 0, 3, 8), (1, 0, 9, 16)),
        "another day than the next starts",
    ),
    "stages that overlap": (
        lambda: _placed(0, (0, 0, 3, 9), (1, 0, 8, 16)),
        "another day than the next starts",
    ),
    "a pinned place not kept": (
        lambda: _moved(2, 1, variant=0),
        "elsewhere than pinned",
    ),
    "a pinned start not kept": (
        lambda: _moved(2, 0, start=1),
        "another day than pinned",
    ),
    "a place the stage may not start in": (
        lambda: _moved(0, 0, variant=1),
        "may not start there",
    ),
    "left before through": (
        lambda: _placed(0, (0, 0, 4, 8), (1, 0, 8, 16)),
        "before it is through",
    ),
    "under way and left before its known length": (
        lambda: _placed(2, (0, 2, 0, 3), (1, 2, 3, 11)),
        "before it is through",
    ),
    "waited too long": (
        lambda: _placed(0, (0, 0, 3, 12), (1, 0, 12, 19)),
        "waits too long",
    ),
    "left off work days": (
        lambda: _placed(0, (0, 0, 9, 14), (1, 0, 14, 20)),
        "leaves on a day that is no work day",
    ),
    "left while nobody is there": (
        lambda: _placed(0, (0, 0, 15, 21), (1, 0, 21, 28)),
        "while nobody is there",
    ),
    "out before the gate": (
        lambda: _placed(0, (0, 0, 3, 8), (1, 0, 8, 15)),
        "before its gate",
    ),
    "left after the season": (
        lambda: _placed(0, (0, 0, 15, 23), (1, 0, 23, 40)),
        "no day of the season",
    ),
    "left before it started": (lambda: _moved(0, 0, end=1), "no day of the season"),
    "standing over, but not to the end": (
        lambda: _moved(1, 0, end=35),
        "not to the season's end",
    ),
    "standing over where it may not": (
        lambda: _moved(1, 0, variant=2),
        "may not stand over",
    ),
    "said to stand over, but not": (
        lambda: _with_route(replace(_route(0), over=True)),
        "stands over but not",
    ),
    "standing over called ready": (
        lambda: _with_route(replace(_route(1), over=False)),
        "no day of the season",
    ),
    "a route's worth too high": (
        lambda: _with_route(replace(_route(0), value=_route(0).value + 1)),
        "is worth",
    ),
    "a move not paid": (
        lambda: _placed(0, (0, 0, 3, 8), (1, 2, 8, 18)),
        "is worth",
    ),
    "a space overfull": (
        lambda: _tight(capacity=np.full((2, DAYS), 1, dtype=np.int64)),
        "overfull",
    ),
    "a space overfull where it is reserved": (
        lambda: _tight(capacity=_problem().capacity - 9 * (np.arange(DAYS) == 39)),
        "overfull",
    ),
    "too much work on a day": (
        lambda: _tight(minutes=np.full(DAYS, 1, dtype=np.int64)),
        "more work",
    ),
    "a worth too high": (
        lambda: replace(_solution(), worth=_solution().worth + 1),
        "The worth is",
    ),
    "a constant forgotten": (lambda: _tight(constant=-7), "The worth is"),
    "a worth above its bound": (
        lambda: replace(_solution(), bound=_solution().worth - 1),
        "above its bound",
    ),
    "optimal said of a plan that is not": (
        lambda: replace(_solution(), bound=_solution().bound + 1, status="optimal"),
        "status does not say",
    ),
    "a time limit said of the optimum": (
        lambda: replace(_solution(), status="time limit"),
        "status does not say",
    ),
    "an unknown status": (
        lambda: replace(_solution(), status="splendid"),
        "no status",
    ),
    "an unknown proof": (
        lambda: replace(_solution(), proof="a hunch"),
        "no proof",
    ),
    "a bound other than the prices prove": (
        lambda: replace(
            _solution(),
            proof="prices",
            area_price=_solution().area_price + 1.0,
        ),
        "prices prove",
    ),
    "a bound above what the prices prove": (
        lambda: replace(
            _solution(), proof="every route", bound=10**9, status="time limit"
        ),
        "above what the prices prove",
    ),
    "a price below nothing": (
        lambda: replace(_solution(), area_price=_solution().area_price - 1.0),
        "below nothing",
    ),
    "a price that is no number": (
        lambda: replace(_solution(), minute_price=np.full(DAYS, np.nan)),
        "not a number",
    ),
    "prices of another season": (
        lambda: replace(_solution(), area_price=np.zeros((2, 7))),
        "another shape",
    ),
    "packing prices of another season": (
        lambda: replace(_solution(), packing_price=np.zeros((4, 2, 7))),
        "another shape",
    ),
    "a price of work where none is done": (
        lambda: replace(_solution(), minute_price=np.ones(DAYS)),
        "no work day",
    ),
}


def test_the_plan_as_it_is_has_no_fault() -> None:
    assert check(_problem(), _solution()) == ()


def test_the_season_has_every_outcome() -> None:
    """One ready, one standing over, one under way, one not placed."""
    assert not _route(0).over
    assert _route(1).over
    assert _route(2).stops[0].start == 0
    assert all(route.task != 3 for route in _solution().routes)


def test_there_are_many_ways_to_be_wrong() -> None:
    assert len(SPOILED) >= 30


@pytest.mark.parametrize("way", SPOILED)
def test_spoiled_plan_is_named(way: str) -> None:
    spoil, words = SPOILED[way]
    spoiled = spoil()
    problem, solution = spoiled if isinstance(spoiled, tuple) else (_problem(), spoiled)
    faults = check(problem, solution)
    assert any(words in fault for fault in faults), faults
