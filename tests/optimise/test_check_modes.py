"""The checker names what is wrong with modes, ties, keeping, and their prices."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from optimise.run_season import (
    DAYS,
    HOT,
    LATE,
    OFF,
    ON,
    STORE,
    problem,
    solution,
)

from propsched.optimise.check import check
from propsched.optimise.problem import Problem, Route, Stop
from propsched.optimise.solution import Solution


def _modes(*modes: int, cost: int) -> Solution:
    """Other modes, with their cost as it would be."""
    worth = sum(route.value for route in solution().routes) - cost - 30
    return replace(solution(), modes=modes, worth=worth)


def _route(
    task: int, *stop: int, value: int, over: bool = False, rest: Solution | None = None
) -> Solution:
    """One route put in, or in another's place, the worth as it would be."""
    plan = rest or solution()
    routes = tuple(route for route in plan.routes if route.task != task)
    before = sum(route.value for route in plan.routes)
    routes += (Route(task, (Stop(0, *stop),), over, value),)
    after = sum(route.value for route in routes)
    return replace(plan, routes=routes, worth=plan.worth + after - before)


def _without(task: int) -> Solution:
    gone = next(route for route in solution().routes if route.task == task)
    routes = tuple(route for route in solution().routes if route != gone)
    return replace(solution(), routes=routes, worth=solution().worth - gone.value)


def _mode_price(period: int, mode: int, day: int, price: float) -> Solution:
    prices = [array.copy() for array in solution().mode_price]
    prices[period][mode, day] = price
    return replace(solution(), mode_price=tuple(prices))


def _own_price(**over: object) -> Solution:
    own = replace(solution().own_price[0], **over)  # type: ignore[arg-type]
    return replace(solution(), own_price=(own,))


def _link_price(day: int, price: float) -> Solution:
    prices = solution().link_price.copy()
    prices[0, day] = price
    return replace(solution(), link_price=prices)


Spoiled = Solution | tuple[Problem, Solution]

