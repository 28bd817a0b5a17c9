"""From which day a crop may be planted out."""

from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.domain.crop import Crop
from propsched.domain.quantities import Horizon
from propsched.thermal.rootzone import RootZone

RISK = 0.10
"""Share of winters in which a harmful night after the gate is put up with
(common practice: risk of frost at most one in ten)."""
_PLANT_HEIGHT_K = 1.0
"""Air among low plants on a clear night is so much colder than in the screen;
judgement, 1–2 K is usual. [K]"""
_UNDER_GLASS_K = 1.0
"""An unheated house of which nothing is known, against outdoors; judgement. [K]"""
_SOIL_DAYS = 5
"""Days over which the soil is averaged."""
_NORTH = ((2, 1), (6, 21))
_SOUTH = ((8, 1), (12, 21))
"""Month and day on which spring begins and ends."""
_HOUSES = frozenset({"glasshouse", "polytunnel"})


def planting_out_gate(
    crop: Crop,
    zone: RootZone | Climate,
    *,
    season_start: date | None = None,
    south: bool = False,
    risk: float = RISK,
) -> int:
    """
    First day on which the crop, hardened, may be planted out.

    Parameters
    ----------
    crop : Crop
        ``out_min_c``, ``out_soil_c`` and ``destination`` are asked.
    zone : RootZone or Climate
        May begin long before the season, as it does to warm up the ground.
    season_start : date, optional
        The spring under way on this day, else the next one, is asked; None is
        the first day of the zone.
    south : bool
        Whether it lies south of the equator.
    risk : float
        Share of the winters that may still have a night below ``out_min_c``.

    Returns
    -------
    int
        Day from the first of the zone; 0 where no night and no soil of spring
        is too cold, the number of days where some still are at the end.

    Notes
    -----
    Only spring is asked: the nights from 1 February to midsummer on 21 June, in
    the south from 1 August to 21 December.  In every winter the last night colder
    than ``out_min_c`` is found; the gate opens on the day after the last but as
    many as the risk allows, and not before the median five-day mean of the open
    ground's root zone has stopped falling below ``out_soil_c``.  Outdoors a plant
    is taken to be 1 K colder than the screen.  For crops that stay under glass the
    first unheated house of the season is asked, or outdoors and 1 K where there is
    none.
    """
    climate = zone if isinstance(zone, Climate) else Climate(zone)
    horizon = climate.zone.horizon
    first, last = _spring(horizon, season_start or horizon.first, south=south)
    night_c, root_c = _where_it_goes(crop, climate)

    def day_after_last(cold: NDArray[np.bool_]) -> NDArray[np.int64]:
        """By row; 0 where none is cold."""
        spring = cold[..., first:last]
        back = np.argmax(spring[..., ::-1], axis=-1)
        return np.where(spring.any(axis=-1), first + spring.shape[-1] - back, 0)

    if last <= first:
        return 0
    after_night = np.sort(day_after_last(night_c < crop.out_min_c))
    allowed = int(risk * len(after_night) + 1e-9)
    gate = int(after_night[len(after_night) - 1 - min(allowed, len(after_night) - 1)])
    if root_c is not None:
        cold_soil = running_mean(np.median(root_c, axis=0)) < crop.out_soil_c
        gate = max(gate, int(day_after_last(cold_soil)))
    return gate


def running_mean(
    daily: NDArray[np.floating], days: int = _SOIL_DAYS
) -> NDArray[np.float64]:
    """Mean of each day and as many before it as there are, ``days`` in all, (…, N)."""
    total = np.cumsum(daily, axis=-1, dtype=np.float64)
    window = total.copy()
    window[..., days:] -= total[..., :-days]
    return window / np.minimum(np.arange(daily.shape[-1]) + 1, days)


def _spring(horizon: Horizon, start: date, *, south: bool) -> tuple[int, int]:
    """Days of the spring under way on ``start``, or of the next, as far as known."""
    opens, midsummer = _SOUTH if south else _NORTH
    year = start.year
    if start >= date(year, *midsummer):
        year += 1
    first = max(horizon.day(date(year, *opens)), 0)
    return first, min(horizon.day(date(year, *midsummer)), horizon.days)


def _where_it_goes(
    crop: Crop, climate: Climate
) -> tuple[NDArray[np.float32], NDArray[np.float32] | None]:
    """Night air (K, N) and daily root zone (K, N), if known, of the destination."""
    spaces = [variant.space for variant in climate.zone.variants]
    ground = [i for i, s in enumerate(spaces) if s.kind == "open-ground"]
    ground_c = climate.root_mean_c[ground[0]] if ground else None
    if crop.destination == "outdoors":
        return climate.outdoor_min_c - np.float32(_PLANT_HEIGHT_K), ground_c
    for i, space in enumerate(spaces):
        if space.kind in _HOUSES and space.heat is None:
            return climate.air_min_c[i], climate.root_mean_c[i]
    return climate.outdoor_min_c + np.float32(_UNDER_GLASS_K), ground_c
