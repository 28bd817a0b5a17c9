"""The habit of a place's days, fitted to its record, and winters with that habit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtr

from propsched.thermal.generator import MONTH_DAYS, day_of_year, seasonal_curve

Floats = NDArray[np.float64]

LEAST_DAYS = 75
"""Days of each calendar month needed for a fit: three Februaries, less a few gaps."""
SLOW_KEEP = 0.95
"""Share left a day later of what lasts for weeks; as in ``generator.Habit``."""

_YEAR_DAYS = sum(MONTH_DAYS)
_SPIN_UP_D = 120
_MIDDLE = np.cumsum(MONTH_DAYS) - np.asarray(MONTH_DAYS) / 2
_WINDOW_D = 30
"""A month's habit is of the days within so many of its middle: twice the days of the
month, for less noise, and few enough for the seasons to stay apart."""
_SCORES = np.linspace(-2.6, 2.6, 27)
"""Normal scores whose quantiles are kept: 0.5 to 99.5 %, where a month of twenty
years still has six days beyond; straight on from there."""
_LEAST_MONTH_D = 20
"""Days that a single month needs for its mean to count."""
_MOST_SLOW = 0.5
"""Greatest share of the variance that may last for weeks."""
_LEAST_RANGE = 0.05
"""Ranges stay above this part of their mean."""


@dataclass(frozen=True, slots=True)
class FittedHabit:
    """
    How the minimum and the range of days differ from the mean of their season.

    Two variables throughout: minimum, then range.  Normal scores of both follow a
    first-order vector autoregression for the days plus one for the weeks.
    """

    quantiles: Floats
    """(2, 365, scores): minimum less its mean [K]; range ÷ its mean."""
    fast_cov: Floats
    """(365, 2, 2): covariance of the days' part of the scores."""
    fast_keep: Floats
    """(365, 2, 2): matrix by which the days' part is carried to the next day."""
    slow_cov: Floats
    """(365, 2, 2): covariance of the weeks' part."""


def can_fit(record: pd.DataFrame) -> bool:
    """Whether a record has enough days in every month, and days that differ."""
    days = record[["tmin_c", "tmax_c"]].dropna()
    month = pd.DatetimeIndex(days.index).month.to_numpy()
    swing = (days["tmax_c"] - days["tmin_c"]).to_numpy()
    low = days["tmin_c"].to_numpy()
    return all(
        (here := month == m).sum() >= LEAST_DAYS
        and low[here].std() > 0
        and swing[here].std() > 0
        and swing[here].mean() > 0
        for m in range(1, 13)
    )


def fit_habit(record: pd.DataFrame) -> FittedHabit:
    """
    Spread, persistence and joint behaviour of a record's days through the year.

    Parameters
    ----------
    record : DataFrame
        Indexed by day, without a break; columns tmin_c and tmax_c [°C], NaN where
        unknown.

    Returns
    -------
    FittedHabit

    Raises
    ------
    ValueError
        If ``can_fit`` says no.

    Notes
    -----
    Each day's minimum and range become normal scores by the record's own quantiles
    for that time of the year, so that the share of frost days is the record's.  About
    each month: covariances of the scores on one day and from one day to the next, and,
    with its two neighbours, of the months' means between years.  A weeks' part is added
    until the variance of months' means is the record's; the days' part takes up the
    rest.  What such a process cannot tell: cold spells of some winters break off less
    readily than mild ones; a night below −3 °C follows another in 39 to 42 of a hundred
    where it did in 51 to 53 at two Irish stations.  Quantile mapping of a latent normal
    autoregression ("translation process"): M. Grigoriu, Applied Non-Gaussian Processes,
    1995 (from memory).
    """
    if not can_fit(record):
        raise ValueError(f"a month has fewer than {LEAST_DAYS} days, or days all alike")
    index = pd.DatetimeIndex(record.index)
    month = index.month.to_numpy() - 1
    day = day_of_year(index.to_numpy())
    low = record["tmin_c"].to_numpy(dtype=np.float64)
    swing = record["tmax_c"].to_numpy(dtype=np.float64) - low
    low = np.where(np.isnan(swing), np.nan, low)
    means = [[np.nanmean(x[month == m]) for m in range(12)] for x in (low, swing)]
    parts = (low - seasonal_curve(means[0])[day], swing / _ranges(means[1])[day])
    quantiles = np.stack([_quantiles(part, day) for part in parts])
    quantiles[0] -= _mean(quantiles[0])[:, None]
    quantiles[1] /= _mean(quantiles[1])[:, None]

    scores = np.full((2, day.size), np.nan)
    for d in range(_YEAR_DAYS):
        here = np.flatnonzero(day == d)
        for i, part in enumerate(parts):
            scores[i, here] = _score(part[here], quantiles[i, d])
    fitted = [_moments(scores, index, m) for m in range(12)]
    fast, keep, slow = (_through_year(np.stack(x)) for x in zip(*fitted, strict=True))
    return FittedHabit(quantiles, fast, keep, slow)


