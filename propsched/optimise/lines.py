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

from propsched.optimise.grid import PACKINGS, Grid, packing_weight
from propsched.optimise.linear import Linear

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
        linear: Linear,
        limit: Callable[[int], Floats],
        against: Callable[[int], tuple[int, Floats]] | None = None,
    ) -> None:
        """
        Parameters
        ----------
        limit : callable
            What there is of a line in each block. (N,)
        against : callable, optional
            A column and how much of a line it brings in each block. (N,)
        """
        self._linear = linear
        self._limit, self._against = limit, against
        self._table = np.empty((0, 5), dtype=np.int64)
        self._rows: dict[tuple[int, int], int] = {}
        self._blocks: dict[int, list[int]] = defaultdict(list)

    def add(self, entries: list[Entry]) -> None:
        """What new routes take."""
        fresh = np.array(entries, dtype=np.int64).reshape(-1, 5)
        self._table = np.concatenate([self._table, fresh])

    def amounts(
        self, entries: Iterable[tuple[int, int, int, int]]
    ) -> Iterator[tuple[int, float]]:
        """Rows there are already, with what a route takes in them."""
        for line, first, end, amount in entries:
            for j in self._blocks.get(line, ()):
                if first <= j < end:
                    yield self._rows[line, j], float(amount)

    def tighten(self, share: Floats, columns: Ints) -> bool:
        """
        Rows for what is overstepped; whether there were any.

        Parameters
        ----------
        share : array
            Of every column of the programme.
        columns : array
            Column of each route.
        """
        active = self._table[share[columns[self._table[:, 0]]] > 1e-9]
        added = False
        for line in np.unique(active[:, 1]).tolist():
            room = self._limit(line)
            used = np.zeros(room.size + 1)
            mine = active[active[:, 1] == line]
            amount = share[columns[mine[:, 0]]] * mine[:, 4]
            np.add.at(used, mine[:, 2], amount)
            np.add.at(used, mine[:, 3], -amount)
            if self._against is not None:
                column, brought = self._against(line)
                room = room + brought * share[column]
            excess = np.cumsum(used)[:-1] - room - EPS * np.maximum(1.0, room)
            for j in peaks(excess):
                if (line, j) not in self._rows:
                    self._add_row(line, j, columns)
                    added = True
        return added

    def _add_row(self, line: int, j: int, columns: Ints) -> None:
        i, where, first, end, amounts = self._table.T
        inside = (where == line) & (first <= j) & (j < end)
        entries = list(
            zip(
                columns[i[inside]].tolist(),
                amounts[inside].astype(np.float64).tolist(),
                strict=True,
            )
        )
        if self._against is not None:
            column, brought = self._against(line)
            entries.append((column, -float(brought[j])))
        limit = float(self._limit(line)[j])
        self._rows[line, j] = self._linear.row(-np.inf, limit, entries)
        self._blocks[line].append(j)

    def prices(self) -> Iterator[tuple[int, int, float]]:
        """Line, block and price of each row that has one."""
        return _prices(self._rows, self._linear)


class Packing:
    """Rows for the packing limits of spaces."""

    def __init__(self, linear: Linear, grid: Grid) -> None:
        self._linear, self._grid = linear, grid
        self._table = np.empty((0, 5), dtype=np.int64)
        self._rows: dict[tuple[tuple[int, int], int], int] = {}
        self._blocks: dict[int, list[tuple[int, int]]] = defaultdict(list)

    def add(self, entries: list[Entry]) -> None:
        """Stays of new routes: as for the lines of spaces."""
        fresh = np.array(entries, dtype=np.int64).reshape(-1, 5)
        self._table = np.concatenate([self._table, fresh])

    def amounts(
        self, entries: Iterable[tuple[int, int, int, int]]
    ) -> Iterator[tuple[int, float]]:
        """Rows there are already, with the weight of a route in them."""
        for space, first, end, area in entries:
            for k, j in self._blocks.get(space, ()):
                if first <= j < end and (weight := self._weight(area, space, j, k)):
                    yield self._rows[(k, space), j], float(weight)

    def _weight(self, area: int, space: int, j: int, k: int) -> int:
        room = max(1, int(self._grid.area[space, j]))
        return max(0, ((k + 1) * area - 1) // room)

    def tighten(self, share: Floats, columns: Ints) -> bool:
        """Rows for what shares of routes overstep; whether there were any."""
        grid = self._grid
        taken = share[columns[self._table[:, 0]]]
        _, s, first, end, area = self._table[taken > 1e-9].T
        part_of = taken[taken > 1e-9]
        added = False
        for space in np.unique(s).tolist():
            mine = np.flatnonzero(s == space)
            for k in range(1, PACKINGS + 1):
                excess = np.full(grid.days.size, -float(k) - EPS)
                for n in mine:
                    part = slice(first[n], end[n])
                    room = grid.area[space, part]
                    excess[part] += part_of[n] * packing_weight(area[n], room, k)
                for peak in peaks(excess):
                    if ((k, space), peak) not in self._rows:
                        self._add_row(k, space, peak, columns)
                        added = True
        return added

    def _add_row(self, k: int, space: int, j: int, columns: Ints) -> None:
        i, s, first, end, area = self._table.T
        inside = (s == space) & (first <= j) & (j < end)
        entries = [
            (int(columns[route]), float(weight))
            for route, taken in zip(i[inside], area[inside], strict=True)
            if (weight := self._weight(int(taken), space, j, k))
        ]
        self._rows[(k, space), j] = self._linear.row(-np.inf, float(k), entries)
        self._blocks[space].append((k, j))

    def prices(self) -> Iterator[tuple[tuple[int, int], int, float]]:
        """(k, space), block and price of each row that has one."""
        return _prices(self._rows, self._linear)


def _prices(
    rows: dict[tuple[Line, int], int], linear: Linear
) -> Iterator[tuple[Line, int, float]]:
    for (line, j), row in rows.items():
        price = float(linear.price[row])
        if price > 0.0:
            yield line, j, price


def peaks(excess: Floats) -> Iterable[int]:
    """The worst place of each stretch above zero."""
    over = np.flatnonzero(excess > 0)
    if not over.size:
        return []
    parts = np.split(over, np.flatnonzero(np.diff(over) > 1) + 1)
    return [int(part[np.argmax(excess[part])]) for part in parts]
