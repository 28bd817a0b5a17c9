"""Where one crop does best if it is started on a given day."""

from dataclasses import dataclass, replace
from math import log2

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.development import TOO_FEW, ends, grow, lengths_by_rank
from propsched.biology.growth import FLOOR, NO_STAND, NOT_THROUGH, StageGrowth
from propsched.biology.limits import limits
from propsched.biology.way_on import WarmFirst, WarmThen
from propsched.domain.container import Container
from propsched.domain.crop import UNSTARTED, Crop, Needs
from propsched.domain.space import SpaceKind

QUANTILE = 0.8
"""Share of the winters in which what may be started is through in time."""
_MOST = 0.9
"""Share of plants meant by "most"."""
_PER_DOUBLING = 0.06
"""Worth of being through in half the time, in shares of success; judgement."""
_PATIENT = frozenset({"hardwood", "root"})
"""Methods with dormant material, which waits."""
_FOR_PATIENT = 0.03
"""Worth to them of half the time; where they may stand over, none."""
_FOR_HEAT = 0.1
"""Worth of doing without heat, at most; judgement."""
_SHELTER: dict[SpaceKind, float] = {
    "open-ground": 0.0,
    "cold-frame": 0.03,
    "glasshouse": 0.05,
    "polytunnel": 0.05,
}
_OF_ROOTS: dict[SpaceKind, float] = {**_SHELTER, "cold-frame": 0.0}
"""A frame is the place of root cuttings (published timing: frame to frost-free)."""
_UNTIL_DORMANT = "stands over until dormant again"
_ELSEWHERE = 0.1
"""Worth of keeping a sheltered place for what needs it; asked of patient methods
only; judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """One variant of a space, for a crop started on the day asked about."""

    variant: int
    half_by: int | None
    """Day by which half of the plants are through, median of the winters."""
    most_by: int | None
    """Day by which nine in ten plants are."""
    days: int | None
    """From the start to ``half_by``."""
    root_mean_c: float
    """Root zone over the stage, mean of the winters. [°C]"""
    success: float
    """Share that comes through, relative to the crop's best. 0..1"""
    allowed: bool
    """Whether it may be started there."""
    stands_over: bool
    """Not through, or not to be lifted, before the season's end, and may stand."""
    kwh: float
    """Electric energy of the whole space over the stage, mean of winters. [kWh]"""
    limits: tuple[str, ...]
    """What stands against it, in words."""
    score: float


def rank_spaces(
    crop: Crop,
    climate: Climate,
    day: int,
    *,
    end_day: int,
    quantile: float = QUANTILE,
    container: Container | None = None,
    south: bool = False,
) -> tuple[Ranked, ...]:
    """
    Every variant with standing area, best first.

    Parameters
    ----------
    crop : Crop
        Its lying warm and its chilling, if any, and its start are asked.
    climate : Climate
    day : int
        Day of the start.
    end_day : int
        First day after the season; what is through on that day is too late, as it
        is for the planner.
    quantile : float
        Share of the winters in which it has to be through in time.
    container : Container, optional
        In place of the crop's own for the start.
    south : bool
        Whether it lies south of the equator.

    Returns
    -------
    tuple of Ranked
        Empty if ``day`` lies outside the season.

    Notes
    -----
    Ranked by success, less 0.06 for each doubling of the shortest time, less up
    to 0.1 for heat.  Dormant wood and roots lose half as much by being slow, and
    nothing where they may stand over, but lose a little by taking up a sheltered
    place.  Seed that lies warm first is asked for its warm weeks in the space and
    the best way on from there.  The weights are the project's judgement.
    """
    early = tuple(n for n in crop.stages if n.stage in UNSTARTED)
    if not early or not 0 <= day < min(end_day, climate.days):
        return ()
    begun = Crop(
        name=crop.name,
        method=crop.method,
        stages=early,
        stands_over=crop.stands_over,
    )
    grown = grow(begun, container, climate, end_day=end_day, quantile=quantile)
    slow = _days_through(climate, early[-1], grown[-1], plants=_MOST)
    begun_on = [_through(grown[:-1], v, day) for v in range(climate.shape[0])]
    asked = _Asked(crop, climate, day, end_day, quantile)
    words = _words(asked, early, begun_on, container)
    standing = [v for v, one in enumerate(climate.zone.variants) if one.space.stands]
    if [n.stage for n in early] == ["warm", "chill", "start"]:
        dormant = [_days_through(climate, early[k], grown[k]) for k in (0, 1)]
        way = WarmFirst(climate, grown, dormant, slow, day, end_day, south)
        rows = [_row_of_warm(asked, way.of(v), v, words[v][0]) for v in standing]
    else:
        rows = [_row(asked, grown, slow, v, begun_on[v], words[v]) for v in standing]
    return _scored(crop, climate, rows)


