"""
Hourly air temperature from the day's extremes.

References
----------
.. [1] W. J. Parton, J. A. Logan, "A model for diurnal variation in soil and air
   temperature", Agric. Meteorol. 23:205-216, 1981.
"""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Site
from propsched.thermal.sun import clock_correction

LAG_MAX_H = 1.86
"""Maximum after solar noon, 150 cm air, [1] Table 1. [h]"""
NIGHT_DECAY = 2.20
"""Decay of the night, 150 cm air, [1] Table 1. [-]"""
LAG_MIN_H = -0.17
"""Minimum after sunrise, 150 cm air, [1] Table 1. [h]"""


def by_day(
    since_sunrise_h: Any, day_h: Any, tmin_c: Any, tmax_c: Any
) -> NDArray[np.float64]:
    """Sine of the day between sunrise and sunset, [1] Eq. 1. [°C]"""
    length = day_h + 2 * LAG_MAX_H - 2 * LAG_MIN_H
    wave = np.sin(np.pi * (since_sunrise_h - LAG_MIN_H) / length)
    return np.asarray(tmin_c + (tmax_c - tmin_c) * wave)


def by_night(
    since_sunset_h: Any, night_h: Any, sunset_c: Any, next_min_c: Any
) -> NDArray[np.float64]:
    """
    Exponential fall from sunset to the next minimum. [°C]

    Notes
    -----
    The plain form of [1] leaves e^−2.2 = 11 % of the fall undone at the minimum; here
    it is shifted and scaled so that the curve ends in the minimum exactly.
    """
    left = np.exp(-NIGHT_DECAY * since_sunset_h / (night_h + LAG_MIN_H))
    end = np.exp(-NIGHT_DECAY)
    return np.asarray(next_min_c + (sunset_c - next_min_c) * (left - end) / (1 - end))


def solar_noon(site: Site, day_of_year: NDArray[Any], year: int) -> NDArray[np.float64]:
    """
    Clock time of solar noon in the site's winter (standard) time. [h] (N,)

    Notes
    -----
    Summer time is left out: a day keeps 24 hours, and the hour it shifts the summer
    curve by is less than the error of the curve itself.
    """
    zone = ZoneInfo(site.timezone)
    offsets = [datetime(year, m, 1, tzinfo=zone).utcoffset() for m in (1, 7)]
    standard_h = min(o.total_seconds() / 3600 for o in offsets if o is not None)
    return np.asarray(
        12 + standard_h - site.longitude / 15 - clock_correction(day_of_year)
    )


def hourly_air(
    tmin_c: NDArray[np.float64],
    tmax_c: NDArray[np.float64],
    day_h: NDArray[np.float64],
    noon_h: NDArray[np.float64],
) -> NDArray[np.float64]:
    """
    Air temperature at every mid-hour.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray
        Extremes, shape (K, N). [°C]
    day_h, noon_h : ndarray
        Day length and clock time of solar noon, shape (N,). [h]

    Returns
    -------
    ndarray
        Shape (K, 24 N). [°C]
    """
    k, n = tmin_c.shape
    clock = np.arange(24) + 0.5
    rise, sets = noon_h - day_h / 2, noon_h + day_h / 2
    sunset_c = by_day(day_h, day_h, tmin_c, tmax_c)
    next_min = np.concatenate([tmin_c[:, 1:], tmin_c[:, -1:]], axis=1)
    sunset_before = np.concatenate([sunset_c[:, :1], sunset_c[:, :-1]], axis=1)
    night = (24 - day_h)[:, None]
    day = by_day(
        clock - rise[:, None], day_h[:, None], tmin_c[..., None], tmax_c[..., None]
    )
    after = by_night(
        clock - sets[:, None], night, sunset_c[..., None], next_min[..., None]
    )
    before = by_night(
        clock + 24 - sets[:, None], night, sunset_before[..., None], tmin_c[..., None]
    )
    early = clock < (rise + LAG_MIN_H)[:, None]
    late = clock > sets[:, None]
    out = np.where(early, before, np.where(late, after, day))
    return out.reshape(k, 24 * n)
