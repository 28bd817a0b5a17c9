"""
What comes through a stage: one factor 0..1 for each way of failing.

Every function gives shape (V, K, M): variants, winters, days of start.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.hardening import FIRST_D, NEW_D, limits_c
from propsched.biology.light import draws, light_factor
from propsched.biology.response import rate_per_day
from propsched.biology.standing import closeness
from propsched.biology.stay import Stays, sums
from propsched.domain.crop import UNSTARTED, Crop, Needs
from propsched.domain.space import Space

Floats = NDArray[np.floating]

_DAMAGE_OVER_K, _KILL_OVER_K = 3.0, 1.0
"""From first harm to total loss: tops hardened unevenly, roots all alike; judgement."""
STILL_PER_DAY = 0.005
"""Seed lost on a day on which it makes no way at all, above the floor; judgement."""
_QUICK = 0.35
"""From this share of the fastest rate up it outgrows the fungi; judgement."""
_LEAFY_PER_DAY = 0.005 / 7
"""Leafy cuttings lost per day before they root, 0.5 % a week; judgement."""
DAMPING_PER_WEEK, DAMPING_CLOSE_PER_WEEK = 0.02, 0.10
"""Seedlings lost in airy places, in close and dim ones (from memory of the trade)."""
_SET_BACK_PER_K2_NIGHT = 0.0013
_SET_BACK_UP_TO_K = 8.0
"""Loss for a night colder than the trade keeps it, per kelvin squared: a week of
nights 5 K below sets a fifth back, a kelvin below hardly counts; judgement."""
_LEAFY = frozenset({"evergreen", "tip", "basal"})
_BELOW_GROUND = frozenset({"seed", "root", "tuber"})


def below_ground(crop: Crop, needs: Needs) -> bool:
    """Whether all of it is still in the medium, out of the frost's reach."""
    return needs.stage in UNSTARTED and crop.method in _BELOW_GROUND


def fraction(needs: Needs, mean_c: Floats) -> Floats:
    """
    Final fraction at the mean temperature of the stage, relative to the best one.

    The tables are of constant temperatures; what lay cold for weeks before a warm
    spell brought it up has lost what they lose in the cold, so the mean over the
    whole stay is asked and not that of the hours of growth.  Beyond the
    temperatures tried the end values hold.
    """
    if not needs.fraction:
        return np.ones((1, 1, 1))
    temps, shares = np.array(sorted(needs.fraction)).T
    share: Floats = np.interp(mean_c, temps, shares / max(float(shares.max()), 1e-9))
    return share


def rot(climate: Climate, crop: Crop, needs: Needs, stays: Stays) -> Floats:
    """What is left after lying below the sowing floor and, for seed, too slowly."""
    log_left = np.zeros((1, 1, 1))
    if needs.floor_c is not None and needs.rot_per_day > 0:
        below = sums(climate.root_mean_c < needs.floor_c)
        left = max(1.0 - needs.rot_per_day, 1e-6)
        log_left = log_left + stays.total(below) * np.log(left)
    if needs.stage == "start" and crop.method == "seed" and needs.sum_c_d > 0:
        pace = np.diff(climate.progress(needs)) / rate_per_day(needs.opt_c, needs)
        lost = damping_before(pace)
        if needs.floor_c is not None:
            lost = np.where(climate.root_mean_c >= needs.floor_c, lost, 0.0)
        log_left = log_left - stays.total(sums(lost))
    return np.exp(log_left)


def damping_before(pace: Floats) -> Floats:
    """
    Seed lost in the soil on a day, by how fast it is on its way.

    Parameters
    ----------
    pace : array
        Development of the day ÷ the fastest there is. 0..1

    Returns
    -------
    array
        Share of what is left that day, as a logarithm; shape of ``pace``. Nothing
        from a third of the fastest rate up, most where it stands still.

    Notes
    -----
    Damping-off before emergence is worst where the seedling is slow against the
    fungus, whatever the temperature: cold for melon, warm for spinach [1]_.  That
    it goes with the host's own pace is the finding; the sizes are judgement.

    References
    ----------
    .. [1] L. D. Leach, "Growth rates of host and pathogen as factors determining
       the severity of preemergence damping-off," J. Agric. Res., vol. 75,
       pp. 161–179, 1947.
    """
    behind: Floats = np.clip(1.0 - pace / _QUICK, 0.0, 1.0)
    lost: Floats = -np.log1p(-STILL_PER_DAY) * behind
    return lost


def damping_after(close: Floats, dim: NDArray[np.bool_]) -> Floats:
    """
    Seedlings lost in a week once they are up. 0..1

    Parameters
    ----------
    close : array
        ``closeness`` of the space.
    dim : array of bool
        Whether it has less light than seedlings need.

    Notes
    -----
    From memory of the trade: 2 % a week in airy, 10 % in close and dim places.
    """
    bad = (close >= 1.0) & dim
    return np.asarray(np.where(bad, DAMPING_CLOSE_PER_WEEK, DAMPING_PER_WEEK))


