"""
The linear programme over the routes found: shares of routes and of modes.

Only limits that were ever overstepped become rows, a few at a time; the solver
keeps its basis from one call to the next.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.linear import Linear
from propsched.optimise.lines import Entry, Lines, Packing
from propsched.optimise.modes import NO_LIMIT
from propsched.optimise.prices import Prices, no_prices
from propsched.optimise.problem import Route
from propsched.optimise.stays import Pool

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shares:
    """Optimum of the linear programme."""

    worth: float
    """Without the constant and the cheapest modes; big losses for must tasks not
    placed included."""
    share: Floats
    """Of each route of the pool."""
    mode: Floats
    """Of each mode. (M,)"""
    prices: Prices
    missing: dict[int, float]
    """Share of each must task that is not placed, where above zero."""


class Master:
    """Grows with the pool; ``solve`` adds what is new."""

    def __init__(
        self, pool: Pool, penalty: float, stop: Callable[[], bool] = lambda: False
    ) -> None:
        """
        Parameters
        ----------
        penalty : float
            Loss of not placing a must task; above anything its place can cost.
        stop : callable
            Whether to give up a solve.
        """
        self._pool = pool
        self._linear = Linear(stop)
        self._columns = np.empty(0, dtype=np.int64)
        self._held: list[int] = []
        self._barred: set[int] = set()
        self._task_rows = self._make_task_rows()
        self._missing = {
            b: self._linear.column(-penalty, [(self._task_rows[b][0], 1.0)], 1.0)
            for b, task in enumerate(pool.problem.tasks)
            if task.must
        }
        self._modes = np.empty(0, dtype=np.int64)
        self._manure_row = self._make_modes()
        self._own: dict[tuple[int, int], int] = {}
        self._own_keys: list[tuple[int, int]] = []
        self._make_lines()

    def _make_task_rows(self) -> dict[int, tuple[int, ...]]:
        """At most one route of each task; a whole takes the place of its parts."""
        rows: dict[int, tuple[int, ...]] = {}
        problem = self._pool.problem
        wholes = {split.whole for split in problem.splits}
        for b, task in enumerate(problem.tasks):
            if b not in wholes:
                rows[b] = (self._linear.row(1.0 if task.must else 0.0, 1.0),)
        for split in problem.splits:
            rows[split.whole] = tuple(rows[part][0] for part in split.parts)
        return rows

    def _make_modes(self) -> int | None:
        """Exactly one mode in each period, and no more manure than there is."""
        modes = self._pool.grid.modes
        rows = [self._linear.row(1.0, 1.0) for _ in modes.usual]
        manure = None
        if modes.limit < NO_LIMIT and modes.manure.any():
            manure = self._linear.row(-np.inf, float(modes.limit))
        columns = []
        for m, period in enumerate(modes.period):
            entries = [(rows[period], 1.0)]
            if manure is not None and modes.manure[m]:
                entries.append((manure, float(modes.manure[m])))
            columns.append(self._linear.column(-float(modes.extra[m]), entries))
        self._modes = np.array(columns, dtype=np.int64)
        return manure

    def _make_lines(self) -> None:
        grid = self._pool.grid
        area = grid.area.astype(np.float64)
        minutes = grid.minutes.astype(np.float64)
        ones, none = np.ones(grid.days.size), np.zeros(grid.days.size)
        by_mode = area[grid.modes.space]
        self._area = Lines(self._linear, lambda space: area[space])
        self._work = Lines(self._linear, lambda _: minutes)
        self._links = Lines(self._linear, lambda _: ones)
        self._lets = Lines(
            self._linear, lambda _: none, lambda m: (int(self._modes[m]), by_mode[m])
        )
        self._lets_own = Lines(
            self._linear,
            lambda _: none,
            lambda i: (int(self._modes[self._own_keys[i][1]]), ones),
        )
        self._packing = Packing(self._linear, grid)

    def solve(self, *, tighten: bool = True) -> Shares:
        """
        Optimum over the pool as it is, all limits kept.

        Parameters
        ----------
        tighten : bool
            Look for further packing limits as well.

        Raises
        ------
        StoppedError
            It was told to stop.
        """
        self._add_columns()
        kinds: list[Lines | Packing] = [self._area, self._work, self._links]
        if self._modes.size:
            kinds += [self._lets, self._lets_own]
        if tighten:
            kinds.append(self._packing)
        while True:
            self._linear.solve()
            share = self._linear.value
            added = [kind.tighten(share, self._columns) for kind in kinds]
            if not any(added):
                break
        missing = {b: float(share[gap]) for b, gap in self._missing.items()}
        return Shares(
            self._linear.worth,
            share[self._columns],
            share[self._modes],
            self._prices(),
            {b: value for b, value in missing.items() if value > 1e-7},
        )

    def _prices(self) -> Prices:
        prices = no_prices(self._pool.problem, self._pool.grid)
        for s, j, dual in self._area.prices():
            prices.area[s, j] = dual
        for _, j, dual in self._work.prices():
            prices.minute[j] = dual
        for (k, s), j, dual in self._packing.prices():
            prices.packing[k - 1, s, j] = dual
        for m, j, dual in self._lets.prices():
            prices.mode[m, j] = dual
        for link, j, dual in self._links.prices():
            prices.link[link, j] = dual
        own: dict[tuple[int, int], Floats] = {}
        for i, j, dual in self._lets_own.prices():
            key = self._own_keys[i]
            if key not in own:
                own[key] = np.zeros(prices.minute.size)
            own[key][j] = dual
        manure = 0.0
        if self._manure_row is not None:
            manure = max(0.0, float(self._linear.price[self._manure_row]))
        return replace(prices, own=own, manure=manure)

    def fix(self, columns: list[int]) -> None:
        """Take these routes whole."""
        self._add_columns()
        for i in columns:
            self._hold(int(self._columns[i]))

    def fix_modes(self, modes: list[int]) -> None:
        """Run spaces in these modes."""
        for m in modes:
            self._hold(int(self._modes[m]))

    def _hold(self, column: int) -> None:
        self._linear.bound(column, 1.0, np.inf)
        self._held.append(column)

    def bar(self, columns: list[int]) -> None:
        """Leave these routes out."""
        self._add_columns()
        for i in columns:
            if i not in self._barred:
                self._barred.add(i)
                self._linear.bound(int(self._columns[i]), 0.0, 0.0)
                self._held.append(int(self._columns[i]))

    def release(self) -> None:
        """Forget what was fixed and barred."""
        for column in self._held:
            self._linear.bound(column, 0.0, np.inf)
        self._held.clear()
        self._barred.clear()

    def _add_columns(self) -> None:
        start = self._columns.size
        routes, uses = self._pool.routes, self._pool.uses
        if start == len(routes):
            return
        stays: list[Entry] = []
        work: list[Entry] = []
        lets: list[Entry] = []
        own: list[Entry] = []
        links: list[Entry] = []
        columns = []
        for i in range(start, len(routes)):
            route, use = routes[i], uses[i]
            task = route.task
            mine = [(0, j, j + 1, m) for j, m in use.work]
            lines = [(self._line(task, m), a, b, 1) for m, a, b, _ in use.lets]
            order = self._order(route)
            entries = [(row, 1.0) for row in self._task_rows[task]]
            entries += self._area.amounts(use.stays)
            entries += self._packing.amounts(use.stays)
            entries += self._work.amounts(mine)
            entries += self._lets.amounts(use.lets)
            entries += self._lets_own.amounts(lines)
            entries += self._links.amounts(order)
            columns.append(self._linear.column(float(route.value), entries))
            stays += [(i, *one) for one in use.stays]
            work += [(i, *one) for one in mine]
            lets += [(i, *one) for one in use.lets]
            own += [(i, *one) for one in lines]
            links += [(i, *one) for one in order]
        self._columns = np.append(self._columns, columns)
        self._area.add(stays)
        self._packing.add(stays)
        self._work.add(work)
        self._lets.add(lets)
        self._lets_own.add(own)
        self._links.add(links)

    def _line(self, task: int, mode: int) -> int:
        key = (task, mode)
        if key not in self._own:
            self._own[key] = len(self._own_keys)
            self._own_keys.append(key)
        return self._own[key]

    def _order(self, route: Route) -> list[tuple[int, int, int, int]]:
        """Days t that a start bars the other of its link from: see ``link_price``."""
        days, day = self._pool.grid.days, route.stops[0].start
        found = []
        for number, link in enumerate(self._pool.problem.links):
            if link.later == route.task:
                first = int(np.searchsorted(days, day))
                found.append((number, first, int(days.size), 1))
            if link.earlier == route.task:
                end = int(np.searchsorted(days, day + link.days))
                found.append((number, 0, end, 1))
        return found
