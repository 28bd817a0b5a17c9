"""Seed that has to lie warm, then cold, before it can germinate."""

from dataclasses import replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.stay import Ends, Sums, at, first_reaching, sums
from propsched.domain.crop import Crop, Needs

Floats = NDArray[np.floating]

_WEEK_D = 7
_NONE = 1e-9
_WITHOUT_WARMTH, _LOST_PER_WEEK = 0.1, 0.025
"""Share that comes with none of its warm weeks; loss a week of cold beyond its weeks:
see ``dormancy_broken``."""


def dormancy(crop: Crop) -> Needs | None:
    """Warm and cold weeks of all its stages together; None: it asks for neither."""
    warm = next((n for n in crop.stages if n.stage == "warm"), None)
    cold = next((n for n in crop.stages if n.stage == "chill"), None)
    if warm is None or cold is None:
        return warm or cold
    return replace(
        cold,
        warm_weeks=warm.warm_weeks,
        warm_from_c=warm.warm_from_c,
        warm_to_c=warm.warm_to_c,
    )


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


def dormancy_broken(needs: Needs, warm_weeks: Floats, cold_weeks: Floats) -> Floats:
    """
    Share that comes after so many weeks, of what comes after all it asks for.

    Parameters
    ----------
    warm_weeks, cold_weeks : array
        Inside the windows, the warm ones first.

    Returns
    -------
    array
        0..1

    Notes
    -----
    In proportion to the cold weeks up to what is asked; a fortieth is lost in each
    week more (derived: bird's-eye primrose 92 % after 13 weeks and 77 after 21 [3]_,
    sweet briar 40 and 24 after 64 and 81, dog rose 47 and 34 after 18 and 34 [4]_: 2
    to 3 % a week).  Without its warm weeks about a tenth comes: Christmas rose 10 %
    against 95 [1]_, hawthorn 6 % against 76 [2]_.

    References
    ----------
    .. [1] Y. Niimi, D.-S. Han and S. Abe, "Temperatures affecting embryo development
       and seed germination of Christmas rose," Sci. Hortic., vol. 107, pp. 292–296,
       2006.
    .. [2] L. Persson et al., 2006, as given in SylvanSeeds: E. Fernández-Pascual,
       J. Veg. Sci., vol. 32, e12960, 2021.
    .. [3] E. Fernández-Pascual et al., New Phytol., 2021 (10.1111/nph.17086).
    .. [4] F. T. Bonner and R. P. Karrfalt, eds., "The Woody Plant Seed Manual,"
       USDA Agric. Handbook 727, 2008, p. 977.
    """
    cold = np.minimum(cold_weeks / max(needs.cold_weeks, _NONE), 1.0)
    warm = np.minimum(warm_weeks / max(needs.warm_weeks, _NONE), 1.0)
    if needs.cold_weeks <= 0:
        cold = np.ones_like(cold)
    if needs.warm_weeks <= 0:
        warm = np.ones_like(warm)
    too_long = np.maximum(cold_weeks - needs.cold_weeks, 0.0)
    cold = cold * np.exp(-_LOST_PER_WEEK * too_long)
    return np.asarray(cold * (_WITHOUT_WARMTH + (1 - _WITHOUT_WARMTH) * warm))


def weeks_had(
    climate: Climate, needs: Needs, days: Ends, until: int
) -> tuple[Floats, Floats]:
    """
    Warm and then cold weeks inside the windows, by variant, mean of the winters.

    Parameters
    ----------
    days : array, shape (V,)
        Day of the start in each variant.
    until : int
        Day not counted any more.

    Returns
    -------
    two arrays, shape (V,)
        Cold counts once the warm weeks are complete, or from the start if they
        never are.
    """
    mean = climate.root_mean_c[..., :until]
    inside = np.arange(mean.shape[-1]) >= days[:, None, None]
    hot = inside & (mean >= needs.warm_from_c) & (mean <= needs.warm_to_c)
    warm = hot.cumsum(axis=-1) / _WEEK_D
    done = warm >= needs.warm_weeks
    done |= ~done[..., -1:]
    cold = inside & done & (mean >= needs.cold_from_c) & (mean <= needs.cold_to_c)
    return warm[..., -1].mean(axis=1), cold.sum(axis=-1).mean(axis=1) / _WEEK_D
