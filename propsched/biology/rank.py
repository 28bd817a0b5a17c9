"""Where one crop does best if it is started on a given day."""

from dataclasses import dataclass, replace
from math import log2

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.development import TOO_FEW, ends, grow, lengths_by_rank
from propsched.biology.growth import NO_STAND, NOT_THROUGH, StageGrowth
from propsched.biology.limits import limits
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.space import SpaceKind

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
    container: Container | None = None,
) -> tuple[Ranked, ...]:
    """
    Every variant with standing area, best first.

    Parameters
    ----------
    crop : Crop
        Its chilling, if any, and start are asked.
    climate : Climate
    day : int
        Day of the start.
    end_day : int
        First day after the season.
    container : Container, optional
        In place of the crop's own for the start.

    Returns
    -------
    tuple of Ranked
        Empty if ``day`` lies outside the season.

    Notes
    -----
    Ranked by success, less 0.06 for each doubling of the shortest time, less up
    to 0.1 for heat.  Dormant wood and roots lose half as much by being slow, and
    nothing where they may stand over, but lose a little by taking up a sheltered
    place.  The weights are the project's judgement.
    """
    early = tuple(n for n in crop.stages if n.stage in {"chill", "start"})
    if not early or not 0 <= day < min(end_day, climate.days):
        return ()
    begun = Crop(
        name=crop.name,
        method=crop.method,
        stages=early,
        stands_over=crop.stands_over,
    )
    grown = grow(begun, container, climate, end_day=end_day, quantile=0.8)
    slow = _slow_plants(climate, early[-1], grown[-1].median.shape[1])
    words = limits(crop, climate, day, container)
    rows = [
        _row(crop, climate, grown, slow, v, day, end_day, words[v])
        for v, variant in enumerate(climate.zone.variants)
        if variant.space.stands
    ]
    return _scored(crop, climate, rows)


def _slow_plants(climate: Climate, needs: Needs, starts: int) -> NDArray[np.int16]:
    """Days until most plants are through, median of the winters. (V, starts)"""
    end = ends(climate, needs, starts, plants=_MOST)
    length = np.where(end > climate.days, NOT_THROUGH, end - np.arange(starts))
    return lengths_by_rank(length, 0.5)


def _chilled(grown: tuple[StageGrowth, ...], v: int, day: int) -> int | None:
    """Day on which the start begins, after chilling if there is any; None: never."""
    if len(grown) == 1:
        return day
    length = int(grown[0].median[v, day])
    return day + length if length < NOT_THROUGH else None


def _row(
    crop: Crop,
    climate: Climate,
    grown: tuple[StageGrowth, ...],
    slow: NDArray[np.int16],
    v: int,
    day: int,
    end_day: int,
    words: tuple[str, ...],
) -> Ranked:
    begun = _chilled(grown, v, day)
    now, start = day if begun is None else begun, grown[-1]
    success = float(grown[0].success[v, day]) if len(grown) > 1 else 1.0
    half_by = most_by = None
    slow_there = stands_over = False
    if begun is not None and begun < climate.days:
        comes = float(start.success[v, now])
        length, late = int(start.median[v, now]), int(slow[v, now])
        over = float(start.over_success[v, now])
        if length < NOT_THROUGH:
            half_by, success = now + length, success * comes
            most_by = now + late if late < NOT_THROUGH else None
        slow_there = half_by is None or half_by > end_day
        stands_over = not np.isnan(over) and (slow_there or crop.stays_in_row)
        if half_by is None and stands_over:
            success *= over
        elif half_by is None and now > day:
            half_by = now
            words = (*words, "only chilled by then: it comes up elsewhere")
        elif half_by is None:
            success *= comes
    until = min(end_day if half_by is None else half_by, climate.days)
    until = max(until, day + 1)
    in_season = half_by is not None and half_by <= end_day
    if stands_over:
        what = "slow: stands over" if slow_there else "stands over until dormant again"
        words = (*words, what)
    elif not in_season and success >= TOO_FEW:
        if begun is not None:
            words = (*words, "not through before the season ends")
        success = 0.0 if half_by is None else success
    return Ranked(
        variant=v,
        half_by=half_by,
        most_by=most_by if half_by is not None else None,
        days=None if half_by is None else half_by - day,
        root_mean_c=float(climate.root_mean_c[v, :, day:until].mean()),
        success=success,
        allowed=(in_season or stands_over) and success >= TOO_FEW,
        stands_over=stands_over,
        kwh=float(climate.zone.kwh[v, :, day:until].sum(axis=-1).mean()),
        limits=words if grown[0].why[v, day] != NO_STAND else words[:1],
        score=0.0,
    )


def _scored(crop: Crop, climate: Climate, rows: list[Ranked]) -> tuple[Ranked, ...]:
    patient = crop.method in _PATIENT
    doubling = _FOR_PATIENT if patient else _PER_DOUBLING
    if patient and crop.stands_over:
        doubling = 0.0
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
            - (_SHELTER.get(kind, _ELSEWHERE) if patient else 0.0)
        )

    scored = [replace(row, score=score(row)) for row in rows]
    return tuple(sorted(scored, key=lambda row: (-row.score, row.variant)))
