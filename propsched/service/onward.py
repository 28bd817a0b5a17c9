"""What stands may be moved before it is through, once, with what it has behind it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from propsched.advice.state import BatchState
from propsched.biology.growth import ENDLESS, NOT_THROUGH, StageGrowth
from propsched.biology.moved import through_after
from propsched.domain.batch import Pin
from propsched.domain.crop import DORMANT
from propsched.service.change import Change
from propsched.service.ground import Ground
from propsched.service.raised import Raised
from propsched.service.underway import stays_of

Profile = tuple[str, str, str]
Growths = Mapping[Profile, tuple[StageGrowth, ...]]


def moving_on(
    batches: Iterable[Raised],
    states: Mapping[str, BatchState],
    growths: Growths,
    ground: Ground,
    pins: Iterable[Pin],
    change: Change,
    *,
    staying: frozenset[str] = frozenset(),
) -> tuple[tuple[Raised, ...], dict[Profile, tuple[StageGrowth, ...]]]:
    """
    The batches, the stage of those that can be moved now in two parts.

    The first part stands where it stands until the next work day (or the last one
    before a cold spell or before its space is out of use, if that is supposed); the
    second may stand anywhere, its length what is left of the stage there.  Not moved
    are plants in the row, weeks of chilling, what the grower has pinned, and what
    stands under heat that the plan switches.  What stands in a space that is out of
    use has to leave it, but for batches that are ``staying``: they have nowhere to go.

    Returns
    -------
    batches, and the growth of those in two parts, each under its own profile.
    """
    pinned = {(pin.batch, str(pin.stage)) for pin in pins}
    found, own = [], {}
    for one in batches:
        state = states.get(one.batch.id)
        day = None
        if state is not None and (one.batch.id, state.stage) not in pinned:
            day = _day(one, state, growths[one.profile], ground, change)
        if state is None or day is None:
            found.append(one)
            continue
        k, needs = state.stage_index, one.crop.stages
        first = replace(needs[k], wait_d=0)
        rest = replace(needs[k], min_per_container=0.0)
        stages = (*needs[:k], first, rest, *needs[k + 1 :])
        two = replace(one, crop=replace(one.crop, stages=stages), moves_on=day)
        grown = growths[one.profile]
        closed = one.batch.id not in staying and any(
            out.space == state.space for out in change.without
        )
        own[two.profile] = (
            *grown[:k],
            _until(grown[k]),
            _rest(one, state, grown[k], ground, day, closed=closed),
            *grown[k + 1 :],
        )
        found.append(two)
    return tuple(found), own


def closed_days(ground: Ground, change: Change) -> tuple[tuple[str, int, int], ...]:
    """Spaces out of use: day of the season from which, and first day after it."""
    horizon, found = ground.season.horizon, []
    for out in change.without:
        first = ground.today_day if out.first is None else horizon.day(out.first)
        last = ground.days - 1 if out.last is None else horizon.day(out.last)
        found.append((out.space, max(0, first), min(ground.days, last + 1)))
    return tuple(found)


def _day(
    one: Raised,
    state: BatchState,
    growth: tuple[StageGrowth, ...],
    ground: Ground,
    change: Change,
) -> int | None:
    """Day of the season on which it may be moved; None: it is not."""
    k, season = state.stage_index, ground.season
    needs = one.crop.stages[k]
    fixed = needs.container.name == "row" or needs.stage in DORMANT
    lifted = one.crop.stays_in_row and k == len(one.crop.stages) - 1
    if not state.standing or not ground.variants_of(state.space) or fixed or lifted:
        return None
    here = ground.variant_now(state.space)
    if len(ground.open_states(here)) > 1 or ground.climate is None:
        return None
    soonest = max(ground.today_day, season.horizon.day(state.here_since) + 1)
    latest = max(soonest, _wanted(state.space, ground, change))
    days = [
        day
        for day in range(soonest, ground.days - 1)
        if season.is_work_day(season.horizon.date(day))
    ]
    if not days:
        return None
    day = max((d for d in days if d <= latest), default=days[0])
    through = through_after(
        ground.climate,
        needs,
        stays_of(state, ground),
        quantile=season.weights.quantile,
    )
    return day if through > ground.offset + day else None


def _wanted(space: str, ground: Ground, change: Change) -> int:
    """Day by which it had better be moved, if something is supposed."""
    horizon = ground.season.horizon
    closed = [out.first for out in change.without if out.space == space and out.first]
    days = closed or [spell.first for spell in change.cold]
    return min((horizon.day(day) for day in days), default=ground.today_day)


def _until(growth: StageGrowth) -> StageGrowth:
    """The stage until then: whatever is lost is counted in the rest of it."""
    return replace(
        growth,
        success=np.ones_like(growth.success),
        over_success=np.full_like(growth.over_success, np.nan),
    )


def _rest(
    one: Raised,
    state: BatchState,
    growth: StageGrowth,
    ground: Ground,
    day: int,
    *,
    closed: bool,
) -> StageGrowth:
    """
    The stage from that day on, in every variant; no other start is possible.

    Where it stands as many come through as the stage's table has.  Elsewhere as many
    as of a start there on that day, fewer by what has been lost where it stood:
    what the table has for its own start against one on that day in the same place.
    """
    assert ground.climate is not None
    needs, at = one.crop.stages[state.stage_index], ground.offset + day
    here, behind = ground.variant_now(state.space), stays_of(state, ground)
    here_from = max(state.since, state.here_since)
    since = max(0, ground.offset + ground.season.horizon.day(here_from))
    began = max(0, ground.offset + ground.season.horizon.day(state.since))
    lengths = {q: np.full_like(growth.booked, NOT_THROUGH) for q in ("half", "booked")}
    success = np.zeros_like(growth.success)
    over = np.full_like(growth.over_success, np.nan)
    why = growth.why.copy()
    own = float(growth.success[here, since]) or float(growth.success[here, began])
    fresh = float(growth.success[here, at])
    kept = min(1.0, own / fresh) if fresh > 0 else 1.0
    ranks = {"half": 0.5, "booked": ground.season.weights.quantile}
    for v in range(growth.why.shape[0]):
        if v != here and growth.why[v, at] & ~np.uint8(ENDLESS):
            continue
        stays = behind if v == here else [*behind, (v, at)]
        for name, rank in ranks.items():
            end = through_after(ground.climate, needs, stays, quantile=rank)
            if end != NOT_THROUGH:
                lengths[name][v, at] = max(1, end - at)
        success[v, at] = own if v == here else kept * growth.success[v, at]
        over[v, at] = kept * growth.over_success[v, at]
    why[here, at] = 0
    if lengths["booked"][here, at] == NOT_THROUGH and np.isnan(over[here, at]):
        over[here, at] = 0.0  # it stands there all the same
    if closed:
        lengths["booked"][here, at], over[here, at] = NOT_THROUGH, np.nan
    return replace(
        growth,
        median=lengths["half"],
        booked=lengths["booked"],
        success=success,
        over_success=over,
        why=why,
    )
