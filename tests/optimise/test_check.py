"""The checker passes what is right and names each of many ways to be wrong."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from optimise.plain_season import DAYS, problem, solution

from propsched.optimise.check import check
from propsched.optimise.problem import Problem, Route, Stop
from propsched.optimise.solution import Solution


def _route(task: int) -> Route:
    return next(route for route in solution().routes if route.task == task)


def _with_route(route: Route) -> Solution:
    rest = tuple(r for r in solution().routes if r.task != route.task)
    return replace(solution(), routes=(*rest, route))


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
    return replace(problem(), **over), solution()  # type: ignore[arg-type]


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
        lambda: replace(solution(), routes=(*solution().routes, _route(0))),
        "placed twice",
    ),
    "a must task left out": (
        lambda: replace(
            solution(), routes=tuple(r for r in solution().routes if r.task != 2)
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
        lambda: _tight(capacity=problem().capacity - 9 * (np.arange(DAYS) == 39)),
        "overfull",
    ),
    "too much work on a day": (
        lambda: _tight(minutes=np.full(DAYS, 1, dtype=np.int64)),
        "more work",
    ),
    "a worth too high": (
        lambda: replace(solution(), worth=solution().worth + 1),
        "The worth is",
    ),
    "a constant forgotten": (lambda: _tight(constant=-7), "The worth is"),
    "a worth above its bound": (
        lambda: replace(solution(), bound=solution().worth - 1),
        "above its bound",
    ),
    "optimal said of a plan that is not": (
        lambda: replace(solution(), bound=solution().bound + 1, status="optimal"),
        "status does not say",
    ),
    "a time limit said of the optimum": (
        lambda: replace(solution(), status="time limit"),
        "status does not say",
    ),
    "an unknown status": (
        lambda: replace(solution(), status="splendid"),
        "no status",
    ),
    "an unknown proof": (
        lambda: replace(solution(), proof="a hunch"),
        "no proof",
    ),
    "a bound other than the prices prove": (
        lambda: replace(
            solution(),
            proof="prices",
            area_price=solution().area_price + 1.0,
        ),
        "prices prove",
    ),
    "a bound above what the prices prove": (
        lambda: replace(
            solution(), proof="every route", bound=10**9, status="time limit"
        ),
        "above what the prices prove",
    ),
    "a price below nothing": (
        lambda: replace(solution(), area_price=solution().area_price - 1.0),
        "below nothing",
    ),
    "a price that is no number": (
        lambda: replace(solution(), minute_price=np.full(DAYS, np.nan)),
        "not a number",
    ),
    "prices of another season": (
        lambda: replace(solution(), area_price=np.zeros((2, 7))),
        "another shape",
    ),
    "packing prices of another season": (
        lambda: replace(solution(), packing_price=np.zeros((4, 2, 7))),
        "another shape",
    ),
    "a price of work where none is done": (
        lambda: replace(solution(), minute_price=np.ones(DAYS)),
        "no work day",
    ),
}


def test_the_plan_as_it_is_has_no_fault() -> None:
    assert check(problem(), solution()) == ()


def test_the_season_has_every_outcome() -> None:
    """One ready, one standing over, one under way, one not placed."""
    assert not _route(0).over
    assert _route(1).over
    assert _route(2).stops[0].start == 0
    assert all(route.task != 3 for route in solution().routes)


def test_there_are_many_ways_to_be_wrong() -> None:
    assert len(SPOILED) >= 30


@pytest.mark.parametrize("way", SPOILED)
def test_spoiled_plan_is_named(way: str) -> None:
    spoil, words = SPOILED[way]
    spoiled = spoil()
    season, plan = spoiled if isinstance(spoiled, tuple) else (problem(), spoiled)
    faults = check(season, plan)
    assert any(words in fault for fault in faults), faults
