"""What can be laid over a space for a night, and what the model makes of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from math import floor

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Season
from propsched.domain.space import Space, Variant
from propsched.service.climate import Warmth
from propsched.thermal.lowest import night_minima
from propsched.thermal.materials import FLEECE_LIFT_K
from propsched.thermal.simulate import simulate
from propsched.thermal.snap import until
from propsched.thermal.tuning import Tuning

FLEECE, MAT, HEAT = "fleece over the plants", "a mat over the glass", "heat on"
MOST_K: Mapping[str, float] = {FLEECE: FLEECE_LIFT_K.value, MAT: 5.0, HEAT: np.inf}
"""
No more is promised, whatever the model says. Fleece: a trade test on lettuce; measured
minima under row covers were sometimes lower than beside them. Mat: one grower's frame
kept 9 °C over the night outside, about 4 of it the frame's own; judgement.
"""
STEP_K = 0.5
"""Gains are rounded down to this."""
_UNDER_GLASS = ("cold-frame", "hotbed")


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that can be done about a space."""

    what: str
    variant: int
    """Row of the warmth whose space it is done to."""
    gain_air_k: float
    gain_root_k: float


def remedies(
    warm: Warmth, season: Season, rows: Iterable[int], first: date, night: date
) -> tuple[Remedy, ...]:
    """
    What helps some spaces on a night, by simulating it from the first night on.

    Parameters
    ----------
    rows : iterable of int
        Variants of the warmth.
    first : date
        Day from whose evening on it is done.

    Returns
    -------
    tuple of Remedy
        Those that gain something.
    """
    tried = [
        (row, what, Variant(changed, f"{what} {row}", warm.zone.variants[row].breathes))
        for row in dict.fromkeys(rows)
        for what, changed in _tried(warm.zone.variants[row].space, first)
    ]
    if not tried:
        return ()
    bare = _with_outer(warm, [row for row, _, _ in tried], season)
    places = {row: i for i, row in enumerate(bare)}
    begin, day = warm.horizon.day(first), warm.horizon.day(night)
    outlook = until(warm.outlook, day + 2)
    known = [warm.zone.variants[row] for row in bare]
    zone = simulate(
        season.site,
        [*known, *(variant for _, _, variant in tried)],
        outlook,
        work_day=np.array([season.is_work_day(d) for d in outlook.horizon]),
        tunings=[
            warm.learnt.get(v.space.id, Tuning())
            for v in (*known, *(variant for _, _, variant in tried))
        ],
        before=([*known, *(warm.zone.variants[row] for row, _, _ in tried)], begin),
    )
    found = []
    for i, (row, what, _) in enumerate(tried, start=len(known)):
        gains = [
            _down(min(_gain(table[i], table[places[row]], day), MOST_K[what]))
            for table in (zone.air_c, zone.root_c)
        ]
        if max(gains) > 0:
            found.append(Remedy(what, row, *gains))
    return tuple(found)


def _gain(
    covered_c: NDArray[np.float32], bare_c: NDArray[np.float32], day: int
) -> float:
    """Median gain in the colder half of the winters, which are those that harm. [K]"""
    bare = night_minima(bare_c, day)
    cold = bare <= np.median(bare)
    return float(np.median((night_minima(covered_c, day) - bare)[cold]))


def _tried(space: Space, first: date) -> Iterable[tuple[str, Space]]:
    matted = space.night_mat or space.cover == "mat"
    if space.kind in _UNDER_GLASS and not matted:
        yield MAT, replace(space, night_mat=True)
    grows = space.kind in (*_UNDER_GLASS, "open-ground", "glasshouse", "polytunnel")
    if grows and space.cover in ("none", "turf"):
        yield FLEECE, replace(space, cover="fleece")
    heat = space.heat
    if heat is not None and not _is_on(space, first):
        on = replace(heat, start=first, end=None, when="always")
        yield HEAT, replace(space, heat=on)


def _is_on(space: Space, day: date) -> bool:
    heat = space.heat
    if heat is None or heat.when == "never":
        return False
    begun = heat.start is None or heat.start <= day
    return begun and (heat.end is None or day <= heat.end)


def _with_outer(warm: Warmth, rows: Iterable[int], season: Season) -> list[int]:
    """The variants, and every state of the spaces they stand inside."""
    inside = {space.id: space.inside for space in season.spaces}
    wanted, outer = dict.fromkeys(rows), set[str]()
    for row in tuple(wanted):
        name = inside[warm.zone.variants[row].space.id]
        while name is not None and name not in outer:
            outer.add(name)
            name = inside[name]
    for i, variant in enumerate(warm.zone.variants):
        if variant.space.id in outer:
            wanted[i] = None
    return sorted(wanted)


def _down(gain_k: float) -> float:
    return max(0.0, floor(gain_k / STEP_K + 1e-9) * STEP_K)
