"""When a batch under way is through its stage, all spaces it stood in counted."""

from datetime import date

from propsched.advice.state import BatchState
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.biology.moved import through_after
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
) -> int:
    """
    Day of the season on which a share of the winters is through, or NOT_THROUGH.

    Parameters
    ----------
    growth : StageGrowth
        Of the present stage.
    quantile : float
        0.5 for the median; else the share that the season books.
    """
    if not ground.variants_of(state.space):
        return NOT_THROUGH
    stays = _stays(state, ground)
    needs = one.crop.stages[state.stage_index]
    if ground.climate is not None and len(stays) > 1 and needs.stage != "chill":
        day = through_after(ground.climate, needs, stays, quantile=quantile)
        return NOT_THROUGH if day == NOT_THROUGH else day - ground.offset
    start = begun(state, ground)
    lengths = growth.median if quantile == 0.5 else growth.booked
    length = int(lengths[ground.variant_now(state.space), start])
    return NOT_THROUGH if length == NOT_THROUGH else start - ground.offset + length


def _stays(state: BatchState, ground: Ground) -> list[tuple[int, int]]:
    """Variant and first day of every stretch spent in one state of one space."""
    here = [stay for stay in state.stays if ground.variants_of(stay.space)]
    edges = [_day(ground, stay.since) for stay in here]
    until = [*edges[1:], ground.offset + ground.today_day + 1]
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