def imitate(
    habit: FittedHabit,
    normals_tmin_c: Sequence[float],
    normals_tmax_c: Sequence[float],
    first: date,
    days: int,
    *,
    winters: int,
    seed: int,
) -> tuple[Floats, Floats]:
    """
    Daily minima and maxima of winters with a fitted habit.

    Parameters
    ----------
    habit : FittedHabit
    normals_tmin_c, normals_tmax_c : sequence of float
        Monthly means of the daily minimum and maximum, January first; the record's
        own or those of a longer time. [°C]
    first : date
        First day of every winter.
    days : int
        Length of every winter. [d]
    winters : int
        How many, K.
    seed : int
        Winter k depends on the seed and on k, not on K.

    Returns
    -------
    tuple of ndarray
        Minima and maxima, each of shape (K, days), the minimum below the maximum. [°C]

    Raises
    ------
    ValueError
        If a month's mean minimum is not below its mean maximum.
    """
    low, high = np.asarray(normals_tmin_c, float), np.asarray(normals_tmax_c, float)
    if not np.all(low < high):
        raise ValueError("every month's mean minimum must lie below its maximum")
    start = np.datetime64(first - timedelta(days=_SPIN_UP_D), "D")
    day = day_of_year(start + np.arange(_SPIN_UP_D + days))
    noise = np.stack([
        np.random.default_rng([seed, k]).standard_normal((2, day.size, 2))
        for k in range(winters)
    ], axis=2)  # fmt: skip
    week = np.broadcast_to(SLOW_KEEP * np.eye(2), habit.fast_keep.shape)
    scores = _run(noise[0], habit.fast_cov[day], habit.fast_keep[day])
    scores += _run(noise[1], habit.slow_cov[day], week[day])
    parts = [
        np.stack([_value(scores[t, :, i], habit.quantiles[i, d])
                  for t, d in enumerate(day)], axis=1)
        for i in (0, 1)
    ]  # fmt: skip
    tmin_c = seasonal_curve(tuple(low))[day] + parts[0]
    range_c = _ranges(high - low)[day] * np.maximum(parts[1], _LEAST_RANGE)
    kept = slice(_SPIN_UP_D, None)
    return tmin_c[:, kept], (tmin_c + range_c)[:, kept]


def _ranges(monthly: Sequence[float] | Floats) -> Floats:
    """Yearly curve of the mean range; uneven months may not make it dip too low."""
    curve = seasonal_curve(tuple(monthly))
    return np.maximum(curve, 0.2 * float(np.min(monthly)))


def _through_year(monthly: Floats) -> Floats:
    """Straight lines between the middles of months, round the year."""
    at = np.concatenate(
        [[_MIDDLE[-1] - _YEAR_DAYS], _MIDDLE, [_MIDDLE[0] + _YEAR_DAYS]]
    )
    ring = np.concatenate([monthly[-1:], monthly, monthly[:1]])
    day = np.arange(_YEAR_DAYS) + 0.5
    left = np.searchsorted(at, day, side="right") - 1
    share = (day - at[left]) / (at[left + 1] - at[left])
    share = share.reshape(-1, *(1,) * (monthly.ndim - 1))
    curve: Floats = ring[left] * (1 - share) + ring[left + 1] * share
    return curve


def _near(day: NDArray[np.int64], middle: float) -> NDArray[np.bool_]:
    """Days of any year about the middle of a month."""
    half = _YEAR_DAYS / 2
    away = np.abs((day + 0.5 - middle + half) % _YEAR_DAYS - half)
    return np.asarray(away <= _WINDOW_D)


def _quantiles(part: Floats, day: NDArray[np.int64]) -> Floats:
    """(365, scores)"""
    rows = []
    for middle in _MIDDLE:
        near = part[_near(day, float(middle)) & np.isfinite(part)]
        rows.append(np.quantile(near, ndtr(_SCORES), method="hazen"))
    return _through_year(np.stack(rows))


def _value(score: Floats, quantiles: Floats) -> Floats:
    """Value at a normal score; beyond the ends on with the slope of the last part."""
    inside = np.interp(score, _SCORES, quantiles)
    return np.asarray(inside + _beyond(score, _SCORES) * _tail(quantiles, score < 0))


def _score(value: Floats, quantiles: Floats) -> Floats:
    """Normal score of a value, ``_value`` the other way round."""
    inside = np.interp(value, quantiles, _SCORES)
    over = _beyond(value, quantiles)
    slope = _tail(quantiles, over < 0)
    far = np.divide(over, slope, out=np.zeros_like(over), where=slope > 0)
    # a value far outside its tail is rare, not impossible
    return np.asarray(inside + np.clip(far, -1.5, 1.5))


def _beyond(x: Floats, ends: Floats) -> Floats:
    out: Floats = np.maximum(x - ends[-1], 0) + np.minimum(x - ends[0], 0)
    return out


