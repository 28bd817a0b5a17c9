"""The habit of a place's days, fitted to its record, and winters with that habit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from propsched.thermal.generator import day_of_year, seasonal_curve
from propsched.thermal.scores import (
    MIDDLE,
    about,
    freezing_table,
    latent,
    means_of,
    moved,
    quantiles_of,
    shape_of,
    through_year,
    value_at,
)

Floats = NDArray[np.float64]

LEAST_DAYS = 75
"""Days of each calendar month needed for a fit: three Februaries, less a few gaps."""
SLOW_KEEP = 0.97
"""Share left a day later of what lasts for weeks.

Months of two Irish stations and of Nottingham 1920–39 go with the next by 0.2 to 0.3,
with the one after by 0.1 to 0.15: what lasts falls to 0.4 in a month."""

_SPIN_UP_D = 120
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
    freezing_c: Floats
    """(2, n): minima by the quantiles, and as they are about freezing. [°C]"""


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
    Scores become minima and ranges by the record's own quantiles for that time of the
    year, and minima about freezing by the record's own shares (``freezing_table``).
    About each month: correlations of the record's days on one day and from one day to
    the next, and, over four neighbouring months, covariance of a month's mean with that
    of the month before; the scores get those with which their days have the same.  A
    weeks' part is added until months go together as in the record; the days' part takes
    up the rest, so that scores keep unit variance.  What such a process cannot tell:
    cold spells break off less readily than mild ones; a night below −3 °C follows
    another in 37 to 42 of a hundred where it did in 50 and 51 at two Irish stations.
    Quantile mapping of a latent normal autoregression ("translation process"):
    M. Grigoriu, Applied Non-Gaussian Processes, 1995 (from memory).
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
    quantiles = np.stack([quantiles_of(part, day) for part in parts])
    quantiles[0] -= means_of(quantiles[0])[:, None]
    quantiles[1] /= means_of(quantiles[1])[:, None]

    curve_c = seasonal_curve(means[0])
    freezing_c = freezing_table(low, day, curve_c, quantiles[0])
    fitted = []
    for m in range(12):
        shape = np.stack([shape_of(row[int(MIDDLE[m])]) for row in quantiles])
        fitted.append(_split(*_moments(np.stack(parts), index, m, shape)))
    fast, keep, slow = (through_year(np.stack(x)) for x in zip(*fitted, strict=True))
    return FittedHabit(quantiles, fast, keep, slow, freezing_c)


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
        np.stack([value_at(scores[t, :, i], habit.quantiles[i, d])
                  for t, d in enumerate(day)], axis=1)
        for i in (0, 1)
    ]  # fmt: skip
    tmin_c = seasonal_curve(tuple(low))[day] + parts[0]
    tmin_c = moved(tmin_c, *habit.freezing_c)
    range_c = _ranges(high - low)[day] * np.maximum(parts[1], _LEAST_RANGE)
    kept = slice(_SPIN_UP_D, None)
    return tmin_c[:, kept], (tmin_c + range_c)[:, kept]


def _ranges(monthly: Sequence[float] | Floats) -> Floats:
    """Yearly curve of the mean range; uneven months may not make it dip too low."""
    curve = seasonal_curve(tuple(monthly))
    return np.maximum(curve, 0.2 * float(np.min(monthly)))


def _moments(
    parts: Floats, index: pd.DatetimeIndex, middle: int, shape: Floats
) -> tuple[Floats, Floats, Floats]:
    """Covariance of scores with the same day, the day before and the month before."""
    month = index.month.to_numpy() - 1
    near = about(day_of_year(index.to_numpy()), float(MIDDLE[middle]))
    known = np.asarray(np.isfinite(parts).all(axis=0))
    today = near & known
    pair = today[1:] & known[:-1]
    sd = parts[:, today].std(axis=1)
    unit = (parts - parts[:, today].mean(axis=1)[:, None]) / sd[:, None]
    same = unit[:, today] @ unit[:, today].T / today.sum()
    next_day = unit[:, 1:][:, pair] @ unit[:, :-1][:, pair].T / pair.sum()

    number = index.year.to_numpy() * 12 + month
    pairs, freedom = np.zeros((2, 2)), 0
    for m in range(middle - 1, middle + 3):
        here, before = (known & (month == n % 12) for n in (m, m - 1))
        means = [
            np.stack([_mean(unit[:, here & (number == n)]),
                      _mean(unit[:, before & (number == n - 1)])])
            for n in np.unique(number[here])
        ]  # fmt: skip
        both = [x for x in means if np.isfinite(x).all()]
        if len(both) < 2:
            continue
        apart = np.stack(both) - np.mean(both, axis=0)
        pairs += np.einsum("ni,nj->ij", apart[:, 0], apart[:, 1])
        freedom += len(both) - 1
    # one part of a month's mean goes with another's as days far apart do: weakly
    far = pairs / max(freedom, 1) / np.outer(shape[:, 0], shape[:, 0])
    return latent(same, shape), latent(next_day, shape), far


def _mean(days: Floats) -> Floats:
    """Mean of a month's days, unknown where too few are."""
    few = days.shape[1] < _LEAST_MONTH_D
    return np.full(2, np.nan) if few else np.asarray(days.mean(axis=1))


def _split(
    same: Floats, next_day: Floats, next_month: Floats
) -> tuple[Floats, Floats, Floats]:
    """Parts of the covariance that pass in days and in weeks; see ``fit_habit``."""
    lasting = _next_month_cov(np.eye(2), SLOW_KEEP * np.eye(2))[0, 0]
    slow = np.zeros((2, 2))
    for _ in range(60):
        fast, keep = _days_part(same, next_day, slow)
        missing = next_month - _next_month_cov(fast, keep) - lasting * slow
        slow = _bounded(slow + 0.3 * missing / lasting, 0.0, _MOST_SLOW)
    # what the days keep must be possible beside it
    while np.linalg.eigvalsh(same - slow)[0] < 0.1 * np.linalg.eigvalsh(same)[0]:
        slow *= 0.9
    return *_days_part(same, next_day, slow), slow


def _days_part(same: Floats, next_day: Floats, slow: Floats) -> tuple[Floats, Floats]:
    fast = _bounded(same - slow, 0.05, np.inf)
    keep = (next_day - SLOW_KEEP * slow) @ np.linalg.inv(fast)
    largest = np.abs(np.linalg.eigvals(keep)).max()
    return fast, keep * min(1.0, 0.95 / largest) if largest > 0 else keep


def _next_month_cov(cov: Floats, keep: Floats, days: int = 30) -> Floats:
    """Covariance of the mean of so many days with that of as many before."""
    total, lagged = np.zeros((2, 2)), cov
    for lag in range(1, 2 * days):
        lagged = keep @ lagged
        total += (days - abs(lag - days)) * lagged
    return total / days**2


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
