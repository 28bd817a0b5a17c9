"""What routes take up: blocks of area and minutes of work."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid, Prices, Room, packing_weight
from propsched.optimise.problem import Problem, Route


@dataclass(frozen=True, slots=True)
class Use:
    """What one route takes up, by moving day."""

    stays: tuple[tuple[int, int, int, int], ...]
    """Space, first block, block after the last, area."""
    work: tuple[tuple[int, int], ...]
    """Moving day, minutes."""


def use_of(problem: Problem, grid: Grid, route: Route) -> Use:
    """Area and work of a route."""
    task = problem.tasks[route.task]
    stays = []
    work = []
    for stop in route.stops:
        space = int(problem.space_of[stop.variant])
        first = int(grid.at_or_after[stop.start])
        end = int(grid.at_or_after[stop.end])
        if task.area[stop.stage]:
            stays.append((space, first, end, task.area[stop.stage]))
        if problem.work[stop.start] and not task.begun(stop.stage):
            work.append((first, task.minutes[stop.stage]))
    last = route.stops[-1]
    if not route.over and problem.work[last.end]:
        work.append((int(grid.at_or_after[last.end]), task.minutes[last.stage + 1]))
    return Use(tuple(stays), tuple((j, m) for j, m in work if m))


def take(room: Room, use: Use, sign: int = 1) -> None:
    """Take what a route uses out of ``room``; ``sign`` −1 gives it back."""
    for space, first, end, area in use.stays:
        room.area[space, first:end] -= sign * area
    for j, minutes in use.work:
        room.minutes[j] -= sign * minutes


def fits(room: Room, use: Use) -> bool:
    """Whether ``room`` has what a route uses."""
    return all(
        room.area[space, first:end].min(initial=area) >= area
        for space, first, end, area in use.stays
    ) and all(room.minutes[j] >= minutes for j, minutes in use.work)


def price_of(use: Use, grid: Grid, prices: Prices) -> float:
    """What a route pays at given prices."""
    paid = sum(float(prices.minute[j]) * minutes for j, minutes in use.work)
    for space, first, end, area in use.stays:
        part = slice(first, end)
        paid += area * float(prices.area[space, part].sum())
        for k, packing in enumerate(prices.packing[:, space, part], start=1):
            if packing.any():
                one = np.array(area, dtype=np.int64)
                weight = packing_weight(one, grid.area[space, part], k)
                paid += float(weight @ packing)
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