def _tail(quantiles: Floats, lower: NDArray[np.bool_]) -> Floats:
    """Change a unit of score over the last three steps, 1.4 % to 0.5 %."""
    step = _SCORES[3] - _SCORES[0]
    down = (quantiles[3] - quantiles[0]) / step
    up = (quantiles[-1] - quantiles[-4]) / step
    return np.asarray(np.where(lower, down, up))


def _mean(quantiles: Floats) -> Floats:
    """Mean of every day's distribution, (365,)."""
    fine = (np.arange(2000) + 0.5) / 2000
    score = np.interp(fine, ndtr(np.linspace(-4, 4, 801)), np.linspace(-4, 4, 801))
    return np.stack([_value(score, row).mean() for row in quantiles])


def _moments(
    scores: Floats, index: pd.DatetimeIndex, middle: int
) -> tuple[Floats, Floats, Floats]:
    """Days' covariance, days' carry-over and weeks' covariance about one month."""
    month = index.month.to_numpy() - 1
    near = _near(day_of_year(index.to_numpy()), float(_MIDDLE[middle]))
    known = np.asarray(np.isfinite(scores).all(axis=0))
    today = near & known
    pair = today[1:] & known[:-1]
    sd = scores[:, today].std(axis=1)
    unit = (scores - scores[:, today].mean(axis=1)[:, None]) / sd[:, None]
    same = unit[:, today] @ unit[:, today].T / today.sum()
    next_day = unit[:, 1:][:, pair] @ unit[:, :-1][:, pair].T / pair.sum()

    number = index.year.to_numpy() * 12 + month
    squares, freedom = np.zeros((2, 2)), 0
    for m in {(middle - 1) % 12, middle, (middle + 1) % 12}:
        of_month = known & (month == m)
        means = [
            unit[:, of_month & (number == n)].mean(axis=1)
            for n in np.unique(number[of_month])
            if (of_month & (number == n)).sum() >= _LEAST_MONTH_D
        ]
        if len(means) > 1:
            apart = np.stack(means) - np.mean(means, axis=0)
            squares += apart.T @ apart
            freedom += len(means) - 1
    return _split(same, next_day, squares / max(freedom, 1))


def _split(
    same: Floats, next_day: Floats, months: Floats
) -> tuple[Floats, Floats, Floats]:
    """Parts of the covariance that pass in days and in weeks; see ``fit_habit``."""
    lasting = _month_mean_cov(np.eye(2), SLOW_KEEP * np.eye(2))[0, 0]
    slow = np.zeros((2, 2))
    for _ in range(60):
        fast, keep = _days_part(same, next_day, slow)
        missing = months - _month_mean_cov(fast, keep) - lasting * slow
        slow = _bounded(slow + 0.5 * missing / lasting, 0.0, _MOST_SLOW)
    # what the days keep must be possible beside it
    while np.linalg.eigvalsh(same - slow)[0] < 0.1 * np.linalg.eigvalsh(same)[0]:
        slow *= 0.9
    return *_days_part(same, next_day, slow), slow


def _days_part(same: Floats, next_day: Floats, slow: Floats) -> tuple[Floats, Floats]:
    fast = _bounded(same - slow, 0.05, np.inf)
    keep = (next_day - SLOW_KEEP * slow) @ np.linalg.inv(fast)
    largest = np.abs(np.linalg.eigvals(keep)).max()
    return fast, keep * min(1.0, 0.95 / largest) if largest > 0 else keep


def _month_mean_cov(cov: Floats, keep: Floats, days: int = 30) -> Floats:
    """Covariance of the mean of so many days of a vector autoregression."""
    total, lagged = cov.copy(), cov
    for lag in range(1, days):
        lagged = keep @ lagged
        total += (1 - lag / days) * (lagged + lagged.T)
    return total / days


def _bounded(cov: Floats, least: float, most: float) -> Floats:
    """The symmetric matrix with eigenvalues brought within bounds."""
    size, axes = np.linalg.eigh((cov + np.swapaxes(cov, -1, -2)) / 2)
    bounded: Floats = (axes * np.clip(size, least, most)[..., None, :]) @ np.swapaxes(
        axes, -1, -2
    )
    return bounded


def _run(noise: Floats, cov: Floats, keep: Floats) -> Floats:
    """Vector autoregression whose covariance is ``cov`` on every day; (N, K, 2)."""
    before = np.concatenate([cov[:1], cov[:-1]])
    push = cov - keep @ before @ np.swapaxes(keep, -1, -2)
    push[0] = cov[0]
    size, axes = np.linalg.eigh((push + np.swapaxes(push, -1, -2)) / 2)
    root = axes * np.sqrt(np.maximum(size, 0))[:, None, :]
    shock = np.einsum("tij,tkj->tki", root, noise)
    out: Floats = np.empty_like(shock)
    out[0] = shock[0]
    for t in range(1, len(shock)):
        out[t] = out[t - 1] @ keep[t].T + shock[t]
    return out
