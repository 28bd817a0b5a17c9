"""Distributions of daily values through the year, and normal scores by them."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from propsched.thermal.generator import MONTH_DAYS

Floats = NDArray[np.float64]

YEAR_DAYS = sum(MONTH_DAYS)
MIDDLE = np.cumsum(MONTH_DAYS) - np.asarray(MONTH_DAYS) / 2
"""Middles of the months. [d]"""

_WINDOW_D = 30
"""A month's habit is of the days within so many of its middle: twice the days of the
month, for less noise, and few enough for the seasons to stay apart."""
_SCORES = np.linspace(-2.6, 2.6, 27)
"""Normal scores whose quantiles are kept: 0.5 to 99.5 %, where a month of twenty
years still has six days beyond; straight on from there."""
_FREEZING_C = np.linspace(-3.0, 3.0, 13)
"""Minima about freezing at which shares are held; what holds them fades out ..."""
_FADE_K = 2.0
"""... within so much beyond."""
_LEAST_BELOW = 40
"""Days that a share needs beyond it on either side."""

_ORDERS = 8
"""Hermite polynomials that tell a distribution's shape."""


def through_year(monthly: Floats) -> Floats:
    """Straight lines between the middles of months, round the year."""
    at = np.concatenate([[MIDDLE[-1] - YEAR_DAYS], MIDDLE, [MIDDLE[0] + YEAR_DAYS]])
    ring = np.concatenate([monthly[-1:], monthly, monthly[:1]])
    day = np.arange(YEAR_DAYS) + 0.5
    left = np.searchsorted(at, day, side="right") - 1
    share = (day - at[left]) / (at[left + 1] - at[left])
    share = share.reshape(-1, *(1,) * (monthly.ndim - 1))
    curve: Floats = ring[left] * (1 - share) + ring[left + 1] * share
    return curve


def about(day: NDArray[np.int64], middle: float) -> NDArray[np.bool_]:
    """Whether days of the year are about the middle of a month."""
    half = YEAR_DAYS / 2
    away = np.abs((day + 0.5 - middle + half) % YEAR_DAYS - half)
    return np.asarray(away <= _WINDOW_D)


def quantiles_of(part: Floats, day: NDArray[np.int64]) -> Floats:
    """Quantiles for every day of the year, (365, scores)."""
    rows = []
    for middle in MIDDLE:
        near = part[about(day, float(middle)) & np.isfinite(part)]
        rows.append(np.quantile(near, ndtr(_SCORES), method="hazen"))
    return through_year(np.stack(rows))


def value_at(score: Floats, quantiles: Floats) -> Floats:
    """Value at a normal score; beyond the ends on with the slope of the last part."""
    inside = np.interp(score, _SCORES, quantiles)
    return np.asarray(inside + _beyond(score, _SCORES) * _tail(quantiles, score < 0))


def score_of(value: Floats, quantiles: Floats) -> Floats:
    """Normal score of a value, ``value_at`` the other way round."""
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


def means_of(quantiles: Floats) -> Floats:
    """Mean of every day's distribution, (365,)."""
    fine = (np.arange(2000) + 0.5) / 2000
    score = np.interp(fine, ndtr(np.linspace(-4, 4, 801)), np.linspace(-4, 4, 801))
    return np.stack([value_at(score, row).mean() for row in quantiles])


def shape_of(quantiles: Floats) -> Floats:
    """
    How far values are straight, square, ... in their scores.

    Coefficients of the normalised Hermite polynomials 1 to ``_ORDERS``, whose squares
    add up to 1.
    """
    score, weight = np.polynomial.hermite_e.hermegauss(100)
    value = value_at(score, quantiles)
    out = np.empty(_ORDERS)
    size = 1.0
    for k in range(1, _ORDERS + 1):
        size *= np.sqrt(k)
        basis = np.polynomial.hermite_e.hermeval(score, np.eye(k + 1)[k]) / size
        out[k - 1] = (weight * value * basis).sum()
    return np.asarray(out / np.sqrt((out**2).sum()))


def latent(correlations: Floats, shape: Floats) -> Floats:
    """
    Correlations of scores that give their values the wanted ones.

    Parameters
    ----------
    correlations : ndarray
        (2, 2), of variable i with variable j.
    shape : ndarray
        (2, orders), of ``shape_of``.

    Returns
    -------
    ndarray
        (2, 2).

    Notes
    -----
    Values whose scores are correlated by r have the correlation Σ cₖ dₖ rᵏ (Mehler's
    formula), usually a little less.
    """
    grid = np.linspace(-0.98, 0.98, 197)
    powers = np.stack([grid**k for k in range(1, _ORDERS + 1)])
    out = np.ones((2, 2))
    for i, j in np.ndindex(2, 2):
        if correlations[i, j] < 1 - 1e-9:
            of_values = np.maximum.accumulate((shape[i] * shape[j]) @ powers)
            out[i, j] = np.interp(correlations[i, j], of_values, grid)
    return out


def freezing_table(
    low_c: Floats, day: NDArray[np.int64], curve_c: Floats, quantiles: Floats
) -> Floats:
    """
    Minima as the smoothed quantiles have them, beside minima as they are.

    Parameters
    ----------
    low_c, day : ndarray
        Daily minima of the record and their day of the year. [°C]
    curve_c : ndarray
        Mean minimum through the year, (365,). [°C]
    quantiles : ndarray
        Distribution of the minimum less that mean, (365, scores). [K]

    Returns
    -------
    ndarray
        (2, n): rising pairs, smoothed then real; one and the same at both ends. [°C]

    Notes
    -----
    Water that freezes holds nights at 0 °C: 1.5 and 1.7 times as many end in
    the degree above as in the degree below at two Irish stations.  That edge
    stays at 0 °C while the mean moves through the seasons, so that quantiles of
    differences from the mean blur it and have some 5 % too many frost days.  Here the
    share of days below each of ``_FREEZING_C``, of the whole year, is the record's.
    """
    known = np.isfinite(low_c)
    weight = np.bincount(day[known], minlength=YEAR_DAYS) / known.sum()
    smooth_c = np.linspace(_FREEZING_C[0] - _FADE_K, _FREEZING_C[-1] + _FADE_K, 401)
    share = sum(
        weight[d] * ndtr(score_of(smooth_c - curve_c[d], quantiles[d]))
        for d in range(YEAR_DAYS)
    )
    below = np.array([(low_c[known] < c).sum() for c in _FREEZING_C])
    enough = (below >= _LEAST_BELOW) & (below <= known.sum() - _LEAST_BELOW)
    real_c = _FREEZING_C[enough]
    held_c = np.interp(below[enough] / known.sum(), share, smooth_c)
    if not enough.any():
        return np.zeros((2, 1))
    # never so far that order is lost
    held_c = real_c + np.clip(held_c - real_c, -_FADE_K / 2, _FADE_K / 2)
    apart_c = 0.01 * np.arange(held_c.size)
    held_c = np.maximum.accumulate(held_c - apart_c) + apart_c
    ends = real_c[0] - _FADE_K, real_c[-1] + _FADE_K
    return np.stack([
        np.concatenate([ends[:1], pair, ends[1:]]) for pair in (held_c, real_c)
    ])  # fmt: skip


def moved(value_c: Floats, before_c: Floats, after_c: Floats) -> Floats:
    """Values by a table of pairs; what lies outside it stays."""
    return np.asarray(value_c + np.interp(value_c, before_c, after_c - before_c))