def _days_through(
    climate: Climate, needs: Needs, growth: StageGrowth, *, plants: float = 0.5
) -> NDArray[np.int16]:
    """
    Days until so many plants are through, median of the winters. (V, N)

    Other than those of the growth they may end after the season.
    """
    starts = growth.median.shape[1]
    end = ends(climate, needs, starts, plants=plants)
    length = np.where(end > climate.days, NOT_THROUGH, end - np.arange(starts))
    return lengths_by_rank(length, 0.5)


def _through(
    grown: tuple[StageGrowth, ...], v: int, day: int, *, booked: bool = False
) -> int | None:
    """Day on which stages one after another are through; None: never."""
    for growth in grown:
        table = growth.booked if booked else growth.median
        if day >= table.shape[1] or table[v, day] == NOT_THROUGH:
            return None
        day += int(table[v, day])
    return day


@dataclass(frozen=True)
class _Asked:
    crop: Crop
    climate: Climate
    day: int
    end_day: int
    quantile: float


def _words(
    asked: _Asked,
    early: tuple[Needs, ...],
    begun_on: list[int | None],
    container: Container | None,
) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """What stands against chilling, if there is any, and against the start."""
    crop, climate, end_day = asked.crop, asked.climate, asked.end_day
    last = climate.days - 1
    days = np.array([min(asked.day if b is None else b, last) for b in begun_on])
    start = limits(crop, early[-1], climate, days, end_day=end_day, container=container)
    if len(early) == 1:
        return [((), words) for words in start]
    now = np.full_like(days, asked.day)
    chill = limits(crop, early[0], climate, now, end_day=end_day)
    return list(zip(chill, start, strict=True))


def _row(
    asked: _Asked,
    grown: tuple[StageGrowth, ...],
    slow: NDArray[np.int16],
    v: int,
    begun: int | None,
    said: tuple[tuple[str, ...], tuple[str, ...]],
) -> Ranked:
    climate, day, end_day, start = asked.climate, asked.day, asked.end_day, grown[-1]
    words, of_start = said
    success = float(grown[0].success[v, day]) if len(grown) > 1 else 1.0
    if begun is not None and begun >= end_day:
        begun = None
    half_by = most_by = booked_by = None
    rots = stands_over = chilled_only = False
    if begun is not None and begun < climate.days:
        half_by = _through((start,), v, begun)
        booked_by = _through(grown, v, day, booked=True)
        rots = bool(start.why[v, begun] & FLOOR)
        comes, over = (
            float(start.success[v, begun]),
            float(start.over_success[v, begun]),
        )
        late = booked_by is None or booked_by >= end_day
        stands_over = not np.isnan(over) and (late or asked.crop.stays_in_row)
        if asked.crop.stays_in_row and not stands_over:
            half_by = booked_by = None
        chilled_only = half_by is None and not stands_over and day < begun < end_day
        if half_by is not None:
            most_by = int(slow[v, begun]) + begun
            most_by = most_by if slow[v, begun] < NOT_THROUGH else None
        if chilled_only:
            half_by = begun
            booked_by = _through(grown[:-1], v, day, booked=True)
            words = (*words, "only chilled by then: it comes up elsewhere")
        else:
            success *= over if half_by is None and stands_over else comes
            words = (*words, *of_start)
    in_season = booked_by is not None and booked_by < end_day
    if stands_over:
        rooted = half_by is not None and half_by < end_day
        lifted = rooted and asked.crop.stays_in_row
        words = (*words, _UNTIL_DORMANT if lifted else "slow: stands over")
    elif not in_season and success >= TOO_FEW and not rots:
        words = _late(asked, words, begun, half_by)
    if half_by is None and not stands_over and (begun is not None or len(grown) == 1):
        success = 0.0
    until = min(end_day if half_by is None else half_by, climate.days)
    until = max(until, day + 1)
    return Ranked(
        variant=v,
        half_by=half_by,
        most_by=most_by,
        days=None if half_by is None else half_by - day,
        root_mean_c=float(climate.root_mean_c[v, :, day:until].mean()),
        success=success,
        allowed=(in_season or stands_over) and success >= TOO_FEW,
        stands_over=stands_over,
        kwh=float(climate.zone.kwh[v, :, day:until].sum(axis=-1).mean()),
        limits=words if grown[0].why[v, day] != NO_STAND else words[:1],
        score=0.0,
    )


