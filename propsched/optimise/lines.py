"""
Rows of the linear programme that say: no more in a block than there is.

A *line* is anything of which routes take an amount through a run of blocks: the area
of a space, the work of a day, what one task has in a mode.  A row is added only for
a block of a line that shares of routes have overstepped.  A route takes of a line at
most once in a block.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python.linear_constraints import LinearConstraint
from ortools.math_opt.python.model import Model
from ortools.math_opt.python.result import SolveResult
from ortools.math_opt.python.variables import Variable

from propsched.optimise.grid import PACKINGS, Grid, packing_weight

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Entry = tuple[int, int, int, int, int]
"""Route, line, first block, block after the last, amount."""

Line = TypeVar("Line")

EPS = 1e-6
"""What a limit may be overstepped by, as a share of it, before it becomes a row."""


class Lines:
    """Lines of one kind."""

    def __init__(
        self,
        model: Model,
        columns: list[Variable],
        limit: Callable[[int], Floats],
        against: Callable[[int], tuple[Variable, Floats]] | None = None,
    ) -> None:
        """
        Parameters
        ----------
        columns : list of Variable
            Of the routes; may grow.
        limit : callable
            What there is of a line in each block. (N,)
        against : callable, optional
            A variable and how much of a line it brings in each block. (N,)
        """
        self._model, self._columns = model, columns
        self._limit, self._against = limit, against
        self._table = np.empty((0, 5), dtype=np.int64)
        self._rows: dict[tuple[int, int], LinearConstraint] = {}
        self._blocks: dict[int, list[int]] = defaultdict(list)

    def add(self, entries: list[Entry]) -> None:
        """What new routes take; their columns are there already."""
        for i, line, first, end, amount in entries:
            for j in self._blocks.get(line, ()):
                if first <= j < end:
                    self._rows[line, j].set_coefficient(self._columns[i], amount)
        fresh = np.array(entries, dtype=np.int64).reshape(-1, 5)
        self._table = np.concatenate([self._table, fresh])

    def tighten(self, share: Floats, brought: Callable[[int], float]) -> bool:
        """
        Rows for what is overstepped; whether there were any.

        Parameters
        ----------
        brought : callable
            Value of the variable against a line.
        """
        active = self._table[share[self._table[:, 0]] > 1e-9]
        added = False
        for line in np.unique(active[:, 1]):
            room = self._limit(int(line))
            used = np.zeros(room.size + 1)
            mine = active[active[:, 1] == line]
            amount = share[mine[:, 0]] * mine[:, 4]
            np.add.at(used, mine[:, 2], amount)
            np.add.at(used, mine[:, 3], -amount)
            if self._against is not None:
                room = room + self._against(int(line))[1] * brought(int(line))
            excess = np.cumsum(used)[:-1] - room - EPS * np.maximum(1.0, room)
            for j in peaks(excess):
                if (int(line), j) not in self._rows:
                    self._add_row(int(line), j)
                    added = True
        return added

    def _add_row(self, line: int, j: int) -> None:
        row = self._model.add_linear_constraint(ub=float(self._limit(line)[j]))
        self._rows[line, j] = row
        self._blocks[line].append(j)
        if self._against is not None:
            variable, amount = self._against(line)
            row.set_coefficient(variable, -float(amount[j]))
        i, where, first, end, amounts = self._table.T
        inside = (where == line) & (first <= j) & (j < end)
        for column, taken in zip(i[inside], amounts[inside], strict=True):
            row.set_coefficient(self._columns[column], float(taken))

    def prices(self, result: SolveResult) -> Iterator[tuple[int, int, float]]:
        """Line, block and price of each row that has one."""
        return _prices(self._rows, result)


class Packing:
    """Rows for the packing limits of spaces."""

    def __init__(self, model: Model, columns: list[Variable], grid: Grid) -> None:
        self._model, self._columns, self._grid = model, columns, grid
        self._table = np.empty((0, 5), dtype=np.int64)
        self._rows: dict[tuple[tuple[int, int], int], LinearConstraint] = {}
        self._blocks: dict[int, list[tuple[int, int]]] = defaultdict(list)

    def add(self, entries: list[Entry]) -> None:
        """Stays of new routes: as for the lines of spaces."""
        for i, space, first, end, area in entries:
            for k, j in self._blocks.get(space, ()):
                if first <= j < end and (weight := self._weight(area, space, j, k)):
                    row = self._rows[(k, space), j]
                    row.set_coefficient(self._columns[i], weight)
        fresh = np.array(entries, dtype=np.int64).reshape(-1, 5)
        self._table = np.concatenate([self._table, fresh])

    def _weight(self, area: int, space: int, j: int, k: int) -> int:
        room = max(1, int(self._grid.area[space, j]))
        return max(0, ((k + 1) * area - 1) // room)

    def tighten(self, share: Floats) -> bool:
        """Rows for what shares of routes overstep; whether there were any."""
        grid = self._grid
        i, s, first, end, area = self._table[share[self._table[:, 0]] > 1e-9].T
        added = False
        for space in np.unique(s):
            mine = np.flatnonzero(s == space)
            for k in range(1, PACKINGS + 1):
                excess = np.full(grid.days.size, -float(k) - EPS)
                for n in mine:
                    part = slice(first[n], end[n])
                    room = grid.area[space, part]
                    excess[part] += share[i[n]] * packing_weight(area[n], room, k)
                for peak in peaks(excess):
                    if ((k, int(space)), peak) not in self._rows:
                        self._add_row(k, int(space), peak)
                        added = True
        return added

    def _add_row(self, k: int, space: int, j: int) -> None:
        row = self._model.add_linear_constraint(ub=float(k))
        self._rows[(k, space), j] = row
        self._blocks[space].append((k, j))
        i, s, first, end, area = self._table.T
        inside = (s == space) & (first <= j) & (j < end)
        for column, taken in zip(i[inside], area[inside], strict=True):
            weight = self._weight(int(taken), space, j, k)
            if weight:
                row.set_coefficient(self._columns[column], float(weight))

    def prices(
        self, result: SolveResult
    ) -> Iterator[tuple[tuple[int, int], int, float]]:
        """(k, space), block and price of each row that has one."""
        return _prices(self._rows, result)


def _prices(
    rows: dict[tuple[Line, int], LinearConstraint], result: SolveResult
) -> Iterator[tuple[Line, int, float]]:
    duals = result.dual_values(list(rows.values()))
    for (line, j), dual in zip(rows, duals, strict=True):
        if dual > 0.0:
            yield line, j, dual


def peaks(excess: Floats) -> Iterable[int]:
    """The worst place of each stretch above zero."""
    over = np.flatnonzero(excess > 0)
    if not over.size:
        return []
    parts = np.split(over, np.flatnonzero(np.diff(over) > 1) + 1)
    return [int(part[np.argmax(excess[part])]) for part in parts]
