"""How the days to come follow from today: forecast error, and weather that lasts."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from propsched.thermal.outlook_types import DayKind

Floats = NDArray[np.float64]

LASTING = ((0.90, 0.65), (0.10, 0.93))
"""
Shares of a winter day's departure from the season, and what is left a day later.

Together .68, .47, .33, .17, .10 and .04 after 1, 2, 3, 5, 7 and 14 days; daily means of
November to March at two lowland stations, 53 and 54° N, have .70, .46, .34, .19, .12
and .07.
"""
LASTS_D = 14
"""Days after which today's weather says nothing more."""
FIRST_ERROR = 0.31
"""
Error of a forecast for tomorrow, as a share of the spread of past winters' days.

1.0 K of 3.2 K; from memory of the skill of daily forecasts.
"""
NO_SKILL_LEAD_D = 10
"""A forecast so many days ahead is no better than past winters; from memory."""


def forecast_error(lead_d: NDArray[np.int64]) -> Floats:
    """
    Error of a forecast as a share of the spread of past winters' days.

    Parameters
    ----------
    lead_d : ndarray of int
        Days ahead; what is not ahead counts as tomorrow.

    Notes
    -----
    A straight line from ``FIRST_ERROR`` tomorrow to 1 at ``NO_SKILL_LEAD_D``.
    """
    ahead = np.clip(lead_d, 1, NO_SKILL_LEAD_D)
    grown = (ahead - 1) / (NO_SKILL_LEAD_D - 1)
    return np.asarray(FIRST_ERROR + (1 - FIRST_ERROR) * grown)


def lasting(lead_d: NDArray[np.int64]) -> Floats:
    """Share of a day's departure from the season that is left so many days later."""
    left = sum(share * keep**lead_d for share, keep in LASTING)
    return np.where(lead_d > LASTS_D, 0.0, left)


def join(
    given: Floats, pasts: Floats, kind: Sequence[DayKind], today: int
) -> tuple[Floats, Floats]:
    """
    Forecasts with their error, and past winters that begin where this one stands.

    Parameters
    ----------
    given : ndarray
        Minima and maxima, NaN on days not known, shape (2, N). [°C]
    pasts : ndarray
        The same days of past winters, shape (2, K, N). [°C]
    kind : sequence
        Where each day comes from.
    today : int
        Index of today; may lie outside.

    Returns
    -------
    tuple of ndarray
        Minima and maxima, shape (K, N); no minimum above its maximum where there is
        none in ``given`` and ``pasts``. [°C]

    Notes
    -----
    Of a forecast day each winter gets its own share of the departure of that past
    winter's day from the mean of all winters, so that the mean of the winters is
    the forecast, errors of neighbouring days go together as weather does, and the
    last forecast day passes into the outlook without a step. After the last known
    day the difference between it and the past winter's same day is carried on and
    decays as weather does: of two winters that stand alike today the days ahead
    differ by what came after, not by what went before. Minimum and maximum move
    together. A past winter that does not know one of these days has no departure.
    """
    days = given.shape[1]
    known = np.isfinite(given).all(axis=0)
    out = np.where(known, given[:, None, :], pasts)
    past_mean = pasts.mean(axis=0)
    lead = np.arange(days) - today
    foretold = known & np.array([k == "forecast" for k in kind])
    seen = np.isfinite(past_mean)
    middle = np.where(seen, past_mean, 0.0).sum(axis=0) / np.maximum(
        seen.sum(axis=0), 1
    )
    departure = np.where(seen, past_mean - middle, 0.0)
    out += np.where(foretold, forecast_error(lead), 0.0) * departure
    if known.any():
        last = int(np.flatnonzero(known)[-1])
        step = out[:, :, last].mean(axis=0) - past_mean[:, last]
        after = np.arange(1, days - last)
        step = np.where(seen[:, last], step, 0.0)
        out[:, :, last + 1 :] += step[:, None] * lasting(after)
    return out[0], out[1]
