"""
The linear programme over the routes found: shares of routes and of modes.

Only limits that were ever overstepped become rows, a few at a time; the solver
keeps its basis from one call to the next.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python.linear_constraints import LinearConstraint
from ortools.math_opt.python.model import Model
from ortools.math_opt.python.parameters import SolveParameters, SolverType
from ortools.math_opt.python.result import SolveResult
from ortools.math_opt.python.solve import IncrementalSolver
from ortools.math_opt.python.variables import Variable

from propsched.optimise.lines import Entry, Lines, Packing
from propsched.optimise.modes import NO_LIMIT
from propsched.optimise.prices import Prices, no_prices
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

    def __init__(self, pool: Pool, penalty: float, threads: int = 1) -> None:
        """
        Parameters
        ----------
        penalty : float
            Loss of not placing a must task; above anything its place can cost.
        """
        self._pool = pool
        self._model = Model()
        self._columns: list[Variable] = []
        self._held: list[Variable] = []
        self._model.objective.is_maximize = True
        self._task_rows = self._make_task_rows()
        self._missing: dict[int, Variable] = {}
        for b, task in enumerate(pool.problem.tasks):
            if task.must:
                gap = self._model.add_variable(lb=0.0, ub=1.0)
                self._task_rows[b][0].set_coefficient(gap, 1.0)
                self._model.objective.set_linear_coefficient(gap, -penalty)
                self._missing[b] = gap
        self._modes: list[Variable] = []
        self._manure_row = self._make_modes()
        self._own: dict[tuple[int, int], int] = {}
        self._own_keys: list[tuple[int, int]] = []
        self._make_lines()
        self._solver = IncrementalSolver(self._model, SolverType.GLOP)
        self._parameters = SolveParameters(threads=threads)

    def _make_task_rows(self) -> dict[int, tuple[LinearConstraint, ...]]:
        """At most one route of each task; a whole takes the place of its parts."""
        rows: dict[int, tuple[LinearConstraint, ...]] = {}
        problem = self._pool.problem
        wholes = {split.whole for split in problem.splits}
        for b, task in enumerate(problem.tasks):
            if b not in wholes:
                low = 1.0 if task.must else 0.0
                rows[b] = (self._model.add_linear_constraint(lb=low, ub=1.0),)
        for split in problem.splits:
            rows[split.whole] = tuple(rows[part][0] for part in split.parts)
        return rows

    def _make_modes(self) -> LinearConstraint | None:
        """Exactly one mode in each period, and no more manure than there is."""
        modes = self._pool.grid.modes
        rows = [self._model.add_linear_constraint(lb=1.0, ub=1.0) for _ in modes.usual]
        manure = None
        if modes.limit < NO_LIMIT and modes.manure.any():
            manure = self._model.add_linear_constraint(ub=float(modes.limit))
        for m, period in enumerate(modes.period):
            share = self._model.add_variable(lb=0.0)
            self._modes.append(share)
            cost = -float(modes.extra[m])
            self._model.objective.set_linear_coefficient(share, cost)
            rows[period].set_coefficient(share, 1.0)
            if manure is not None and modes.manure[m]:
                manure.set_coefficient(share, float(modes.manure[m]))
        return manure

    def _make_lines(self) -> None:
        grid = self._pool.grid
        area = grid.area.astype(np.float64)
        minutes = grid.minutes.astype(np.float64)
        ones, none = np.ones(grid.days.size), np.zeros(grid.days.size)
        by_mode = area[grid.modes.space]
        make = (self._model, self._columns)
        self._area = Lines(*make, lambda space: area[space])
        self._work = Lines(*make, lambda _: minutes)
        self._links = Lines(*make, lambda _: ones)
        self._lets = Lines(
            *make, lambda _: none, lambda m: (self._modes[m], by_mode[m])
        )
        self._lets_own = Lines(
            *make, lambda _: none, lambda i: (self._modes[self._own_keys[i][1]], ones)
        )
        self._packing = Packing(*make, grid)

    def solve(self, *, tighten: bool = True) -> Shares:
        """
        Optimum over the pool as it is, all limits kept.

        Parameters
        ----------
        tighten : bool
            Look for further packing limits as well.
        """
        self._add_columns()
        while True:
            result = self._solver.solve(params=self._parameters)
            share = np.array(result.variable_values(self._columns))
            mode = np.array(result.variable_values(self._modes))
            fuller = self._tighten(share, mode)
            if not ((tighten and self._packing.tighten(share)) or fuller):
                break
        gaps = result.variable_values(list(self._missing.values()))
        missing = {
            b: value
            for b, value in zip(self._missing, gaps, strict=True)
            if value > 1e-7
        }
        return Shares(
            result.objective_value(), share, mode, self._prices(result), missing
        )

    def _tighten(self, share: Floats, mode: Floats) -> bool:
        added = [
            lines.tighten(share, lambda _: 0.0)
            for lines in (self._area, self._work, self._links)
        ]
        if self._modes:
            added += [
                self._lets.tighten(share, lambda m: mode[m]),
                self._lets_own.tighten(share, lambda i: mode[self._own_keys[i][1]]),
            ]
        return any(added)

    def _prices(self, result: SolveResult) -> Prices:
        prices = no_prices(self._pool.problem, self._pool.grid)
        for s, j, dual in self._area.prices(result):
            prices.area[s, j] = dual
        for _, j, dual in self._work.prices(result):
            prices.minute[j] = dual
        for (k, s), j, dual in self._packing.prices(result):
            prices.packing[k - 1, s, j] = dual
        for m, j, dual in self._lets.prices(result):
            prices.mode[m, j] = dual
        for link, j, dual in self._links.prices(result):
            prices.link[link, j] = dual
        own: dict[tuple[int, int], Floats] = {}
        for i, j, dual in self._lets_own.prices(result):
            key = self._own_keys[i]
            if key not in own:
                own[key] = np.zeros(prices.minute.size)
            own[key][j] = dual
        manure = 0.0
        if self._manure_row is not None:
            manure = max(0.0, result.dual_values(self._manure_row))
        return Prices(
            prices.area,
            prices.minute,
            prices.packing,
            prices.mode,
            prices.link,
            own,
            manure,
        )

    def fix(self, columns: list[int]) -> None:
        """Take these routes whole."""
        self._add_columns()
        for i in columns:
            self._hold(self._columns[i])

    def fix_modes(self, modes: list[int]) -> None:
        """Run spaces in these modes."""
        for m in modes:
            self._hold(self._modes[m])

    def _hold(self, variable: Variable) -> None:
        variable.lower_bound = 1.0
        self._held.append(variable)

    def bar(self, columns: list[int]) -> None:
        """Leave these routes out."""
        self._add_columns()
        for i in columns:
            if self._columns[i].upper_bound > 0.0:
                self._columns[i].upper_bound = 0.0
                self._held.append(self._columns[i])

    def release(self) -> None:
        """Forget what was fixed and barred."""
        for variable in self._held:
            variable.lower_bound = 0.0
            variable.upper_bound = np.inf
        self._held.clear()

    def _add_columns(self) -> None:
        start = len(self._columns)
        routes, uses = self._pool.routes, self._pool.uses
        for i in range(start, len(routes)):
            column = self._model.add_variable(lb=0.0)
            self._columns.append(column)
            self._model.objective.set_linear_coefficient(column, routes[i].value)
            for row in self._task_rows[routes[i].task]:
                row.set_coefficient(column, 1.0)
        if start == len(routes):
            return
        fresh = list(enumerate(uses[start:], start))
        stays = [(i, *stay) for i, use in fresh for stay in use.stays]
        self._area.add(stays)
        self._packing.add(stays)
        self._work.add([(i, 0, j, j + 1, m) for i, use in fresh for j, m in use.work])
        if self._modes:
            self._lets.add([(i, *let) for i, use in fresh for let in use.lets])
            self._lets_own.add(
                [
                    (i, self._line(routes[i].task, mode), first, end, 1)
                    for i, use in fresh
                    for mode, first, end, _ in use.lets
                ]
            )
        if self._pool.problem.links:
            self._links.add([x for i, _ in fresh for x in self._order(i)])

    def _line(self, task: int, mode: int) -> int:
        key = (task, mode)
        if key not in self._own:
            self._own[key] = len(self._own_keys)
            self._own_keys.append(key)
        return self._own[key]

    def _order(self, i: int) -> list[Entry]:
        """Days t that a start bars the other of its link from: see ``link_price``."""
        route, days = self._pool.routes[i], self._pool.grid.days
        day = route.stops[0].start
        found: list[Entry] = []
        for number, link in enumerate(self._pool.problem.links):
            if link.later == route.task:
                first = int(np.searchsorted(days, day))
                found.append((i, number, first, days.size, 1))
            if link.earlier == route.task:
                end = int(np.searchsorted(days, day + link.days))
                found.append((i, number, 0, end, 1))
        return found