SPOILED: dict[str, tuple[Callable[[], Spoiled], str]] = {
    "no modes chosen": (
        lambda: _modes(cost=0),
        "Modes are chosen for 0 periods, not for 5.",
    ),
    "modes of a season without periods": (
        lambda: (replace(problem(), periods=()), solution()),
        "Modes are chosen for 5 periods, not for 0.",
    ),
    "a mode too many": (
        lambda: _modes(1, 0, 0, 1, 0, 0, cost=800),
        "Modes are chosen for 6 periods, not for 5.",
    ),
    "a mode that does not exist": (
        lambda: _modes(1, 0, 2, 1, 0, cost=800),
        "Space bench has no mode 2 from day 14 on.",
    ),
    "a mode below zero": (
        lambda: _modes(1, 0, 0, 1, -1, cost=800),
        "Space far bed has no mode -1 from day 2 on.",
    ),
    "heat not on where a batch stands in it": (
        lambda: _modes(0, 0, 0, 1, 0, cost=100),
        "beet: stage 0 stands in variant 1, which the mode of space bench does not "
        "allow on day 1.",
    ),
    "another bed's make-up chosen": (
        lambda: _modes(1, 0, 0, 2, 0, cost=800),
        "beet again: stage 0 stands in variant 3, which the mode of space near bed "
        "does not allow on day 7.",
    ),
    "heated and unheated in one week": (
        lambda: _route(5, OFF, 5, 11, value=0),
        "willow: stage 0 stands in variant 0, which the mode of space bench does not "
        "allow on day 5.",
    ),
    "standing on into a week without heat": (
        lambda: _route(0, ON, 4, 9, value=10_500),
        "which the mode of space bench does not allow on day 7.",
    ),
    "a variant that no mode has": (
        lambda: _route(0, STORE, 8, 13, value=10_000),
        "beet: stage 0 stands in variant 2, which the mode of space bench does not "
        "allow on day 8.",
    ),
    "a bed not made up": (
        lambda: _route(4, LATE, 4, 10, value=5_000),
        "stands in variant 5, which the mode of space far bed does not allow",
    ),
    "too much manure": (
        lambda: _modes(1, 0, 0, 1, 1, cost=850),
        "The modes take 70 l of manure, of 60 l.",
    ),
    "too much manure of one bed alone": (
        lambda: (replace(problem(), manure=39), solution()),
        "The modes take 40 l of manure, of 39 l.",
    ),
    "a linked sowing too early": (
        lambda: _route(1, HOT, 6, 10, value=10_000),
        "beet again starts on day 6, less than 6 days after beet.",
    ),
    "a linked sowing before the other": (
        lambda: _route(0, HOT, 12, 16, value=10_000),
        "beet again starts on day 7, less than 6 days after beet.",
    ),
    "whole and half": (
        lambda: _route(2, HOT, 12, 16, value=10_000, rest=_without(3)),
        "leek is placed both whole and as leek, other half.",
    ),
    "whole and both halves": (
        lambda: _route(2, HOT, 12, 16, value=10_000),
        "leek is placed both whole and as leek, one half.",
    ),
    "the cost of a mode left out": (
        lambda: replace(solution(), worth=solution().worth + 700),
        "The worth is 34170, not 34870.",
    ),
    "a mode nobody needs not paid": (
        lambda: _modes(1, 1, 0, 1, 0, cost=800),
        "The worth is 33470, not 34170.",
    ),
    "the cost of modes counted twice": (
        lambda: replace(solution(), worth=solution().worth - 800),
        "The worth is 34170, not 33370.",
    ),
    "keeping claimed twice": (
        lambda: _route(0, ON, 1, 6, value=10_000 + 2 * 700),
        "beet: is worth 10700, not 11400.",
    ),
    "keeping claimed in full a day off": (
        lambda: _route(0, ON, 1, 6, value=10_000 + 900),
        "beet: is worth 10700, not 10900.",
    ),
    "keeping claimed in another space": (
        lambda: _route(0, HOT, 3, 7, value=10_000 + 700),
        "beet: is worth 10000, not 10700.",
    ),
    "keeping below nothing": (
        lambda: _route(0, ON, 8, 13, value=10_000 - 300),
        "beet: is worth 10000, not 9700.",
    ),
    "keeping left out where it stands over": (
        lambda: _route(5, OFF, 21, DAYS, value=4_000, over=True),
        "willow: is worth 4300, not 4000.",
    ),
    "room of both states taken": (
        lambda: (
            replace(problem(), capacity=np.full((3, DAYS), 5, dtype=np.int64)),
            solution(),
        ),
        "Space bench is overfull on day 2.",
    ),
    "mode prices of another season": (
        lambda: replace(solution(), mode_price=solution().mode_price[1:]),
        "The prices of modes have another shape than the modes of the periods.",
    ),
    "mode prices of other modes": (
        lambda: replace(solution(), mode_price=solution().mode_price[::-1]),
        "The prices of modes have another shape than the modes of the periods.",
    ),
    "a mode price before its period": (
        lambda: _mode_price(3, 1, 1, 2.0),
        "A mode has a price on a day outside its period.",
    ),
    "a mode price below nothing": (
        lambda: _mode_price(3, 1, 7, -2.0),
        "A price is below nothing.",
    ),
    "a mode price that is no number": (
        lambda: _mode_price(3, 1, 7, np.nan),
        "A price is not a number.",
    ),
    "another mode price than the bound's": (
        lambda: _mode_price(0, 1, 3, 90.0),
        "The prices prove a bound of",
    ),
    "mode prices forgotten": (
        lambda: replace(solution(), mode_price=()),
        "The prices prove a bound of",
    ),
    "an own price of no task": (
        lambda: _own_price(task=6),
        "A price is of a task or mode that does not exist.",
    ),
    "an own price of no mode": (
        lambda: _own_price(mode=2),
        "A price is of a task or mode that does not exist.",
    ),
    "an own price of no period": (
        lambda: _own_price(period=-1),
        "A price is of a task or mode that does not exist.",
    ),
    "an own price after its period": (
        lambda: _own_price(day=7),
        "A task's own price is of a day outside the period.",
    ),
    "an own price below nothing": (
        lambda: _own_price(price=-1.0),
        "A price is below nothing.",
    ),
    "another own price than the bound's": (
        lambda: _own_price(price=900.0),
        "The prices prove a bound of",
    ),
    "link prices of another season": (
        lambda: replace(solution(), link_price=np.ones((2, DAYS))),
        "The prices of links have another shape than the links.",
    ),
    "a link price below nothing": (
        lambda: _link_price(5, -1.0),
        "A price is below nothing.",
    ),
    "another link price than the bound's": (
        lambda: _link_price(9, 100.0),
        "The prices prove a bound of",
    ),
    "a price of manure without end": (
        lambda: (replace(problem(), manure=None), solution()),
        "Manure has a price though it has no limit.",
    ),
    "a price of manure that is endless": (
        lambda: replace(solution(), manure_price=np.inf),
        "A price is not a number.",
    ),
    "another price of manure than the bound's": (
        lambda: replace(solution(), manure_price=2.5),
        "The prices prove a bound of",
    ),
}


def test_the_plan_as_it_is_has_no_fault() -> None:
    assert check(problem(), solution()) == ()


@pytest.mark.parametrize("way", SPOILED)
def test_spoiled_plan_is_named(way: str) -> None:
    spoil, words = SPOILED[way]
    spoiled = spoil()
    season, plan = spoiled if isinstance(spoiled, tuple) else (problem(), spoiled)
    faults = check(season, plan)
    assert any(words in fault for fault in faults), faults
