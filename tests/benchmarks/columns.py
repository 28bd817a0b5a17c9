"""A linear programme put together in arrays, for HiGHS."""

from dataclasses import dataclass, field

import highspy
import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass
class Columns:
    """Columns, rows and entries, many at a time."""

    width: int = 0
    height: int = 0
    costs: list[Floats] = field(default_factory=list)
    uppers: list[Floats] = field(default_factory=list)
    wholes: list[NDArray[np.bool_]] = field(default_factory=list)
    lows: list[Floats] = field(default_factory=list)
    highs: list[Floats] = field(default_factory=list)
    entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)

    def more(self, costs: Floats, *, whole: bool, upper: Floats | None = None) -> Ints:
        """Columns from 0 to ``upper``, or to 1; their numbers."""
        n = costs.size
        self.costs.append(costs)
        self.uppers.append(np.ones(n) if upper is None else upper)
        self.wholes.append(np.full(n, whole))
        self.width += n
        return np.arange(self.width - n, self.width)

    def more_rows(self, low: float, high: Floats) -> Ints:
        """Rows; their numbers."""
        n = high.size
        self.lows.append(np.full(n, low))
        self.highs.append(high)
        self.height += n
        return np.arange(self.height - n, self.height)

    def enter(self, rows: Ints, columns: Ints, value: float) -> None:
        """One value at many places."""
        self.entries.append((rows, columns, np.full(columns.size, value)))

    def whole(self) -> Ints:
        """Numbers of the columns that are whole."""
        return np.flatnonzero(np.concatenate(self.wholes))

    def model(self) -> highspy.Highs:
        """The programme in HiGHS, to be maximised."""
        rows, columns, values = (
            np.concatenate(parts) for parts in zip(*self.entries, strict=True)
        )
        order = np.lexsort((rows, columns))
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self.width, self.height
        lp.sense_ = highspy.ObjSense.kMaximize
        lp.col_cost_ = np.concatenate(self.costs)
        lp.col_lower_ = np.zeros(self.width)
        lp.col_upper_ = np.concatenate(self.uppers)
        lp.row_lower_ = np.concatenate(self.lows)
        lp.row_upper_ = np.concatenate(self.highs)
        counts = np.bincount(columns, minlength=self.width)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
        lp.a_matrix_.index_ = rows[order].astype(np.int32)
        lp.a_matrix_.value_ = values[order]
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[int(w)] for w in np.concatenate(self.wholes)]
        model = highspy.Highs()
        model.setOptionValue("output_flag", False)
        model.passModel(lp)
        return model
