"""What the season offers, the same for every batch, in the planner's units."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.growth import ENDLESS, NO_STAND, NOT_THROUGH, StageGrowth
from propsched.domain.season import Season
from propsched.domain.space import HEAT_OFF, HEAT_ON, Space, cover_of
from propsched.optimise.problem import AREA_SCALE, NEVER, PPM, StageTable
from propsched.service.variants import heated_days, make_up_choices
from propsched.thermal.rootzone import RootZone

LEAST_GAIN = 0.001
"""Share of plants a cover has to bring to be worth laying; judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the season offers: the same for every batch."""

    season: Season
    zone: RootZone
    offset: int
    """Simulated day that is day 0 of the season."""
    today: date
    climate: Climate | None = None
    """For development along several spaces; None in worlds of tables alone."""
    states: Mapping[str, NDArray[np.int64]] = field(default_factory=dict)
    """Variant each space is in on each simulated day, by the daybook; the first of
    its variants where it is not told."""

    @property
    def days(self) -> int:
        return self.season.horizon.days

    @property
    def today_day(self) -> int:
        return max(0, self.season.horizon.day(self.today))

    def variants_of(self, space: str) -> tuple[int, ...]:
        return tuple(i for i, v in enumerate(self.zone.variants) if v.space.id == space)

    def variant_on(self, space: str, day: int) -> int:
        """State of a space on a simulated day, by the daybook."""
        if space not in self.states:
            return self.zone.of(space)
        row = self.states[space]
        return int(row[min(max(day, 0), row.size - 1)])

    def variant_now(self, space: str) -> int:
        return self.variant_on(space, self.offset + self.today_day)

    def open_states(self, variant: int) -> tuple[int, ...]:
        """
        States its space may be in from today on for what stands there, its own first.

        Another only where the plan is to switch the heat of its space by the week.
        """
        one = self.zone.variants[variant]
        given = self._given(variant)
        if given.heat is None or not given.by_week or given.make_up_open:
            return (variant,)
        if heated_days(given.heat, self.season)[1] <= self.today_day:
            return (variant,)
        other = HEAT_OFF if one.name == HEAT_ON else HEAT_ON
        return variant, self.zone.of(given.id, other)

    def _given(self, variant: int) -> Space:
        """The space as the season has it."""
        name = self.zone.variants[variant].space.id
        return next(space for space in self.season.spaces if space.id == name)

    def opens(self, variant: int) -> int:
        """First day of the season on which a state is there: beds the plan makes up."""
        if not self._given(variant).make_up_open:
            return 0
        made = self.zone.variants[variant].space.make_up
        return self.days if made is None else self.season.horizon.day(made) + 1


def stage_table(
    growth: StageGrowth,
    ground: Ground,
    *,
    wait: int,
    any_day: bool,
    stays: bool = False,
) -> StageTable:
    """
    Cut the season out of a stage's growth, in the planner's units.

    ``stays``: it cannot be taken away before the season ends, through or not.
    """
    days = ground.days
    cut = slice(ground.offset, ground.offset + days)
    booked = growth.booked[:, cut].astype(np.int64)
    why = growth.why[:, cut].copy()
    for v in range(why.shape[0]):
        why[v, : max(0, ground.opens(v))] |= np.uint8(NO_STAND)
    blocked = (why & ~np.uint8(ENDLESS)) != 0
    ends = np.arange(days)[None, :] + booked
    late = (booked == NOT_THROUGH) | (ends > days - 1) | stays
    why[late] |= np.uint8(ENDLESS)
    length = np.where(blocked | late, NEVER, booked).astype(np.int16)
    success, over = growth.success[:, cut].copy(), growth.over_success[:, cut].copy()
    laid = np.array([bool(cover_of(v.name)) for v in ground.zone.variants], dtype=bool)
    for share in (success, over):
        share[laid] = np.maximum(share[laid] - LEAST_GAIN, 0)
    may_stand = ~np.isnan(over) & ~blocked
    over_ppm = np.where(may_stand, np.nan_to_num(over) * PPM, -1)
    return StageTable(
        name=growth.stage,
        length=length,
        success=np.rint(success * PPM).astype(np.int32),
        over_success=np.rint(over_ppm).astype(np.int32),
        wait=wait,
        any_day=any_day,
        why=why,
    )


def capacity(ground: Ground) -> NDArray[np.int64]:
    """Free standing area of each space and day. [10 cm²] (S, D)"""
    season = ground.season
    free = np.zeros((len(season.spaces), ground.days), dtype=np.int64)
    for s, space in enumerate(season.spaces):
        if not space.stands:
            continue
        free[s] = int(space.area_m2 * AREA_SCALE + 1e-6)
        for taken in space.reserved:
            first = max(0, season.horizon.day(taken.start))
            last = season.horizon.day(taken.end)
            free[s, first : max(first, last + 1)] -= round(taken.area_m2 * AREA_SCALE)
        if space.kind == "hotbed" and space.make_up is not None:
            # the bed is not there before; nothing stands in the way of its making
            free[s, : max(0, season.horizon.day(space.make_up) + 1)] = 0
        if space.make_up_open:
            days = make_up_choices(space, season, ground.today)
            free[s, : season.horizon.day(days[0]) + 1 if days else None] = 0
    return np.maximum(free, 0)


def heat_cost_per_day(ground: Ground) -> NDArray[np.float64]:
    """Mean cost of heat and lamps over the winters, in currency. (V, D)"""
    kwh = ground.zone.kwh.mean(axis=1, dtype=np.float64)
    cut = kwh[:, ground.offset : ground.offset + ground.days]
    return np.asarray(cut * ground.season.heat.price_per_kwh)
