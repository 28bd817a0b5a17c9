"""Development of a stage that has stood in more than one space."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.development import lengths_by_rank
from propsched.biology.growth import NOT_THROUGH
from propsched.biology.response import progress_for
from propsched.biology.stay import first_reaching
from propsched.domain.crop import DORMANT, Needs


def each_winter(
    climate: Climate, needs: Needs, stays: Sequence[tuple[int, int]]
) -> NDArray[np.int64]:
    """
    Day by which a stage is through, in every winter.

    Parameters
    ----------
    needs : Needs
        Of a stage without weeks of chilling, which have their own order.
    stays : sequence of (variant, day)
        Where it stood and from which day, in order; it is still in the last one.

    Returns
    -------
    array
        Shape (K,); day of the simulation, at least the day after the last move,
        N + 1 where it is not through within the days known.

    Notes
    -----
    Half of the plants have to be through.  Development made in each space is
    added up.
    """
    first, (variant, here) = stays[0][1], stays[-1]
    n = climate.days
    end = np.full(climate.shape[1], first, dtype=np.int64)
    if needs.sum_c_d > 0:
        done = climate.progress(needs)
        made = np.zeros(climate.shape[1])
        for (v, since), (_, until) in pairwise(stays):
            made += done[v, :, until] - done[v, :, since]
        target = done[variant, :, here] + progress_for(0.5, needs.spread) - made
        rows = done[variant : variant + 1]
        end = first_reaching(rows, np.maximum(target, 0.0)[None, :, None])[0, :, 0]
    end = np.maximum(end, max(here + 1, first + max(1, ceil(needs.days))))
    return np.where(end > n, n + 1, end)


def through_after(
    climate: Climate,
    needs: Needs,
    stays: Sequence[tuple[int, int]],
    *,
    quantile: float,
) -> int:
    """
    Day by which a share of the winters is through.

    Parameters
    ----------
    stays : sequence of (variant, day)
        Where it stood and from which day, in order; it is still in the last one.
    quantile : float
        Share of the winters.

    Returns
    -------
    int
        Day of the simulation, at least the day after the last move, or
        NOT_THROUGH.

    Notes
    -----
    As of ``each_winter``.  Weeks of chilling, which have their own order, are
    counted from the last move only: that errs on the late side.
    """
    if needs.stage in DORMANT:
        return NOT_THROUGH
    end = each_winter(climate, needs, stays)
    length = np.where(end > climate.days, NOT_THROUGH, end)[None, :, None]
    return int(lengths_by_rank(length, quantile)[0, 0])


def made_along(
    climate: Climate, needs: Needs, stays: Sequence[tuple[int, int]]
) -> NDArray[np.float64]:
    """
    Development made along spaces since a stage began.

    Parameters
    ----------
    needs : Needs
        Of a stage with a heat sum.
    stays : sequence of (variant, day)
        Where it stood and from which day, in order.

    Returns
    -------
    array
        Shape (K, N + 1): made before each day, in shares of the heat sum; nothing
        before it began.
    """
    done = climate.progress(needs)
    made = np.zeros(done.shape[1:])
    for (variant, since), (_, until) in pairwise([*stays, (0, climate.days)]):
        own = done[variant, :, since : until + 1]
        made[:, since : until + 1] = made[:, [since]] + own - own[:, [0]]
    return made
