"""From hours of warmth to the length and success of every stage, space and day."""

from math import ceil

import numpy as np
from numpy.typing import NDArray

from propsched.biology import survival
from propsched.biology.chilling import chilled_by, counted
from propsched.biology.climate import Climate
from propsched.biology.growth import (
    COLD,
    DARK,
    ENDLESS,
    FLOOR,
    HOT,
    NO_STAND,
    NOT_THROUGH,
    OPEN_AIR,
    WRONG_AIR,
    StageGrowth,
)
from propsched.biology.race import Buds
from propsched.biology.response import progress_for
from propsched.biology.standing import OUTDOOR_AIR, can_stand, has_open_air
from propsched.biology.stay import Ends, Stays, first_reaching
from propsched.domain.container import Container
from propsched.domain.crop import DORMANT, Crop, Needs
from propsched.thermal.rootzone import RootZone

Floats = NDArray[np.floating]

TOO_FEW = 0.15
"""A stage that brings less than this through is not started; judgement."""
QUICK_ROT = 0.04
"""Loss per day below the floor from which a cold bed is refused outright; judgement."""
_BED_DAYS = 7
_A_SUMMER_D = 28
"""Warm days from which a place is taken to have summers; judgement."""
_TO_BLAME = 0.5
"""A factor below it is named as a reason."""


def grow(
    crop: Crop,
    start_container: Container | None,
    zone: RootZone | Climate,
    *,
    end_day: int,
    quantile: float,
) -> tuple[StageGrowth, ...]:
    """
    Length and success of every stage, by variant and day of start.

    Parameters
    ----------
    crop : Crop
    start_container : Container or None
        Takes the place of the crop's own in its first stage but chilling.
    zone : RootZone or Climate
        A ``Climate`` is made once and serves all crops.
    end_day : int
        First day after the season; starts from there on are refused, and winters
        in which chilling takes longer count as lost.
    quantile : float
        Share of the winters in which a stage is through by its booked length.

    Returns
    -------
    tuple of StageGrowth
        One for each stage of the crop, in order.
    """
    climate = zone if isinstance(zone, Climate) else Climate(zone)
    starts = min(max(end_day, 0), climate.days)
    return tuple(
        _grow_stage(
            crop, needs, _container(needs, start_container), climate, starts, quantile
        )
        for needs in crop.stages
    )


def ends(climate: Climate, needs: Needs, starts: int, *, plants: float = 0.5) -> Ends:
    """
    Day on which a stage is through, in every winter.

    Parameters
    ----------
    starts : int
        M, days of start from day 0.
    plants : float
        Share of the plants of the batch that have to be through.

    Returns
    -------
    array
        Shape (V, K, M); N + 1 where it is not through within the days known.

    Notes
    -----
    The first day before which the summed development has reached 1 (times what
    slower plants need), not before ``needs.days`` are over and never on the day
    of the start.
    """
    shape = (*climate.shape[:2], starts)
    day = np.arange(starts)
    if needs.stage in DORMANT:
        end = chilled_by(climate, needs, starts)
    elif needs.sum_c_d > 0:
        done = climate.progress(needs)
        level = progress_for(plants, needs.spread)
        end = first_reaching(done, done[..., :starts] + level)
    else:
        end = np.broadcast_to(day, shape)
    end = np.maximum(end, day + max(1, ceil(needs.days)))
    return np.where(end > climate.days, climate.days + 1, end)


def lengths_by_rank(length: Ends, quantile: float) -> NDArray[np.int16]:
    """
    Length within which a share of the winters is through.

    Parameters
    ----------
    length : array, shape (V, K, M)
        NOT_THROUGH where a winter never gets there, which counts as endless.
    quantile : float

    Returns
    -------
    array
        Shape (V, M); the next higher of the ranks, so that a winter like the
        others but not among them keeps the promise as often as was asked.
    """
    ranked = np.sort(length.astype(np.int16), axis=1)
    return np.ascontiguousarray(ranked[:, rank_of(quantile, length.shape[1])])


