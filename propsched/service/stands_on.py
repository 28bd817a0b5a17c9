"""What stands where on a night to come: by the daybook, then by the plan in force."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from propsched.advice.by_itself import in_place
from propsched.advice.state import BatchState
from propsched.domain.crop import UNSTARTED, Crop, Needs
from propsched.domain.plan import Placement, Plan, ways
from propsched.service.raised import Raised
from propsched.service.tasks import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class OnNight:
    """One batch on one night."""

    batch: str
    crop: Crop
    needs: Needs
    space: str
    variant: str
    """State of the space as the plan has it; blank: as the daybook has it."""
    area_m2: float
    since: date
    """Day on which it came there, or began its stage there if it had no leaves yet:
    what has grown in the air of a place is hardened by it through all its stages."""
    planned: bool
    """Whether it stands there only if the plan is followed until then."""


def stands_on(
    night: date,
    *,
    today: date,
    raised: Iterable[Raised],
    states: Mapping[str, BatchState],
    plan: Plan | None,
    noted: bool,
) -> tuple[OnNight, ...]:
    """
    What stands on the night that begins on a day, today or later.

    Seed that is due where it was sown counts as up, noted or not.

    Parameters
    ----------
    noted : bool
        Whether the daybook is in use; else what the plan says of the past was done.
    """
    placed = ways(plan.placements) if plan is not None else {}
    found = []
    for one in raised:
        state = states.get(one.batch.id)
        if state is not None and not state.standing:
            continue
        before = _of_state(one, state) if state is not None else None
        stage = -1 if state is None else state.stage_index
        for own in placed.get(one.batch.id, [[]]):
            here = None if state is None else in_place(one.crop, state, own)
            moved = [
                (k, p)
                for k, p in _stages(one, own)
                if (k > stage or (k == stage and p.moved and p.start > today))
                and p.start <= night < p.end
                and (p.start > today or p is here or (state is None and not noted))
            ]
            if moved:
                found.append(
                    _of_plan(one, *moved[-1], since=there_since(moved[-1][1], own))
                )
            elif before is not None and not _gone(own, night, today):
                found.append(before)
    return tuple(found)


def _gone(own: Iterable[Placement], night: date, today: date) -> bool:
    """Whether the plan has it planted out by then."""
    last = max((p.end for p in own), default=None)
    return last is not None and today < last <= night


def _stages(one: Raised, own: Iterable[Placement]) -> list[tuple[int, Placement]]:
    names = [str(needs.stage) for needs in one.crop.stages]
    return [(names.index(p.stage), p) for p in own if p.stage in names]


def _of_state(one: Raised, state: BatchState) -> OnNight | None:
    if not state.space:
        return None
    plants, _ = counted(one, state)
    k = state.stage_index
    needs = one.crop.stages[k]
    grown = k > 0 and one.crop.stages[k - 1].stage not in UNSTARTED
    return OnNight(
        batch=one.batch.id,
        crop=one.crop,
        needs=needs,
        space=state.space,
        variant="",
        area_m2=needs.container.area_m2(plants[k]),
        since=state.here_since if grown else max(state.since, state.here_since),
        planned=False,
    )


def there_since(last: Placement, own: Iterable[Placement]) -> date:
    """Since when a batch has stood in the space of a placement in leaf, by its plan."""
    since = last.start
    for p in sorted(own, key=lambda p: p.start, reverse=True):
        if p.start >= since:
            continue
        if p.space != last.space or p.stage in UNSTARTED:
            break
        since = p.start
    return since


def _of_plan(one: Raised, stage: int, placement: Placement, *, since: date) -> OnNight:
    return OnNight(
        batch=one.batch.id,
        crop=one.crop,
        needs=one.crop.stages[stage],
        space=placement.space,
        variant=placement.variant,
        area_m2=placement.area_m2,
        since=since,
        planned=True,
    )
