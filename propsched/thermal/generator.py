"""Invented winters from the twelve monthly means of a place."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_YEAR_DAYS = sum(MONTH_DAYS)
_SPIN_UP_D = 120
"""Days run before the first one kept, so that the start is forgotten."""


_SHARPNESS = 1.5
"""1: winter's spread passes into summer's like a cosine; above: winter is shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """
    How days differ from the mean of their season.

    The defaults are rounded figures for a cool maritime climate, set with an eye on
    two lowland stations at 53 and 54° N (2003–25) and, for the weeks' part in
    summer, on Nottingham 1920–39.  Autumn comes out somewhat too persistent: left of
    a day's difference five days later 0.23, measured 0.13; and one spring in ten has
    its last night below −5 °C two to three weeks later than measured.  The last
    air frost of spring comes right for nine years in ten, its median 6 to 8 days
    too early.
    """

    fast_sd_winter_c: float = 3.1
    """Spread of daily means that lasts for days, in mid-January. [K]"""
    fast_sd_summer_c: float = 1.9
    """The same in mid-July. [K]"""
    fast_keep: float = 0.69
    """Share of it left a day later."""
    slow_sd_winter_c: float = 0.8
    """Spread that lasts for weeks: mild and cold months, in mid-January. [K]"""
    slow_sd_summer_c: float = 1.0
    """The same in mid-July. [K]"""
    slow_keep: float = 0.95
    """Share of it left a day later."""
    range_spread: float = 0.39
    """Standard deviation of daily range ÷ its mean."""
    range_most_sd: float = 2.2
    """Ranges end so many standard deviations from their mean: overcast and clear."""
    range_keep: float = 0.35
    """Share of a day's difference in range left a day later."""
    range_corr_winter: float = -0.35
    """Correlation with the fast part: mild winter days are cloudy."""
    range_corr_summer: float = 0.15
    """The same in summer, when clear days are the warm ones."""


HABIT = Habit()


def seasonal_curve(monthly: Sequence[float]) -> Floats:
    """
    The smoothest yearly curve with the given monthly means.

    Parameters
    ----------
    monthly : sequence of float
        Twelve means, January first.

    Returns
    -------
    ndarray
        Shape (365,), 1 January first, in the unit of ``monthly``.  The mean of
        each month's days is the given one.

    Notes
    -----
    Least sum of squared second differences round the year under the twelve
    means: one linear system of the Lagrange conditions.  A line through mid-month
    points would lower the peaks and fill the troughs.
    """
    means = np.zeros((12, _YEAR_DAYS))
    first = 0
    for month, days in enumerate(MONTH_DAYS):
        means[month, first : first + days] = 1 / days
        first += days
    one = np.eye(_YEAR_DAYS)
    bend = np.roll(one, 1, axis=1) - 2 * one + np.roll(one, -1, axis=1)
    lagrange = np.block([[bend.T @ bend, means.T], [means, np.zeros((12, 12))]])
    known = np.concatenate([np.zeros(_YEAR_DAYS), np.asarray(monthly, float)])
    curve: Floats = np.linalg.solve(lagrange, known)[:_YEAR_DAYS]
    return curve


