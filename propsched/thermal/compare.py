"""
Mean of a series of differences that resemble one another from day to day.

References
----------
.. [1] F. W. Zwiers, H. von Storch, "Taking serial correlation into account in tests of
   the mean", J. Climate 8:336-351, 1995.
.. [2] M. G. Kendall, "Note on bias in the estimation of autocorrelation", Biometrika
   41:403-404, 1954: r₁ comes out too small by (1 + 4 r₁)/n (here without the n − 1).
"""

from dataclasses import dataclass
from math import hypot, inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import stats

Array = NDArray[np.float64]

LEAST_DAYS = 5
"""Fewer say nothing about their own spread and persistence."""
MOST_PERSISTENT = 0.98
_GRID = np.linspace(0.0, MOST_PERSISTENT, 99)


def unbiased(r1: float, n: int) -> float:
    """Correlation of neighbours with its bias taken out, [2]; from 0 to .98."""
    return float(np.clip(r1 + (1 + 4 * r1) / n, 0.0, MOST_PERSISTENT))


def effective_size(n: int, r1: float) -> float:
    """
    How many independent values say as much about the mean as n that persist, [1].

    Parameters
    ----------
    n : int
        Values, evenly spaced.
    r1 : float
        Correlation of neighbours; below 0 counts as 0.
    """
    r1 = max(r1, 0.0)
    return n * (1 - r1) / (1 + r1)


def effective_size_of(days: Array, keep: float) -> float:
    """
    The same for any spacing: n² over the sum of all correlations.

    Parameters
    ----------
    days : ndarray
        When, shape (n,). [d]
    keep : float
        Correlation of values a day apart.

    Notes
    -----
    The exact variance of the mean of a first-order autoregression; for evenly spaced
    values it tends to ``effective_size`` from above.
    """
    if keep <= 0:
        return float(days.size)
    gaps = np.abs(days[:, None] - days[None, :])
    return float(days.size**2 / (keep**gaps).sum())


