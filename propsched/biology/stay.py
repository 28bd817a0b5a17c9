"""A stage from its start to its end, for every variant, winter and day of start."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Sums = NDArray[np.float64]
"""Sum of the days before each day. Shape (V, K, N + 1)."""
Floats = NDArray[np.floating]
Ends = NDArray[np.int64]


def sums(daily: NDArray[np.generic]) -> Sums:
    """Sum of the days before each day; last axis one longer than that of ``daily``."""
    total = np.zeros((*daily.shape[:-1], daily.shape[-1] + 1))
    np.cumsum(daily, axis=-1, dtype=np.float64, out=total[..., 1:])
    return total


def first_reaching(sums: Sums, target: NDArray[np.float64]) -> Ends:
    """
    First day before which a growing sum has reached a target.

    Parameters
    ----------
    sums : array, shape (V, K, N + 1)
        Not falling along its last axis.
    target : array, shape (V, K, M)

    Returns
    -------
    array
        Shape (V, K, M); N + 1 where it is not reached.
    """
    flat, wanted = (
        sums.reshape(-1, sums.shape[-1]),
        target.reshape(-1, target.shape[-1]),
    )
    found = np.empty(wanted.shape, np.int64)
    for row, (growing, aims) in enumerate(zip(flat, wanted, strict=True)):
        # a rounding error must not cost a day
        found[row] = growing.searchsorted(aims - 1e-6)
    return found.reshape(target.shape)


@dataclass(frozen=True)
class Stays:
    """
    Days ``start`` to ``end``, the end not included, M starts from day 0 on.

    Every method gives shape (V, K, M) or one that broadcasts to it.
    """

    end: Ends
    """First day after; never before the start. Shape (V, K, M)."""

    @cached_property
    def start(self) -> Ends:
        """Shape (M,)."""
        return np.arange(self.end.shape[-1])

    @cached_property
    def length(self) -> Ends:
        return self.end - self.start

    def total(self, sums: Sums) -> NDArray[np.float64]:
        """Sum over the stay."""
        return self.at_end(sums) - sums[..., : self.end.shape[-1]]

    def mean(self, sums: Sums) -> NDArray[np.float64]:
        """Mean over the stay; of an empty one 0."""
        return self.total(sums) / np.maximum(self.length, 1)

    def least(self, minima: "Minima") -> Floats:
        """Least daily value over the stay; of an empty one +inf."""
        return _least(minima, self.start, self.end)

    def least_from(self, minima: "Minima", day: int) -> Floats:
        """Least daily value from so many days into the stay; +inf if it is over."""
        return _least(minima, self.start + day, self.end)

    def least_until(self, minima: "Minima", day: int) -> Floats:
        """Least daily value of the first days of the stay; of none +inf."""
        return _least(minima, self.start, np.minimum(self.start + day, self.end))

    def at_end(self, sums: Sums) -> NDArray[np.float64]:
        """Sum of the days before the end."""
        return at(sums, self.end)


def _least(minima: "Minima", start: Ends, end: Ends) -> Floats:
    length = end - start
    level = np.floor(np.log2(np.maximum(length, 1))).astype(np.int64)
    last = np.maximum(end - (1 << level), 0)
    first = np.broadcast_to(start, end.shape)
    least = np.minimum(minima.at(level, first), minima.at(level, last))
    return np.where(length > 0, least, np.float32(np.inf))


def at(sums: Sums, day: Ends) -> NDArray[np.float64]:
    """Sum of the days before ``day`` (V, K, M), which is at most N."""
    # one flat index: several times quicker than an index for each axis
    v, k, n = sums.shape
    rows = np.arange(v * k).reshape(v, k, 1) * n
    found: NDArray[np.float64] = sums.reshape(-1).take(rows + day)
    return found


class Minima:
    """
    Least value of any run of days in two reads: minima of runs of 1, 2, 4 … days.

    Parameters
    ----------
    daily : array, shape (V, K, N)
    """

    def __init__(self, daily: NDArray[np.float32]) -> None:
        levels = [daily]
        run = 1
        while 2 * run <= daily.shape[-1]:
            wider = levels[-1].copy()
            np.minimum(wider[..., :-run], wider[..., run:], out=wider[..., :-run])
            levels.append(wider)
            run *= 2
        self._levels = np.stack(levels)

    def at(self, level: Ends, day: Ends) -> NDArray[np.float32]:
        """Least of the ``2**level`` days from ``day``. Shape (V, K, M)."""
        _, v, k, n = self._levels.shape
        rows = np.arange(v * k).reshape(v, k, 1) * n
        place = level * (v * k * n) + rows + np.minimum(day, n - 1)
        least: NDArray[np.float32] = self._levels.reshape(-1).take(place)
        return least