def rank_of(quantile: float, winters: int) -> int:
    """Rank from 0 of the winter that stands for a share of them."""
    return ceil(quantile * (winters - 1) - 1e-9)


def _container(needs: Needs, start: Container | None) -> Container:
    return start if start is not None and needs.stage == "start" else needs.container


def _grow_stage(
    crop: Crop,
    needs: Needs,
    container: Container,
    climate: Climate,
    starts: int,
    quantile: float,
) -> StageGrowth:
    v, _, n = climate.shape
    end = ends(climate, needs, starts)
    through = Stays(np.minimum(end, n))
    length = np.where(end > n, NOT_THROUGH, end - np.arange(starts))
    buds = Buds(climate, needs) if races(needs) else None
    weeks: tuple[int, Floats] = (ENDLESS, (end < starts).astype(np.float32))

    median = np.full((v, n), NOT_THROUGH, np.int16)
    booked = np.full((v, n), NOT_THROUGH, np.int16)
    success = np.zeros((v, n), np.float32)
    why = np.full((v, n), ENDLESS, np.uint8)
    median[:, :starts] = lengths_by_rank(length, 0.5)
    booked[:, :starts] = lengths_by_rank(length, quantile)
    own = [weeks] if needs.stage in DORMANT else _of_buds(buds, through)
    success[:, :starts], blame = _success(crop, needs, climate, through, through, own)
    endless = booked[:, :starts] == NOT_THROUGH
    why[:, :starts] = blame | np.where(endless, ENDLESS, 0)

    over = np.full((v, n), np.nan, np.float32)
    if crop.stands_over and needs.stage != "harden":
        to_end = Stays(np.full_like(end, starts))
        unfinished = Stays(np.minimum(end, starts))
        own = _of_buds(buds, unfinished)
        left, _ = _success(crop, needs, climate, unfinished, to_end, own)
        hopeless = (left < TOO_FEW) | ~_goes_on(climate, needs, median[:, :starts])
        if needs.stage in DORMANT:
            # once it has its weeks it has to be brought on
            hopeless |= booked[:, :starts] < starts - np.arange(starts)
        over[:, :starts] = np.where(hopeless, np.nan, left)

    refused = success < TOO_FEW
    cold_bed = _cold_bed(climate, needs)
    why[cold_bed] |= FLOOR
    refused |= cold_bed
    for i, variant in enumerate(climate.zone.variants):
        if not can_stand(variant.space, container):
            refused[i], why[i], over[i] = True, NO_STAND, np.nan
        elif not has_open_air(variant.space, needs.stage):
            refused[i], why[i], over[i] = True, OPEN_AIR, np.nan
    median[refused] = booked[refused] = NOT_THROUGH
    success[why & (NO_STAND | OPEN_AIR) > 0] = 0.0
    return StageGrowth(
        stage=needs.stage,
        median=median,
        booked=booked,
        success=success,
        over_success=over,
        why=why,
    )


def coming_week(climate: Climate) -> NDArray[np.float64]:
    """Root zone in the week after each day, mean of the winters. [°C] (V, N)"""
    daily = climate.root_mean_c.mean(axis=1)
    total = np.cumsum(daily, axis=1, dtype=np.float64)
    total = np.concatenate([np.zeros_like(total[:, :1]), total], axis=1)
    first = np.arange(daily.shape[1])
    last = np.minimum(first + _BED_DAYS, daily.shape[1])
    return np.asarray((total[:, last] - total[:, first]) / (last - first))


def _cold_bed(climate: Climate, needs: Needs) -> NDArray[np.bool_]:
    """
    Whether the bed is colder than the sowing floor in the week after the start.

    Asked only of what rots fast: it is not sown into a cold bed in the hope that
    the bed will warm (common practice). Shape (V, N).
    """
    if needs.floor_c is None or needs.rot_per_day < QUICK_ROT:
        return np.zeros(climate.root_mean_c.shape[::2], np.bool_)
    return np.asarray(coming_week(climate) < needs.floor_c)


