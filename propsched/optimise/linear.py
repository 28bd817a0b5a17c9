"""A linear programme that grows: columns and rows are added, its basis is kept."""

from collections.abc import Callable, Iterable

import highspy
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Entries = Iterable[tuple[int, float]]


SLICE = 500
"""Steps of the simplex method between two looks whether to stop: some tenths of a
second in the largest programmes.  Counted in steps, so that a solve can be repeated."""


class StoppedError(Exception):
    """It was told to stop before the optimum was found."""


class _Quiet(highspy.Highs):
    """HiGHS that does not announce itself on standard output."""

    def enableCallbacks(self) -> None:  # noqa: N802 – its name there
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


class Linear:
    """
    Largest worth over columns ≥ 0, under rows.

    Columns and rows are numbered as they come.  They reach the solver in batches,
    before it runs.
    """

    def __init__(self, stop: Callable[[], bool]) -> None:
        """
        Parameters
        ----------
        stop : callable
            Whether to give up; asked now and then.
        """
        self._stop = stop
        self._solver = _Quiet()  # type: ignore[no-untyped-call]
        for name, value in (
            ("output_flag", False),
            ("parallel", "off"),
            ("solver", "simplex"),
            ("presolve", "off"),
            ("simplex_iteration_limit", SLICE),
        ):
            self._solver.setOptionValue(name, value)
        self._solver.changeObjectiveSense(highspy.ObjSense.kMaximize)
        self._columns: list[tuple[float, float]] = []
        self._in_columns: list[list[tuple[int, float]]] = []
        self._rows: list[tuple[float, float, list[tuple[int, float]]]] = []
        self._sent_columns = self._sent_rows = 0
        self._bounds: dict[int, tuple[float, float]] = {}
        self.value: Floats = np.zeros(0)
        """Of each column, after ``solve``."""
        self.price: Floats = np.zeros(0)
        """Of each row: worth of one more unit of its limit."""
        self.worth = 0.0

    def column(self, cost: float, entries: Entries = (), upper: float = np.inf) -> int:
        """
        A new column.

        Parameters
        ----------
        entries : iterable
            Rows, each once, with its amount in them.
        """
        self._columns.append((cost, upper))
        self._in_columns.append(list(entries))
        return self._sent_columns + len(self._columns) - 1

    def row(self, low: float, high: float, entries: Entries = ()) -> int:
        """A new row; ``entries`` are columns, each once, with their amounts."""
        self._rows.append((low, high, list(entries)))
        return self._sent_rows + len(self._rows) - 1

    def bound(self, column: int, low: float, high: float) -> None:
        """Hold a column between two values from now on."""
        self._bounds[column] = (low, high)

    def solve(self) -> None:
        """
        Find the optimum.

        Raises
        ------
        StoppedError
            It was told to stop.
        RuntimeError
            There is none.
        """
        self._send()
        status = self._run()
        if status != highspy.HighsModelStatus.kOptimal:
            # From nothing, in case only its basis was in the way.
            self._solver.clearSolver()
            status = self._run()
        if status != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(f"no optimum of shares: {status.name}")
        found = self._solver.getSolution()
        self.value = np.array(found.col_value)
        self.price = np.array(found.row_dual)
        self.worth = float(self._solver.getInfo().objective_function_value)

    def _run(self) -> highspy.HighsModelStatus:
        while True:
            self._solver.run()
            status = self._solver.getModelStatus()
            if status != highspy.HighsModelStatus.kIterationLimit:
                return status
            if self._stop():
                raise StoppedError

    def _send(self) -> None:
        """Columns first; what they have in new rows goes with those."""
        old = self._sent_rows
        fresh = [list(entries) for _, _, entries in self._rows]
        parts: list[list[tuple[int, float]]] = []
        for i, entries in enumerate(self._in_columns, self._sent_columns):
            parts.append([(row, amount) for row, amount in entries if row < old])
            for row, amount in entries:
                if row >= old:
                    fresh[row - old].append((i, amount))
        if self._columns:
            cost, upper = np.array(self._columns).T
            n = cost.size
            self._solver.addCols(n, cost, np.zeros(n), upper, *_packed(parts))
        if self._rows:
            low = np.array([low for low, _, _ in self._rows])
            high = np.array([high for _, high, _ in self._rows])
            self._solver.addRows(low.size, low, high, *_packed(fresh))
        for column, (least, most) in self._bounds.items():
            self._solver.changeColBounds(column, least, most)
        self._sent_columns += len(self._columns)
        self._sent_rows += len(self._rows)
        self._columns.clear()
        self._in_columns.clear()
        self._rows.clear()
        self._bounds.clear()


def _packed(
    parts: list[list[tuple[int, float]]],
) -> tuple[int, NDArray[np.int32], NDArray[np.int32], Floats]:
    """Entries of several rows or columns one after another: how many, starts, …"""
    sizes = np.array([len(part) for part in parts], dtype=np.int64)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int32)
    flat = [entry for part in parts for entry in part]
    index = np.array([place for place, _ in flat], dtype=np.int32)
    amount = np.array([value for _, value in flat], dtype=np.float64)
    return len(flat), starts, index, amount
