"""
What no plan can be worth more than, from prices alone.

At any prices ≥ 0 on area and work, the best routes taken one by one, plus the
worth of all area and work at those prices, is at least the worth of any plan.
"""

from dataclasses import dataclass

import numpy as np

from propsched.optimise.grid import NO_LIMIT, PACKINGS, Grid, Prices
from propsched.optimise.network import Floats, Network
from propsched.optimise.problem import Problem
from propsched.optimise.routes import Priced, price


@dataclass(frozen=True, slots=True)
class Bound:
    """A bound and where it comes from."""

    worth: float
    """Without the constant."""
    prices: Prices
    priced: Priced
    best: Floats
    """Best worth of each task after prices, as it enters the bound. (B,)"""


def bound_at(problem: Problem, grid: Grid, network: Network, prices: Prices) -> Bound:
    """The bound at given prices; ``network`` holds all tasks."""
    priced = price(network, prices)
    best = np.full(len(problem.tasks), -np.inf)
    np.maximum.at(best, network.task_of, priced.best)
    must = np.array([task.must for task in problem.tasks], dtype=np.bool_)
    best = np.where(must, best, np.maximum(best, 0.0))
    return Bound(float(best.sum()) + all_worth(grid, prices), prices, priced, best)


def all_worth(grid: Grid, prices: Prices) -> float:
    """Worth of all area and work at given prices."""
    packed = prices.packing.sum(axis=(1, 2)) @ np.arange(1, PACKINGS + 1)
    counted = grid.minutes < NO_LIMIT
    return float(
        packed
        + (prices.area * grid.area).sum()
        + (prices.minute[counted] * grid.minutes[counted]).sum()
    )


def exact_prices(problem: Problem, grid: Grid, prices: Prices) -> Prices:
    """
    Prices rounded to a power of two so coarse that no sum of them is rounded.

    All areas, minutes and worths are whole, so that every sum is then a whole
    number of that power: exact in double precision, in whatever order it is
    taken, as long as it stays below 2^52 of them.
    """
    tasks = problem.tasks
    area = max((max(task.area, default=0) for task in tasks), default=0)
    most = all_worth(grid, prices) + area * float(
        prices.area.sum(axis=1).max(initial=0)
    )
    most += 2 * PACKINGS * float(prices.packing.sum()) * (1.0 + _fill(grid, area))
    for task in tasks:
        late = (task.late_per_day + task.early_per_day) * problem.days
        worth = abs(task.weight) + abs(task.over_weight) + late + problem.move_cost
        most += worth * (len(task.area) + 1)
        most += sum(task.minutes) * float(prices.minute.max(initial=0.0))
    bits = int(np.clip(50 - np.ceil(np.log2(most + 2.0)), 0, 20))
    scale = float(2**bits)
    return Prices(
        np.round(prices.area * scale) / scale,
        np.round(prices.minute * scale) / scale,
        np.round(prices.packing * scale) / scale,
    )


def _fill(grid: Grid, area: int) -> float:
    """How often the largest area goes into the smallest room, at most."""
    return area / max(1, int(grid.area.min(initial=area)))


def whole(bound: Bound) -> int:
    """The bound as a whole number; plans are worth whole numbers."""
    return int(np.floor(bound.worth))