def _goes_on(
    climate: Climate, needs: Needs, median: NDArray[np.int16]
) -> NDArray[np.bool_]:
    """
    Whether what stands over gets anywhere: half is through in the days known.

    Seed that waits for a second winter is believed to where there are winters; for
    its warmth, where the days known have some weeks of it, as summers add up.
    """
    through = median < NOT_THROUGH
    if needs.stage == "chill":
        outdoors = [v.space.kind in OUTDOOR_AIR for v in climate.zone.variants]
        return np.asarray(through | np.array(outdoors)[:, None])
    if needs.stage == "warm":
        warm = counted(climate.root_mean_c, needs.warm_from_c, needs.warm_to_c)
        some = warm[..., -1].mean(axis=1) >= _A_SUMMER_D
        return np.asarray(through | some[:, None])
    return through


def races(needs: Needs) -> bool:
    """Whether roots and buds run a race in this stage."""
    return needs.stage == "start" and needs.bud_base_c is not None


def _of_buds(buds: Buds | None, stays: Stays) -> list[tuple[int, Floats]]:
    return [] if buds is None else [(HOT, buds.survivors(stays))]


def _success(
    crop: Crop,
    needs: Needs,
    climate: Climate,
    through: Stays,
    stay: Stays,
    own: list[tuple[int, Floats]],
) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """Mean over the winters of what comes through, and what is to blame if little."""
    light_mol = stay.mean(climate.light_sums)
    cold_side, warm_side = sides(climate, needs, through)
    factors: list[tuple[int, Floats]] = [
        (FLOOR, survival.rot(climate, crop, needs, through)),
        (COLD, survival.cold(climate, crop, needs, stay)),
        (COLD, survival.nights(climate, needs, stay)),
        (HOT, survival.heat(climate, needs, stay)),
        (DARK, survival.light(climate, needs, stay, light_mol)),
        *_waiting(crop, needs, climate, through, light_mol),
        (WRONG_AIR, survival.air(climate, needs)),
        (COLD, cold_side),
        (HOT, warm_side),
        *own,
    ]
    left: Floats = np.ones(stay.end.shape)
    for _, factor in factors:
        left = left * factor
    mean = left.mean(axis=1).astype(np.float32)

    blame = np.zeros(mean.shape, np.uint8)
    few = mean < TOO_FEW
    if few.any():
        means = np.stack(
            [np.broadcast_to(f.mean(axis=1), mean.shape) for _, f in factors]
        )
        worst = means.min(axis=0)
        for (bit, _), part in zip(factors, means, strict=True):
            named = few & ((part < _TO_BLAME) | (part == worst))
            blame |= np.where(named, bit, 0).astype(np.uint8)
    return mean, blame


def _waiting(
    crop: Crop, needs: Needs, climate: Climate, stays: Stays, light_mol: Floats
) -> list[tuple[int, Floats]]:
    """Drying and damping off, by what keeps it waiting: dark, cold, or the air."""
    left = survival.waiting(climate, crop, needs, stays, light_mol)
    if (left == 1.0).all():
        return []
    dim = light_mol < needs.light_min_mol
    slow = ~dim & (stays.mean(climate.root_sums) < needs.opt_c)
    return [
        (bit, np.where(where, left, 1.0))
        for bit, where in ((DARK, dim), (COLD, slow), (WRONG_AIR, ~dim & ~slow))
    ]


def sides(climate: Climate, needs: Needs, stays: Stays) -> tuple[Floats, Floats]:
    """Final fraction, as a loss to cold and a loss to warmth."""
    if not needs.fraction:
        return np.ones((1, 1, 1)), np.ones((1, 1, 1))
    mean_c = stays.mean(climate.felt_sums(needs.share_air))
    share = survival.fraction(needs, mean_c)
    cooler = mean_c < max(needs.fraction, key=lambda pair: pair[1])[0]
    return np.where(cooler, share, 1.0), np.where(cooler, 1.0, share)