def persistence(days: Array, values: Array) -> float:
    """
    Correlation of values a day apart, from values at any spacing.

    Parameters
    ----------
    days, values : ndarray
        Shape (n,), days rising. [d], any unit

    Notes
    -----
    Greatest likelihood of each value given the one before, whose weight falls as
    keep^gap. Its bias is taken out at the usual gap, where [2] holds.
    """
    d = values - values.mean()
    gap = np.diff(days)
    if d.size < 3 or not d.any():
        return 0.0
    weight = _GRID[:, None] ** gap
    left = 1 - weight**2
    error = (d[1:] - weight * d[:-1]) ** 2 / left
    first = d[0] ** 2
    scale = (error.sum(axis=1) + first) / d.size
    cost = d.size * np.log(scale) + np.log(left).sum(axis=1)
    usual = float(np.median(gap))
    r1 = float(_GRID[int(np.argmin(cost))]) ** usual
    return float(unbiased(r1, d.size) ** (1 / usual))


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A mean and between which values it lies."""

    mean: float
    low: float
    high: float
    level: float
    """Share of such intervals that hold the true mean."""
    sd: float
    """Of single days."""
    n: int
    n_eff: float
    r1: float
    """Correlation of values a day apart, its bias taken out."""

    @property
    def half(self) -> float:
        return (self.high - self.low) / 2

    @property
    def tells(self) -> bool:
        """Whether 0 lies outside."""
        return self.low > 0 or self.high < 0


def half_width(sd: float, n_eff: float, level: float) -> float:
    """
    t · sd/√n_eff with n_eff − 1 degrees of freedom, [1].

    Infinite below two independent values, which say nothing about their spread.
    """
    if n_eff < 2:
        return inf
    return float(stats.t.ppf((1 + level) / 2, n_eff - 1)) * sd / sqrt(n_eff)


def mean_interval(
    days: Array, values: Array, *, level: float = 0.95, systematic_sd: float = 0.0
) -> Interval | None:
    """
    Mean of daily values and its interval, allowing for persistence.

    Parameters
    ----------
    days, values : ndarray
        Shape (n,), days rising, at any spacing. [d], [K]
    level : float
    systematic_sd : float
        Error that all values share, as of two different probes. [K]

    Returns
    -------
    Interval or None
        None for fewer than five days.

    Notes
    -----
    Evenly spaced values have the effective number of [1]. For other spacings the sum
    over all pairs is taken. The degrees of freedom are n_eff − 1, so that short or
    persistent series get wide intervals.
    """
    n = values.size
    if n < LEAST_DAYS:
        return None
    keep = persistence(days, values)
    n_eff = size_of(days, keep)
    mean, sd = float(values.mean()), float(values.std(ddof=1))
    half = half_width(sd, n_eff, level)
    z = float(stats.norm.ppf((1 + level) / 2))
    half = hypot(half, z * systematic_sd)
    return Interval(
        mean=mean, low=mean - half, high=mean + half, level=level, sd=sd, n=n,
        n_eff=n_eff, r1=keep,
    )  # fmt: skip


def size_of(days: Array, keep: float) -> float:
    """Effective number at any spacing, never above that of even spacing."""
    gap = float((days[-1] - days[0]) / (days.size - 1))
    return min(effective_size_of(days, keep), effective_size(days.size, keep**gap))


def more_days(interval: Interval, wanted_half: float, most: int = 400) -> int | None:
    """
    How many more days like these would narrow the interval to so much.

    Parameters
    ----------
    interval : Interval
    wanted_half : float
        Half width wanted. [K]
    most : int
        Give up beyond so many.

    Returns
    -------
    int or None
        0 if it is as narrow already; None if it would take more than ``most``.
    """
    each = interval.n_eff / interval.n
    for more in range(most + 1):
        size = each * (interval.n + more)
        if half_width(interval.sd, size, interval.level) <= wanted_half:
            return more
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """How the difference goes with the temperature of the air."""

    per_k: float
    """[K/K]"""
    low: float
    high: float
    at_cold: float
    """Difference at the air temperature a tenth of the days are below. [K]"""
    at_mild: float
    """The same where a tenth are above. [K]"""
    cold_c: float
    mild_c: float
    zero_c: float
    """Air temperature at which it changes sign. [°C]"""

    @property
    def tells(self) -> bool:
        return self.low > 0 or self.high < 0


def slope_on(
    days: Array, values: Array, air_c: Array, *, level: float = 0.95
) -> Slope | None:
    """
    Straight line through differences against the day's air, least squares.

    Parameters
    ----------
    days, values, air_c : ndarray
        Shape (n,).

    Returns
    -------
    Slope or None
        None for fewer than eight days, or days all alike in temperature.

    Notes
    -----
    The interval of the slope is widened by √(n/n_eff) of the residuals.
    """
    n = values.size
    if n < LEAST_DAYS + 3 or np.ptp(air_c) < 1.0:
        return None
    spread = air_c - air_c.mean()
    per_k = float(spread @ values / (spread @ spread))
    rest = values - values.mean() - per_k * spread
    n_eff = size_of(days, persistence(days, rest))
    if n_eff <= 3:
        return None
    error = sqrt(float(rest @ rest) / (n - 2) / float(spread @ spread) * n / n_eff)
    half = float(stats.t.ppf((1 + level) / 2, n_eff - 2)) * error
    cold, mild = (float(q) for q in np.quantile(air_c, [0.1, 0.9]))
    middle, at = float(values.mean()), float(air_c.mean())
    return Slope(
        per_k=per_k, low=per_k - half, high=per_k + half,
        at_cold=middle + per_k * (cold - at), at_mild=middle + per_k * (mild - at),
        cold_c=cold, mild_c=mild, zero_c=at - middle / per_k if per_k else inf,
    )  # fmt: skip
