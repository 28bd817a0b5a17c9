"""What the prices of a solution cost a route, laid out by day for the checker."""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import Period, Problem
from propsched.optimise.solution import OwnPrice, Solution

Floats = NDArray[np.float64]


def price_fault(problem: Problem, solution: Solution) -> str | None:
    """What makes the prices of a solution prices of no season like this."""
    return (
        _shape_fault(problem, solution)
        or _own_fault(problem, solution)
        or _sign_fault(solution)
        or _place_fault(problem, solution)
    )


def _sign_fault(solution: Solution) -> str | None:
    prices = [
        solution.area_price,
        solution.minute_price,
        solution.packing_price,
        *solution.mode_price,
        solution.link_price,
        np.array([own.price for own in solution.own_price]),
        np.array([solution.manure_price]),
    ]
    if not all(np.isfinite(some).all() for some in prices):
        return "A price is not a number."
    if any((some < 0).any() for some in prices):
        return "A price is below nothing."
    return None


def _place_fault(problem: Problem, solution: Solution) -> str | None:
    """A price of what is not limited."""
    if (solution.minute_price[~problem.work] > 0).any():
        return "Work has a price on a day that is no work day."
    for period, prices in zip(problem.periods, solution.mode_price, strict=False):
        outside = np.ones(problem.days, dtype=np.bool_)
        outside[days_of(problem, period)] = False
        if prices[:, outside].any():
            return "A mode has a price on a day outside its period."
    if solution.manure_price and problem.manure is None:
        return "Manure has a price though it has no limit."
    return None


def _shape_fault(problem: Problem, solution: Solution) -> str | None:
    area = solution.area_price
    if area.shape != problem.capacity.shape or solution.minute_price.shape != (
        problem.days,
    ):
        return "The prices have another shape than the area and the days."
    packing = solution.packing_price
    if packing.size and packing.shape[1:] != area.shape:
        return "The packing prices have another shape than the area."
    shapes = [(len(period.modes), problem.days) for period in problem.periods]
    if solution.mode_price and [p.shape for p in solution.mode_price] != shapes:
        return "The prices of modes have another shape than the modes of the periods."
    link = solution.link_price
    if link.size and link.shape != (len(problem.links), problem.days):
        return "The prices of links have another shape than the links."
    return None


def _own_fault(problem: Problem, solution: Solution) -> str | None:
    for own in solution.own_price:
        known = (
            0 <= own.task < len(problem.tasks)
            and 0 <= own.period < len(problem.periods)
            and 0 <= own.mode < len(problem.periods[own.period].modes)
        )
        if not known:
            return "A price is of a task or mode that does not exist."
        days = days_of(problem, problem.periods[own.period])
        if not days.start <= own.day < days.stop:
            return "A task's own price is of a day outside the period."
    return None


def days_of(problem: Problem, period: Period) -> slice:
    """Its days within the season."""
    return slice(max(0, period.first), max(0, min(problem.days, period.end)))


@dataclass(frozen=True)
class Paid:
    """The prices of a solution by variant, task and day."""

    problem: Problem
    solution: Solution
    by_area: Floats
    """Of one unit of area, packing aside. (V, D)"""
    closed: NDArray[np.bool_]
    """No mode of a period ever allows the variant that day. (V, D)"""
    own: dict[int, list[OwnPrice]]
    """By task."""
    start: dict[int, Floats]
    """What its links cost a task, by the day of its start. (D,) each"""

    def stay(self, task: int, area: int) -> Floats:
        """Price of a task's standing in a variant from day 0 to a day. (V, D + 1)"""
        problem = self.problem
        price = area * self.by_area
        room = np.maximum(problem.capacity, 1)
        for k, places in enumerate(self.solution.packing_price, start=1):
            # Shares of the room in (k + 1)ths, rounded up, less one: k of them at
            # most make up the whole, because k + 1 would need more than there is.
            shares = -(-(k + 1) * area // room) - 1
            price += (np.maximum(0, shares) * places)[problem.space_of]
        for own in self.own.get(task, ()):
            for variant in problem.periods[own.period].modes[own.mode].variants:
                price[variant, own.day] += own.price
        upto = np.zeros((price.shape[0], problem.days + 1))
        upto[:, 1:] = np.cumsum(price, axis=1)
        return upto


def paid(problem: Problem, solution: Solution) -> Paid:
    """Lay out the prices of a solution; they have no fault."""
    by_area = solution.area_price[problem.space_of]
    closed = np.zeros(by_area.shape, dtype=np.bool_)
    for p, period in enumerate(problem.periods):
        days = days_of(problem, period)
        closed[problem.space_of == period.space, days] = True
        for m, mode in enumerate(period.modes):
            for variant in mode.variants:
                closed[variant, days] = False
                if solution.mode_price:
                    by_area[variant, days] += solution.mode_price[p][m, days]
    own: dict[int, list[OwnPrice]] = defaultdict(list)
    for price in solution.own_price:
        own[price.task].append(price)
    return Paid(problem, solution, by_area, closed, own, _starts(problem, solution))


def _starts(problem: Problem, solution: Solution) -> dict[int, Floats]:
    starts: dict[int, Floats] = defaultdict(lambda: np.zeros(problem.days))
    for link, prices in zip(problem.links, solution.link_price, strict=False):
        for day in range(problem.days):
            starts[link.later][day] += prices[day:].sum()
            starts[link.earlier][day] += prices[: max(0, day + link.days)].sum()
    return starts


def limits_worth(problem: Problem, solution: Solution) -> float:
    """Worth of all that is limited, and of the best mode of each period."""
    area, minute = solution.area_price, solution.minute_price
    room = np.maximum(problem.capacity, 0)
    worth = float((area * room).sum()) + float((minute * problem.minutes).sum())
    for k, places in enumerate(solution.packing_price, start=1):
        worth += k * float(places.sum())
    worth += float(solution.link_price.sum())
    if problem.manure is not None:
        worth += solution.manure_price * problem.manure
    own: dict[tuple[int, int], float] = defaultdict(float)
    for price in solution.own_price:
        own[price.period, price.mode] += price.price
    for p, period in enumerate(problem.periods):
        gains = []
        for m, mode in enumerate(period.modes):
            gain = own[p, m] - mode.cost - solution.manure_price * mode.manure
            if solution.mode_price:
                gain += float((solution.mode_price[p][m] * room[period.space]).sum())
            gains.append(gain)
        worth += max(gains)
    return worth
