"""What routes take up: blocks of area, minutes of work, ways of running spaces."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid, packing_weight
from propsched.optimise.modes import CLOSED
from propsched.optimise.prices import Floats, Prices
from propsched.optimise.problem import Problem, Route


@dataclass(frozen=True, slots=True)
class Use:
    """What one route takes up, by moving day."""

    stays: tuple[tuple[int, int, int, int], ...]
    """Space, first block, block after the last, area."""
    work: tuple[tuple[int, int], ...]
    """Moving day, minutes."""
    lets: tuple[tuple[int, int, int, int], ...] = ()
    """Mode, first block, block after the last, area: stays within modes."""
    modes: tuple[int, ...] = ()
    """Modes it needs, rising."""
    torn: bool = False
    """It needs two modes of one period, or what no mode allows: no plan can hold it."""


def use_of(problem: Problem, grid: Grid, route: Route) -> Use:
    """What a route takes up."""
    task = problem.tasks[route.task]
    modes = grid.modes
    stays = []
    lets = []
    work = []
    shut = False
    for stop in route.stops:
        space = int(problem.space_of[stop.variant])
        first = int(grid.at_or_after[stop.start])
        end = int(grid.at_or_after[stop.end])
        area = task.area[stop.stage]
        if area:
            stays.append((space, first, end, area))
        if modes.period.size:
            inside = modes.at[modes.place_of[stop.variant], first:end]
            shut = shut or bool((inside == CLOSED).any())
            edges = [0, *(np.flatnonzero(np.diff(inside)) + 1).tolist(), inside.size]
            lets += [
                (int(inside[a]), first + a, first + b, area)
                for a, b in pairwise(edges)
                if b > a and inside[a] >= 0
            ]
        if problem.work[stop.start] and not task.begun(stop.stage):
            work.append((first, task.minutes[stop.stage]))
    last = route.stops[-1]
    if not route.over and problem.work[last.end]:
        work.append((int(grid.at_or_after[last.end]), task.minutes[last.stage + 1]))
    needs = tuple(sorted({let[0] for let in lets}))
    return Use(
        tuple(stays),
        tuple((j, m) for j, m in work if m),
        tuple(lets),
        needs,
        shut or len({int(modes.period[m]) for m in needs}) < len(needs),
    )


def price_of(
    route: Route,
    use: Use,
    grid: Grid,
    prices: Prices,
    starts: dict[int, Floats],
) -> float:
    """
    What a route pays at given prices.

    Parameters
    ----------
    starts : dict
        From ``start_prices``.
    """
    paid = sum(float(prices.minute[j]) * minutes for j, minutes in use.work)
    for space, first, end, area in use.stays:
        part = slice(first, end)
        paid += area * float(prices.area[space, part].sum())
        for k, packing in enumerate(prices.packing[:, space, part], start=1):
            if packing.any():
                one = np.array(area, dtype=np.int64)
                weight = packing_weight(one, grid.area[space, part], k)
                paid += float(weight @ packing)
    for mode, first, end, area in use.lets:
        paid += area * float(prices.mode[mode, first:end].sum())
        own = prices.own.get((route.task, mode))
        if own is not None:
            paid += float(own[first:end].sum())
    if route.task in starts:
        paid += float(starts[route.task][grid.at_or_after[route.stops[0].start]])
    return paid


@dataclass(slots=True)
class Pool:
    """Routes found so far, each once, with their uses as growing arrays."""

    problem: Problem
    grid: Grid
    routes: list[Route]
    uses: list[Use]
    index: dict[tuple[object, ...], int]

    @classmethod
    def empty(cls, problem: Problem, grid: Grid) -> "Pool":
        return cls(problem, grid, [], [], {})

    def add(self, route: Route) -> bool:
        """Whether it was new."""
        key = (route.task, route.over, route.stops)
        if key in self.index:
            return False
        self.index[key] = len(self.routes)
        self.routes.append(route)
        self.uses.append(use_of(self.problem, self.grid, route))
        return True

    def place(self, route: Route) -> int:
        """Where a route is, added if it was not there."""
        self.add(route)
        return self.index[route.task, route.over, route.stops]


def stay_table(uses: list[Use]) -> NDArray[np.int64]:
    """Rows of (use, space, first block, end block, area). Shape (n, 5)."""
    rows = [(i, *stay) for i, use in enumerate(uses) for stay in use.stays]
    return np.array(rows, dtype=np.int64).reshape(-1, 5)


def work_table(uses: list[Use]) -> NDArray[np.int64]:
    """Rows of (use, moving day, minutes). Shape (n, 3)."""
    rows = [(i, *bit) for i, use in enumerate(uses) for bit in use.work]
    return np.array(rows, dtype=np.int64).reshape(-1, 3)


NEAR = 40
"""Two stays meet if apart by less than the moving days ÷ this; judgement."""


def meet(one: Use, other: Use, n: int) -> bool:
    """Whether two routes share a space within some days of one another."""
    slack = max(1, n // NEAR)
    return any(
        s == t and f - slack < e2 and f2 < e + slack
        for s, f, e, _ in one.stays
        for t, f2, e2, _ in other.stays
    )
