"""
What no plan can be worth more than, from prices alone.

At any prices ≥ 0 on all that is limited, the best routes taken one by one, the best
ways of running each space, and the worth of all there is at those prices, are
together at least the worth of any plan.
"""

from dataclasses import dataclass

import numpy as np

from propsched.optimise.grid import PACKINGS, Grid
from propsched.optimise.levels import Floats
from propsched.optimise.modes import NO_LIMIT
from propsched.optimise.network import Network
from propsched.optimise.prices import Prices, rounded
from propsched.optimise.problem import Problem
from propsched.optimise.routes import Priced, price


@dataclass(frozen=True, slots=True)
class Bound:
    """A bound and where it comes from."""

    worth: float
    """Without the constant and the cost of the cheapest modes."""
    prices: Prices
    priced: Priced
    best: Floats
    """What a route of each task has to come to, after prices, for a plan that holds
    it to reach the bound: the best worth of the task. (B,)"""


def bound_at(problem: Problem, grid: Grid, network: Network, prices: Prices) -> Bound:
    """The bound at given prices; ``network`` holds all tasks."""
    priced = price(network, prices)
    best = np.full(len(problem.tasks), -np.inf)
    np.maximum.at(best, network.task_of, priced.best)
    must = np.array([task.must for task in problem.tasks], dtype=np.bool_)
    best = np.where(must, best, np.maximum(best, 0.0))
    alone = np.ones(best.size, dtype=np.bool_)
    total = 0.0
    for split in problem.splits:
        parts = np.array(split.parts)
        alone[[split.whole, *split.parts]] = False
        together = float(best[parts].sum())
        most = max(float(best[split.whole]), together)
        best[split.whole] = most
        # Beside a part the other parts are at their best.
        best[parts] += most - together
        total += most
    total += float(best[alone].sum())
    return Bound(total + all_worth(grid, prices), prices, priced, best)


def all_worth(grid: Grid, prices: Prices) -> float:
    """Worth of all that is limited, and of running spaces, at given prices."""
    packed = prices.packing.sum(axis=(1, 2)) @ np.arange(1, PACKINGS + 1)
    counted = grid.minutes < NO_LIMIT
    return float(
        packed
        + (prices.area * grid.area).sum()
        + (prices.minute[counted] * grid.minutes[counted]).sum()
        + prices.link.sum()
        + modes_worth(grid, prices)
    )


def modes_worth(grid: Grid, prices: Prices) -> float:
    """Worth of running each space in the best way, at given prices."""
    modes = grid.modes
    if not modes.period.size:
        return 0.0
    gain = (prices.mode * grid.area[modes.space]).sum(axis=1)
    gain -= modes.extra + prices.manure * modes.manure
    for (_, mode), values in prices.own.items():
        gain[mode] += values.sum()
    most = np.maximum.reduceat(gain, modes.first_of)
    manure = prices.manure * modes.limit if prices.manure else 0.0
    return float(most.sum()) + manure


def exact_prices(problem: Problem, grid: Grid, prices: Prices) -> Prices:
    """
    Prices rounded to a power of two so coarse that no sum of them is rounded.

    All areas, minutes and worths are whole, so that every sum is then a whole
    number of that power: exact in double precision, in whatever order it is
    taken, as long as it stays below 2^52 of them.
    """
    tasks = problem.tasks
    area = max((max(task.area, default=0) for task in tasks), default=0)
    modes = grid.modes
    most = float((prices.area * grid.area).sum() + prices.link.sum())
    most += float(prices.packing.sum()) * PACKINGS
    counted = grid.minutes < NO_LIMIT
    most += float((prices.minute[counted] * grid.minutes[counted]).sum())
    most += area * float(prices.area.sum(axis=1).max(initial=0))
    most += 2 * PACKINGS * float(prices.packing.sum()) * (1.0 + _fill(grid, area))
    if modes.period.size:
        most += float((prices.mode * (area + grid.area[modes.space])).sum())
        most += 2.0 * sum(float(values.sum()) for values in prices.own.values())
        most += float(modes.extra.sum())
        if prices.manure:
            most += prices.manure * float(modes.manure.sum() + modes.limit)
    for task in tasks:
        late = (task.late_per_day + task.early_per_day) * problem.days
        worth = abs(task.weight) + abs(task.over_weight) + late + problem.move_cost
        most += worth * (len(task.area) + 1) + sum(kept.worth for kept in task.kept)
        most += sum(task.minutes) * float(prices.minute.max(initial=0.0))
    bits = int(np.clip(50 - np.ceil(np.log2(most + 2.0)), 0, 20))
    return rounded(prices, float(2**bits))


def _fill(grid: Grid, area: int) -> float:
    """How often the largest area goes into the smallest room, at most."""
    return area / max(1, int(grid.area.min(initial=area)))


def whole(bound: Bound) -> int:
    """The bound as a whole number; plans are worth whole numbers."""
    return int(np.floor(bound.worth))