def _row_of_warm(
    asked: _Asked, way: WarmThen, v: int, words: tuple[str, ...]
) -> Ranked:
    """Warm weeks in the space, then cold ones and coming up where that is best."""
    climate, day, end_day = asked.climate, asked.day, asked.end_day
    in_season = way.booked_by is not None and way.booked_by < end_day
    lies_on = way.stands_over and (way.warm_by is None or way.warm_by >= end_day)
    words = way.words if lies_on else (*words, *way.words)
    if way.half_by is not None and not in_season:
        words = _late(asked, words, way.warm_by, way.half_by)
    until = max(min(way.warm_by or end_day, end_day, climate.days), day + 1)
    return Ranked(
        variant=v,
        half_by=way.half_by,
        most_by=way.most_by,
        days=None if way.half_by is None else way.half_by - day,
        root_mean_c=float(climate.root_mean_c[v, :, day:until].mean()),
        success=way.success,
        allowed=(in_season or way.stands_over) and way.success >= TOO_FEW,
        stands_over=way.stands_over,
        kwh=float(climate.zone.kwh[v, :, day:until].sum(axis=-1).mean()),
        limits=words,
        score=0.0,
    )


def _late(
    asked: _Asked, words: tuple[str, ...], begun: int | None, half_by: int | None
) -> tuple[str, ...]:
    if begun is None or any("winters of ten" in word for word in words):
        return words
    if asked.crop.stays_in_row:
        return (*words, "cannot stand there until it is dormant again")
    if half_by is None or half_by >= asked.end_day:
        return (*words, "not through before the season ends")
    share = f"fewer than {10 * asked.quantile:g} winters of ten"
    return (*words, f"through before the season ends in {share}")


def _scored(crop: Crop, climate: Climate, rows: list[Ranked]) -> tuple[Ranked, ...]:
    patient = crop.method in _PATIENT
    doubling = _FOR_PATIENT if patient else _PER_DOUBLING
    if patient and crop.stands_over:
        doubling = 0.0
    shelter = _OF_ROOTS if crop.method == "root" else _SHELTER
    quickest = min((row.days for row in rows if row.days and row.allowed), default=1)

    def score(row: Ranked) -> float:
        if not row.allowed:
            return row.success - 1.0
        kind = climate.zone.variants[row.variant].space.kind
        length = max(row.days or 4 * quickest, 1)
        a_day = row.kwh / length
        return (
            row.success
            - doubling * log2(max(length / quickest, 1.0))
            - _FOR_HEAT * a_day / (1.0 + a_day)
            - (shelter.get(kind, _ELSEWHERE) if patient else 0.0)
        )

    scored = [replace(row, score=score(row)) for row in rows]
    return tuple(sorted(scored, key=lambda row: (-row.score, row.variant)))
