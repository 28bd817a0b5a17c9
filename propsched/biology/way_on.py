"""Seed that lies warm first: where it goes for its cold, and where it comes up."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.growth import NO_STAND, NOT_THROUGH, StageGrowth
from propsched.biology.limits import spoken_date

Days = NDArray[np.int16]

_PER_DAY = 0.001
"""Worth of being up a day sooner, in shares of success; judgement."""
_SUMMER = 6
"""Northern month; sown before it seed has that summer's warmth, judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmThen:
    """Warm weeks in one space, and the best way on from there."""

    warm_by: int | None
    """Day by which the warm weeks are complete; None: not within the days known."""
    half_by: int | None = None
    most_by: int | None = None
    booked_by: int | None = None
    success: float = 0.0
    stands_over: bool = False
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WarmFirst:
    """A crop that lies warm, then cold, then comes up, sown on one day."""

    climate: Climate
    grown: tuple[StageGrowth, ...]
    """Of these three stages."""
    dormant_d: Sequence[Days]
    """Days until the warm and the cold weeks are complete, in season or not, median
    of the winters, or NOT_THROUGH. Each (V, N)."""
    slow_d: Days
    """Days until most are up. (V, N)"""
    day: int
    end_day: int
    """First day after the season."""
    south: bool
    """South of the equator."""

    def of(self, v: int) -> WarmThen:
        """With its warm weeks in a variant."""
        warm, day = self.grown[0], self.day
        if warm.why[v, day] & NO_STAND:
            return WarmThen(warm_by=None)
        warm_by = _end(self.dormant_d[0], v, day)
        if warm_by is None or warm_by >= self.end_day:
            return self._over(v, warm_by)
        way = self._way_on(warm_by)
        if way is None:
            return WarmThen(warm_by=warm_by)
        most_by = booked_by = None
        if way.up_in is not None and way.cold_by is not None:
            most_by = _end(self.slow_d, way.up_in, way.cold_by)
            booked = _end(warm.booked, v, day)
            late = None
            if booked is not None and booked < self.end_day:
                late = self._way_on(booked)
            booked_by = None if late is None else late.booked_by
        return WarmThen(
            warm_by=warm_by,
            half_by=way.half_by,
            most_by=most_by,
            booked_by=booked_by,
            success=float(warm.success[v, day]) * way.success,
            stands_over=way.stands_over,
            words=(way.told(self.climate, warm_by),),
        )

    def _over(self, v: int, warm_by: int | None) -> WarmThen:
        """Still lying warm, or waiting for a summer, when the season ends."""
        over = float(self.grown[0].over_success[v, self.day])
        if np.isnan(over):
            return WarmThen(warm_by=warm_by)
        sown = self.climate.zone.horizon.date(self.day)
        spring = first_spring(sown, south=self.south) + (warm_by is None)
        lies = "a summer" if warm_by is not None else "more than one summer"
        words = f"lies {lies} there: up in spring {spring} at the earliest"
        return WarmThen(warm_by=warm_by, success=over, stands_over=True, words=(words,))

    def _way_on(self, day: int) -> "WayOn | None":
        _, chill, start = self.grown
        return way_on(chill, start, self.dormant_d[1], day, end_day=self.end_day)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOn:
    """The best way on from the day on which the warm weeks are complete."""

    cold_in: int
    """Variant."""
    cold_by: int | None
    """Day by which the cold weeks are complete; None: not within the days known."""
    up_in: int | None = None
    """Variant; None: not up before the season ends."""
    half_by: int | None = None
    booked_by: int | None = None
    """Day by which it is up as booked, its cold taken as booked too."""
    success: float
    """Share that comes through both; of what stands over, through its stay."""
    stands_over: bool = False

    def told(self, climate: Climate, warm_by: int) -> str:
        """The way in words, from the day on which the warm weeks are complete."""
        names = [variant.space.id for variant in climate.zone.variants]
        words = f"warm until {spoken_date(climate, warm_by)}"
        words += f", then cold in {names[self.cold_in]}"
        if self.cold_by is None:
            return f"{words} for more than one winter"
        words += f" until {spoken_date(climate, self.cold_by)}"
        if self.up_in is None:
            return f"{words}, up after the season's end"
        same = self.up_in == self.cold_in
        return words if same else f"{words}, up in {names[self.up_in]}"


def way_on(
    chill: StageGrowth,
    start: StageGrowth,
    cold_d: Days,
    day: int,
    *,
    end_day: int,
) -> WayOn | None:
    """
    Where the cold weeks and the coming up are best had.

    Parameters
    ----------
    chill, start : StageGrowth
        Of the same variants.
    cold_d : array, shape (V, M)
        Days until the cold weeks are complete, in season or not, median of the
        winters, or NOT_THROUGH.
    day : int
        First day after the warm weeks, inside the season.
    end_day : int
        First day after the season.

    Returns
    -------
    WayOn or None
        Up within the season where there is such a way, else standing over; None
        where it has neither.
    """
    ways = [
        way
        for v in range(chill.median.shape[0])
        if (way := _from(chill, start, cold_d, v, day, end_day)) is not None
    ]
    ripe = [way for way in ways if way.half_by is not None]
    if ripe:
        return max(ripe, key=lambda way: way.success - _PER_DAY * (way.half_by or 0))
    unknown = chill.median.shape[1]
    return max(
        ways,
        key=lambda way: way.success - _PER_DAY * (way.cold_by or unknown),
        default=None,
    )


def first_spring(sown: date, *, south: bool = False) -> int:
    """
    Year in whose spring seed can be up that has its warmth from a summer outdoors.

    It lies through that summer and the winter after it; where more weeks are asked
    than one summer has, it takes longer.
    """
    begins = _SUMMER + 6 if south else _SUMMER
    return sown.year + (1 if sown.month < begins else 2)


def _from(
    chill: StageGrowth,
    start: StageGrowth,
    cold_d: Days,
    v: int,
    day: int,
    end_day: int,
) -> WayOn | None:
    cold_by = _end(cold_d, v, day)
    if cold_by is None or cold_by >= end_day:
        over = float(chill.over_success[v, day])
        if np.isnan(over):
            return None
        return WayOn(cold_in=v, cold_by=cold_by, success=over, stands_over=True)
    after = start.median[:, cold_by].astype(int)
    half = np.where(after == NOT_THROUGH, end_day, cold_by + after)
    had, comes = float(chill.success[v, day]), start.success[:, cold_by]
    in_time = half < end_day
    if not in_time.any():
        over = float(np.nanmax(np.append(start.over_success[:, cold_by], -1.0)))
        ready = max(float(comes.max()), over)
        return WayOn(
            cold_in=v, cold_by=cold_by, success=had * ready, stands_over=over >= 0
        )
    worth = np.where(in_time, comes - _PER_DAY * half, -np.inf)
    best = int(worth.argmax())
    booked = _end(chill.booked, v, day)
    if booked is not None and booked < end_day:
        booked = _end(start.booked, best, booked)
    return WayOn(
        cold_in=v,
        cold_by=cold_by,
        up_in=best,
        half_by=int(half[best]),
        booked_by=booked,
        success=had * float(comes[best]),
    )


def _end(table: Days, v: int, day: int) -> int | None:
    if day >= table.shape[1] or table[v, day] == NOT_THROUGH:
        return None
    return day + int(table[v, day])
