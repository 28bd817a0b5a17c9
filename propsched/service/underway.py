"""When a batch under way is through its stage, all spaces it stood in counted."""

from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.advice.state import BatchState
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.biology.moved import through_after
from propsched.domain.crop import DORMANT
from propsched.optimise.problem import NEVER, StageTable
from propsched.service.ground import Ground
from propsched.service.raised import Raised


def begun(state: BatchState, ground: Ground) -> int:
    """Simulated day on which its present stage began."""
    return _day(ground, state.since)


def through(
    one: Raised,
    state: BatchState,
    growth: StageGrowth,
    ground: Ground,
    *,
    quantile: float,
    then: int | None = None,
) -> int:
    """
    Day of the season on which a share of the winters is through, or NOT_THROUGH.

    Parameters
    ----------
    growth : StageGrowth
        Of the present stage.
    quantile : float
        0.5 for the median; else the share that the season books.
    then : int, optional
        Variant of its space from today on; None: that which it is in today.
    """
    if not ground.variants_of(state.space):
        return NOT_THROUGH
    then = ground.variant_now(state.space) if then is None else then
    stays = stays_of(state, ground)
    if stays and stays[-1][0] != then:
        stays.append((then, ground.offset + ground.today_day))
    needs = one.crop.stages[state.stage_index]
    if ground.climate is not None and len(stays) > 1 and needs.stage not in DORMANT:
        day = through_after(ground.climate, needs, stays, quantile=quantile)
        return NOT_THROUGH if day == NOT_THROUGH else day - ground.offset
    start = begun(state, ground)
    lengths = growth.median if quantile == 0.5 else growth.booked
    length = int(lengths[then, start])
    return NOT_THROUGH if length == NOT_THROUGH else start - ground.offset + length


def in_each_state(
    one: Raised,
    state: BatchState,
    table: StageTable,
    growth: StageGrowth,
    ground: Ground,
    *,
    day: int,
    stays: bool,
) -> StageTable:
    """
    What stands under heat that the plan switches, in each state from today on.

    Its length is that of what it has behind it and the rest in that state. Of the
    plants as many come through as the tables have for each state it has been in and
    is to be in, each counted by its days.

    Parameters
    ----------
    table : StageTable
        Of the present stage; its rows of the space are set on ``day``, the day in the
        season on which it came here.
    stays : bool
        It cannot be taken away before the season ends, through or not.
    """
    v, today = ground.variant_now(state.space), ground.today_day
    length, success = table.length.copy(), table.success.copy()
    over = table.over_success.copy()
    past = _behind(state, ground)
    for w in ground.open_states(v):
        booked = through(
            one,
            state,
            growth,
            ground,
            quantile=ground.season.weights.quantile,
            then=w,
        )
        late = booked > ground.days - 1 or stays
        length[w, day] = NEVER if late else max(1, booked - day, today - day)
        whole = [*past, (w, today, max(1, min(booked, ground.days) - today))]
        success[w, day] = _by_days(table.success, whole)
        may_stand = table.over_success[w, today] >= 0
        over[w, day] = _by_days(table.over_success, whole) if may_stand else -1
        if late and not may_stand:
            # it stands there all the same: keep its place, expect nothing of it
            over[w, day] = 0
    return replace(table, length=length, success=success, over_success=over)


def _behind(state: BatchState, ground: Ground) -> list[tuple[int, int, int]]:
    """Variant, first day in the season and days of every stretch before today."""
    stays = stays_of(state, ground)
    now = ground.offset + ground.today_day
    ends = [*(first for _, first in stays[1:]), now]
    return [
        (v, max(0, first - ground.offset), end - first)
        for (v, first), end in zip(stays, ends, strict=True)
        if end > first
    ]


def _by_days(
    share_ppm: NDArray[np.int32], stretches: list[tuple[int, int, int]]
) -> int:
    """Mean of the shares of plants, each counted by its days; none below nothing."""
    total = sum(days for _, _, days in stretches)
    made = sum(max(0, int(share_ppm[v, day])) * days for v, day, days in stretches)
    return round(made / total)


def stays_of(state: BatchState, ground: Ground) -> list[tuple[int, int]]:
    """Variant and first day of every stretch spent in one state of one space."""
    here = [stay for stay in state.stays if ground.variants_of(stay.space)]
    edges = [_day(ground, stay.since) for stay in here]
    until = [*edges[1:], ground.offset + ground.today_day]
    found: list[tuple[int, int]] = []
    for stay, first, end in zip(here, edges, until, strict=True):
        found.append((ground.variant_on(stay.space, first), first))
        for day in range(first + 1, end):
            state_then = ground.variant_on(stay.space, day)
            if state_then != found[-1][0]:
                found.append((state_then, day))
    return found


def _day(ground: Ground, when: date) -> int:
    return max(0, ground.offset + ground.season.horizon.day(when))
