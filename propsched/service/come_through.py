"""What has come up, rooted or taken by now, though nobody has noted it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from propsched.advice.by_itself import ends_with, goes_on, in_place
from propsched.advice.state import BatchState, Stay
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.domain.batch import EventName
from propsched.domain.plan import Plan
from propsched.service.ground import Ground
from propsched.service.near import by_name
from propsched.service.raised import Raised
from propsched.service.underway import through

LONG_D = 14
"""Days past the day booked from which a start that no plan tells of counts as over:
what has not come a fortnight late seldom comes; judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """A start that counts as over without being noted."""

    batch: str
    event: EventName
    """What would have to be noted."""
    space: str
    since: date
    """Day by which the booked share of the winters has it through."""


def come_through(
    batches: Iterable[Raised],
    states: Mapping[str, BatchState],
    growths: Mapping[tuple[str, str, str], tuple[StageGrowth, ...]],
    ground: Ground,
    force: Plan | None,
) -> tuple[dict[str, BatchState], tuple[Counted, ...]]:
    """
    Where all stands, starts that have gone on by themselves counted as over.

    Seedlings that stay where they were sown, and cuttings that root where they were
    struck, ask nothing of the grower, so the daybook is silent about it.  Taking them
    for not yet up would put them back at every new plan, without end.  By the trade's
    eye they are up once they are due: who looks at a tray that stays empty notes that
    as lost, or sows again.  So such a start counts as over from the day by which the
    booked share of the winters (80 %) has it through, if the plan in force lets it go
    on in the same space.  Where no plan tells what was to become of it, it counts a
    fortnight after that day, if the space suits its next stage.  What is to be moved,
    pricked out or potted is work: it counts only once it is noted.

    Parameters
    ----------
    force : Plan, optional
        The plan in force; None: none, or it is forgotten.
    """
    found, counted = dict(states), []
    placed = {} if force is None else by_name(force)
    for one in batches:
        name = one.batch.id
        state = states.get(name)
        if state is None or not ground.variants_of(state.space):
            continue
        if not goes_on(one.crop, state):
            continue
        k, tables, grace_d = state.stage_index, growths[one.profile], 0
        booked = through(
            one, state, tables[k], ground, quantile=ground.season.weights.quantile
        )
        if booked == NOT_THROUGH:
            continue
        later = [p for p in placed.get(name, ()) if p.stage == tables[k + 1].stage]
        if later and in_place(one.crop, state, later) is None:
            continue
        if not later:
            grace_d = LONG_D
            v, at = ground.variant_now(state.space), ground.offset + booked
            if at >= tables[k + 1].why.shape[1] or tables[k + 1].success[v, at] <= 0:
                continue
        if booked + grace_d > ground.today_day:
            continue
        since = max(ground.season.horizon.date(booked), state.since)
        found[name] = replace(
            state,
            stage=one.crop.stages[k + 1].stage,
            stage_index=k + 1,
            since=since,
            here_since=max(since, state.here_since),
            stays=(Stay(state.space, since),),
        )
        counted.append(
            Counted(
                batch=name, event=ends_with(one.crop), space=state.space, since=since
            )
        )
    return found, tuple(counted)
