"""
The linear programme over the routes found: shares of routes under area and work.

Only limits that were ever overstepped become rows, a few at a time; the solver
keeps its basis from one call to the next.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python.linear_constraints import LinearConstraint
from ortools.math_opt.python.model import Model
from ortools.math_opt.python.parameters import SolveParameters, SolverType
from ortools.math_opt.python.solve import IncrementalSolver
from ortools.math_opt.python.variables import Variable

from propsched.optimise.grid import PACKINGS, Prices, packing_weight
from propsched.optimise.stays import Pool, Use

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shares:
    """Optimum of the linear programme."""

    worth: float
    """Without the constant; big losses for must tasks not placed included."""
    share: Floats
    """Of each route of the pool."""
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
        self._task_rows: dict[int, LinearConstraint] = {}
        self._area_rows: dict[tuple[int, int], LinearConstraint] = {}
        self._work_rows: dict[int, LinearConstraint] = {}
        self._packing_rows: dict[tuple[int, int, int], LinearConstraint] = {}
        self._missing: dict[int, Variable] = {}
        self._held: list[int] = []
        self._stays = np.empty((0, 5), dtype=np.int64)
        self._work = np.empty((0, 3), dtype=np.int64)
        objective = self._model.objective
        objective.is_maximize = True
        for b, task in enumerate(pool.problem.tasks):
            low = 1.0 if task.must else 0.0
            row = self._model.add_linear_constraint(lb=low, ub=1.0)
            self._task_rows[b] = row
            if task.must:
                gap = self._model.add_variable(lb=0.0, ub=1.0)
                row.set_coefficient(gap, 1.0)
                objective.set_linear_coefficient(gap, -penalty)
                self._missing[b] = gap
        self._solver = IncrementalSolver(self._model, SolverType.GLOP)
        self._parameters = SolveParameters(threads=threads)

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
            fuller = self._add_rows(share)
            if not ((tighten and self._add_packing(share)) or fuller):
                break
        area = np.zeros(self._pool.grid.area.shape)
        minute = np.zeros(self._pool.grid.days.size)
        area_keys, work_keys = list(self._area_rows), list(self._work_rows)
        found = result.dual_values([self._area_rows[key] for key in area_keys])
        for (s, j), dual in zip(area_keys, found, strict=True):
            area[s, j] = max(0.0, dual)
        packing = np.zeros((PACKINGS, *area.shape))
        keys = list(self._packing_rows)
        found = result.dual_values([self._packing_rows[key] for key in keys])
        for (k, s, j), dual in zip(keys, found, strict=True):
            packing[k - 1, s, j] = max(0.0, dual)
        found = result.dual_values([self._work_rows[key] for key in work_keys])
        for j, dual in zip(work_keys, found, strict=True):
            minute[j] = max(0.0, dual)
        gaps = result.variable_values(list(self._missing.values()))
        missing = {
            b: value
            for b, value in zip(self._missing, gaps, strict=True)
            if value > 1e-7
        }
        return Shares(
            result.objective_value(), share, Prices(area, minute, packing), missing
        )

    def fix(self, columns: list[int]) -> None:
        """Take these routes whole."""
        self._add_columns()
        for i in columns:
            self._columns[i].lower_bound = 1.0
            self._held.append(i)

    def bar(self, columns: list[int]) -> None:
        """Leave these routes out."""
        self._add_columns()
        for i in columns:
            if self._columns[i].upper_bound > 0.0:
                self._columns[i].upper_bound = 0.0
                self._held.append(i)

    def release(self) -> None:
        """Forget what was fixed and barred."""
        for i in self._held:
            self._columns[i].lower_bound = 0.0
            self._columns[i].upper_bound = np.inf
        self._held.clear()

    def _add_columns(self) -> None:
        start = len(self._columns)
        routes, uses = self._pool.routes, self._pool.uses
        for i in range(start, len(routes)):
            column = self._model.add_variable(lb=0.0)
            self._columns.append(column)
            self._model.objective.set_linear_coefficient(column, routes[i].value)
            self._task_rows[routes[i].task].set_coefficient(column, 1.0)
            self._fill_column(column, uses[i])
        fresh = uses[start:]
        stays = [(start + i, *x) for i, use in enumerate(fresh) for x in use.stays]
        work = [(start + i, *x) for i, use in enumerate(fresh) for x in use.work]
        self._stays = np.concatenate(
            [self._stays, np.array(stays, dtype=np.int64).reshape(-1, 5)]
        )
        self._work = np.concatenate(
            [self._work, np.array(work, dtype=np.int64).reshape(-1, 3)]
        )

    def _fill_column(self, column: Variable, use: Use) -> None:
        for space, first, end, area in use.stays:
            for (s, j), row in self._area_rows.items():
                if s == space and first <= j < end:
                    row.set_coefficient(column, area)
            for (k, s, j), row in self._packing_rows.items():
                if s == space and first <= j < end:
                    weight = self._weight(area, s, j, k)
                    if weight:
                        row.set_coefficient(column, weight)
        for j, minutes in use.work:
            if j in self._work_rows:
                self._work_rows[j].set_coefficient(column, minutes)

    def _weight(self, area: int, space: int, j: int, k: int) -> int:
        room = max(1, int(self._pool.grid.area[space, j]))
        return max(0, ((k + 1) * area - 1) // room)

    def _add_packing(self, share: Floats) -> bool:
        """Rows for the packing limits that shares of routes overstep."""
        grid = self._pool.grid
        i, s, first, end, area = self._stays[share[self._stays[:, 0]] > 1e-9].T
        added = False
        for space in range(grid.area.shape[0]):
            mine = np.flatnonzero(s == space)
            for k in range(1, PACKINGS + 1):
                excess = np.full(grid.days.size, -float(k) - 1e-6)
                for n in mine:
                    part = slice(first[n], end[n])
                    room = grid.area[space, part]
                    excess[part] += share[i[n]] * packing_weight(area[n], room, k)
                for peak in _peaks(excess):
                    if (k, space, peak) not in self._packing_rows:
                        self._add_packing_row(k, space, peak)
                        added = True
        return added

    def _add_packing_row(self, k: int, space: int, j: int) -> None:
        row = self._model.add_linear_constraint(ub=float(k))
        self._packing_rows[k, space, j] = row
        i, s, first, end, area = self._stays.T
        inside = (s == space) & (first <= j) & (j < end)
        for column, taken in zip(i[inside], area[inside], strict=True):
            weight = self._weight(int(taken), space, j, k)
            if weight:
                row.set_coefficient(self._columns[column], float(weight))

    def _add_rows(self, share: Floats) -> bool:
        grid = self._pool.grid
        spaces, n = grid.area.shape
        used = np.zeros((spaces, n + 1))
        i, s, first, end, area = self._stays.T
        np.add.at(used, (s, first), share[i] * area)
        np.add.at(used, (s, end), -share[i] * area)
        room = grid.area + 1e-6 * np.maximum(1.0, grid.area)
        excess = np.cumsum(used, axis=1)[:, :n] - room
        added = False
        for space in range(spaces):
            for peak in _peaks(excess[space]):
                if (space, peak) in self._area_rows:
                    continue
                row = self._model.add_linear_constraint(
                    ub=float(grid.area[space, peak])
                )
                self._area_rows[space, peak] = row
                inside = (s == space) & (first <= peak) & (peak < end)
                for column, taken in zip(i[inside], area[inside], strict=True):
                    row.set_coefficient(self._columns[column], float(taken))
                added = True
        worked = np.zeros(n)
        np.add.at(worked, self._work[:, 1], share[self._work[:, 0]] * self._work[:, 2])
        for day in np.flatnonzero(worked > grid.minutes + 1e-6):
            if int(day) in self._work_rows:
                continue
            row = self._model.add_linear_constraint(ub=float(grid.minutes[day]))
            self._work_rows[int(day)] = row
            for column, _, taken in self._work[self._work[:, 1] == day]:
                row.set_coefficient(self._columns[column], float(taken))
            added = True
        return added


def _peaks(excess: Floats) -> list[int]:
    """The worst place of each stretch above zero."""
    over = np.flatnonzero(excess > 0)
    if not over.size:
        return []
    parts = np.split(over, np.flatnonzero(np.diff(over) > 1) + 1)
    return [int(part[np.argmax(excess[part])]) for part in parts]
