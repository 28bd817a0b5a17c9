"""Seed that has to lie warm, then cold, before it can germinate."""

from math import ceil

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.stay import Ends, Sums, at, first_reaching, sums
from propsched.domain.crop import Needs

_WEEK_D = 7


def counted(root_mean_c: NDArray[np.floating], low_c: float, high_c: float) -> Sums:
    """
    Days inside a window of temperature, summed up.

    Parameters
    ----------
    root_mean_c : array, shape (…, N)
        Daily means. [°C]
    low_c, high_c : float
        The window, both ends included. [°C]

    Returns
    -------
    array
        Shape (…, N + 1).
    """
    return sums((root_mean_c >= low_c) & (root_mean_c <= high_c))


def chilled_by(climate: Climate, needs: Needs, starts: int) -> Ends:
    """
    Day on which the warm weeks and then the cold weeks are complete.

    Parameters
    ----------
    starts : int
        M, days of start from day 0.

    Returns
    -------
    array
        Shape (V, K, M); N + 1 where they are not.

    Notes
    -----
    A day counts whole when its mean lies inside the window and not at all
    otherwise; a spell outside only delays [1]_.  Cold before the warmth is
    complete counts for nothing.

    References
    ----------
    .. [1] F. T. Bonner and R. P. Karrfalt, eds., "The Woody Plant Seed Manual,"
       USDA Agric. Handbook 727, 2008 (weeks and windows by genus).
    """
    n = climate.days
    mean = climate.root_mean_c
    end: Ends = np.broadcast_to(np.arange(starts), (*mean.shape[:2], starts))
    for weeks, low_c, high_c in (
        (needs.warm_weeks, needs.warm_from_c, needs.warm_to_c),
        (needs.cold_weeks, needs.cold_from_c, needs.cold_to_c),
    ):
        if weeks > 0:
            days = counted(mean, low_c, high_c)
            sofar = at(days, np.minimum(end, n))
            # after days that end without the first weeks these are out of reach too
            end = first_reaching(days, sofar + ceil(weeks * _WEEK_D))
    return end