def generate(
    normals_tmin_c: Sequence[float],
    normals_tmax_c: Sequence[float],
    first: date,
    days: int,
    *,
    winters: int,
    seed: int,
    habit: Habit = HABIT,
) -> tuple[Floats, Floats]:
    """
    Daily minima and maxima of invented winters.

    Parameters
    ----------
    normals_tmin_c, normals_tmax_c : sequence of float
        Monthly means of the daily minimum and maximum, January first. [°C]
    first : date
        First day of every winter.
    days : int
        Length of every winter. [d]
    winters : int
        How many, K.
    seed : int
        Winter k depends on the seed and on k, not on K.
    habit : Habit
        Spread and persistence of the days.

    Returns
    -------
    tuple of ndarray
        Minima and maxima, each of shape (K, days), the minimum never above the
        maximum. [°C]

    Raises
    ------
    ValueError
        If a month's mean minimum is not below its mean maximum.

    Notes
    -----
    Daily mean = seasonal curve + AR(1) over days + AR(1) over weeks.  Daily range
    = seasonal curve × (1 + normal, cut off on both sides), correlated with the days'
    part.  Spread falls off quickly from midwinter, so that spring has few late frosts.
    First-order autoregression is the usual form of daily weather generators;
    see [1]_.  Northern and southern winters are told apart by the warmest month.

    References
    ----------
    .. [1] C. W. Richardson, "Stochastic simulation of daily precipitation,
       temperature, and solar radiation," Water Resources Research, vol. 17,
       pp. 182–190, 1981.
    """
    low, high = np.asarray(normals_tmin_c, float), np.asarray(normals_tmax_c, float)
    if not np.all(low < high):
        raise ValueError("every month's mean minimum must lie below its maximum")
    start = np.datetime64(first - timedelta(days=_SPIN_UP_D), "D")
    day = day_of_year(start + np.arange(_SPIN_UP_D + days))
    mean_c = seasonal_curve((low + high) / 2)[day]
    # a curve through strongly uneven months may dip; ranges stay positive
    range_c = np.maximum(seasonal_curve(high - low)[day], 0.2 * (high - low).min())
    winterly = _winterly(day, (low + high) / 2)

    noise = np.stack(
        [np.random.default_rng([seed, k]).standard_normal((3, day.size))
         for k in range(winters)],
        axis=1,
    ).reshape(3, winters, day.size)  # fmt: skip
    fast = _autoregress(noise[0], habit.fast_keep)
    slow = _autoregress(noise[1], habit.slow_keep)
    own = _autoregress(noise[2], habit.range_keep)

    def through_year(winter: float, summer: float) -> Floats:
        return summer + (winter - summer) * winterly

    fast_sd_c = through_year(habit.fast_sd_winter_c, habit.fast_sd_summer_c)
    slow_sd_c = through_year(habit.slow_sd_winter_c, habit.slow_sd_summer_c)
    daily_c = mean_c + fast_sd_c * fast + slow_sd_c * slow
    tied = through_year(habit.range_corr_winter, habit.range_corr_summer)
    clear = tied * fast + np.sqrt(1 - tied**2) * own
    clear = np.clip(clear, -habit.range_most_sd, habit.range_most_sd)
    swing_c = range_c * (1 + habit.range_spread * clear)
    keep = slice(_SPIN_UP_D, None)
    return (daily_c - swing_c / 2)[:, keep], (daily_c + swing_c / 2)[:, keep]


def day_of_year(days: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """0 for 1 January; 29 February counts as the day before it."""
    start = days.astype("datetime64[D]")
    month = start.astype("datetime64[M]")
    in_month = (start - month).astype(np.int64)
    of_year = month.astype(np.int64) % 12
    begins = np.concatenate([[0], np.cumsum(MONTH_DAYS)[:-1]])
    last = np.asarray(MONTH_DAYS)[of_year] - 1
    where: NDArray[np.int64] = begins[of_year] + np.minimum(in_month, last)
    return where


def _winterly(day: NDArray[np.int64], monthly_c: Floats) -> Floats:
    """1 in the middle of winter, 0 half a year later."""
    warmest_is_summer = monthly_c[5:8].mean() >= monthly_c[[11, 0, 1]].mean()
    coldest = 15 if warmest_is_summer else 15 + _YEAR_DAYS // 2
    turn: Floats = (1 + np.cos(2 * np.pi * (day - coldest) / _YEAR_DAYS)) / 2
    return turn**_SHARPNESS


def _autoregress(noise: Floats, keep: float) -> Floats:
    """First-order autoregression of unit variance along the last axis."""
    out = np.empty_like(noise)
    out[..., 0] = noise[..., 0]
    push = np.sqrt(1 - keep**2)
    for t in range(1, noise.shape[-1]):
        out[..., t] = keep * out[..., t - 1] + push * noise[..., t]
    return out