def waiting(
    climate: Climate, crop: Crop, needs: Needs, stays: Stays, light_mol: Floats
) -> Floats:
    """What is left of leafy cuttings long unrooted, and of seedlings damping off."""
    if needs.stage == "start" and crop.method in _LEAFY:
        return np.power(1.0 - _LEAFY_PER_DAY, stays.length)
    if needs.stage == "seedling":
        close = _of_spaces(climate, closeness)
        weekly = damping_after(close, light_mol < needs.light_min_mol)
        left: Floats = np.power(1.0 - weekly, stays.length / 7)
        return left
    return np.ones((1, 1, 1))


def cold(climate: Climate, crop: Crop, needs: Needs, stays: Stays) -> Floats:
    """
    What frost and chill leave of it.

    Below ground the root zone's coldest hour is asked, else that of the air.
    Harm begins at ``damage_c`` and is total 3 K below.  Where hardened plants of
    the crop stand more, the limit follows how far plants in that air are hardened.
    """
    left: Floats = np.ones((1, 1, 1), np.float32)
    by_state = limits_c(crop, needs)
    if by_state is not None:
        soft_c, hard_c = by_state
        new = _of_newcomers(climate.newcomer_margin(soft_c, hard_c), stays)
        since = stays.least_from(climate.hardened_margin(soft_c, hard_c), NEW_D)
        left = left * _graded(np.minimum(new, since), _DAMAGE_OVER_K)
    elif needs.damage_c is not None:
        air = climate.coldest_air
        least = stays.least(climate.coldest_root if below_ground(crop, needs) else air)
        left = left * _graded(least - needs.damage_c, _DAMAGE_OVER_K)
    if needs.root_kill_c is not None:
        roots = climate.coldest_root
        if needs.stage not in UNSTARTED:
            # until they have roots trays are sunk, or it is struck in the ground
            roots = climate.coldest_roots_in(needs.container.name)
        least = stays.least(roots)
        left = left * _graded(least - needs.root_kill_c, _KILL_OVER_K)
    return left


def _of_newcomers(margin_k: NDArray[np.float32], stays: Stays) -> Floats:
    """Least margin of the first days of a stay; of an empty one +inf. (V, K, M)"""
    length = np.minimum(stays.length, NEW_D)
    run = np.searchsorted(FIRST_D, length)
    starts = stays.end.shape[-1]
    found = np.take_along_axis(margin_k[..., :starts], run[None], axis=0)[0]
    return np.where(length > 0, found, np.float32(np.inf))


def heat(climate: Climate, needs: Needs, stays: Stays) -> Floats:
    """What the hottest hour of the root zone leaves of it."""
    if needs.hot_c is None:
        return np.ones((1, 1, 1), np.float32)
    most = -stays.least(climate.hottest_root)
    return _graded(needs.hot_c - most, _DAMAGE_OVER_K)


def nights(climate: Climate, needs: Needs, stays: Stays) -> Floats:
    """Set-back by nights below the minimum the trade grows it on at."""
    if needs.min_c is None:
        return np.ones((1, 1, 1))
    short = np.clip(needs.min_c - climate.air_min_c, 0.0, _SET_BACK_UP_TO_K)
    return np.exp(-_SET_BACK_PER_K2_NIGHT * stays.total(sums(short**2)))


def air(climate: Climate, needs: Needs) -> Floats:
    """Close or dry air against what the stage wishes. Shape (V, 1, 1)."""
    if needs.air == "open":
        return np.ones((1, 1, 1))
    close = _of_spaces(climate, closeness)
    right = close if needs.air == "close" else 1.0 - close
    return needs.air_mismatch + (1.0 - needs.air_mismatch) * right


def light(climate: Climate, needs: Needs, stays: Stays, light_mol: Floats) -> Floats:
    """
    What the mean light over the stage leaves fit to go on.

    Of plants that grow on, for the degree-days that they grow in it.
    """
    mol = np.asarray(light_mol, dtype=np.float64)
    if not draws(needs):
        return light_factor(mol, needs)
    heat_sum = needs.sum_c_d * needs.tray_factor
    return light_factor(mol, needs, stays.mean(climate.progress(needs)) * heat_sum)


def _graded(margin_k: Floats, over_k: float) -> Floats:
    """1 with any margin, 0 from ``over_k`` beyond it."""
    left: Floats = np.clip(1.0 + margin_k / over_k, 0.0, 1.0)
    return left


def _of_spaces(climate: Climate, figure: Callable[[Space], float]) -> Floats:
    values = [figure(variant.space) for variant in climate.zone.variants]
    return np.array(values)[:, None, None]
