"""Plan again near the plan in force, as things are or as they might come."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from propsched.domain.plan import Plan
from propsched.errors import NothingFoundError, PinsImpossibleError
from propsched.files.write import write_plan
from propsched.optimise.solution import Solution
from propsched.service import written
from propsched.service.at_risk import (
    Nights,
    Risk,
    coming,
    is_likely,
    risks_of,
    with_helps,
)
from propsched.service.change import NOTHING, Change, to_note, told
from propsched.service.cooler import against_no_cold
from propsched.service.difference_reasons import Reasons
from propsched.service.differences import Difference, Differences, difference, of_spaces
from propsched.service.events import Event, Finished, Outcome
from propsched.service.planner import solved, write_out
from propsched.service.prepare import Emit, Prepared, near, prepare
from propsched.service.protect import protect_rows
from propsched.service.request import Request
from propsched.service.stands_on import OnNight, stands_on
from propsched.service.way import count, ways_of

LIMIT_S = 5.0
"""Least time of the search where none is asked for."""
NIGHTS, MOST_NIGHTS = 3, 14
"""Nights looked at for what to protect, and most of a cold spell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A plan of the same season, weighed against the plan in force."""

    changed_placements: int
    kept_placements: int
    worth: float
    """Without what the changes cost."""
    gap: float
    """How near it is proven to be to the best of its kind, a fraction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """A plan near the plan in force, and what it does otherwise."""

    outcome: Outcome
    before: Plan | None
    """The plan that was in force; None: there was none."""
    differences: Differences
    near: Beside
    afresh: Beside | None
    """The same season planned from nothing, if that was asked for."""
    to_note: tuple[str, ...] = ()
    """What to write into which file if it comes about."""
    saved: bool = False
    notes: tuple[str, ...] = ()
    """What to know of the answer; no fault."""


def replan(
    request: Request,
    emit: Emit,
    cancel: threading.Event,
    *,
    change: Change = NOTHING,
    afresh: bool = False,
) -> Replanned:
    """
    Plan a season again so that little changes against the plan in force.

    Development so far is carried: what the daybook has standing goes on from there.
    With no plan in force it is planned from nothing.

    Parameters
    ----------
    request : Request
        ``save`` puts the plan in force.
    change : Change
        What is supposed beyond the files.
    afresh : bool
        Plan it from nothing as well, for comparison; that plan is not saved.

    Raises
    ------
    PropschedError
        On faults of the input, of what is supposed, or pins that cannot be met.
    NothingFoundError
        If it is stopped before the first plan.
    """
    try:
        return _replan(request, emit, cancel, change, afresh=afresh)
    except PinsImpossibleError as error:
        if not change:
            raise
        raise PinsImpossibleError(
            f"{error} (supposed: {'; '.join(told(change))})"
        ) from error


def _replan(
    request: Request,
    emit: Emit,
    cancel: threading.Event,
    change: Change,
    *,
    afresh: bool,
) -> Replanned:
    plain = prepare(request, emit, cancel, change=change, near_force=True)
    ready, before = near(plain), plain.force
    solution, found = solved(request, ready, emit, cancel, least_limit_s=LIMIT_S)
    staying = _nowhere_to_go(ready, found)
    if staying and not cancel.is_set():
        plain = prepare(
            request, emit, cancel, change=change, staying=staying, near_force=True
        )
        ready = near(plain)
        solution, found = solved(request, ready, emit, cancel, least_limit_s=LIMIT_S)
    ready = found
    outcome = write_out(request, ready, solution)
    if request.save:
        write_plan(request.folder, outcome.plan)
    rows = _differences(before, outcome.plan, ready, solution)
    beside = None
    if afresh and before is not None and not cancel.is_set():
        beside = _afresh(request, plain, before, emit, cancel)
    emit(Finished(outcome))
    return Replanned(
        outcome=outcome,
        before=before,
        differences=rows,
        near=_beside(outcome.plan, rows.changed_placements, rows.kept_placements),
        afresh=beside,
        to_note=to_note(change, ready.states, str(request.folder)),
        saved=request.save,
        notes=(
            *outcome.notes,
            *filter(None, [plain.stray]),
            *_unnoted(before, plain),
            *_no_longer(before, change),
        ),
    )


def _nowhere_to_go(asked: Prepared, found: Prepared) -> frozenset[str]:
    """Batches in a space out of use that were left standing for want of another."""
    closed = {out.space for out in asked.change.without}
    left = {
        old.name
        for old, new in zip(asked.problem.tasks, found.problem.tasks, strict=True)
        if old.pins != new.pins
    }
    return frozenset(
        name
        for name, state in asked.states.items()
        if name in left and state.space in closed
    )


def _unnoted(before: Plan | None, ready: Prepared) -> tuple[str, ...]:
    """A plan in force that was to be begun, and nothing noted of it."""
    due = () if before is None else before.placements
    if ready.loaded.files.daybook or all(p.start >= ready.loaded.today for p in due):
        return ()
    return (
        "nothing is noted in daybook.csv, so nothing counts as begun: note what was "
        "done before today",
    )


def _no_longer(before: Plan | None, change: Change) -> tuple[str, ...]:
    """What the plan in force supposed and this one does not."""
    now = told(change)
    gone = [] if before is None else [one for one in before.assumed if one not in now]
    if not gone:
        return ()
    return (
        f"the plan in force supposes: {'; '.join(gone)}; this one reckons with the "
        "files alone – write it into them if it holds",
    )


def _beside(plan: Plan, changed: int, kept: int) -> Beside:
    return Beside(
        changed_placements=changed,
        kept_placements=kept,
        worth=plan.worth - plan.terms.get("changes", 0.0),
        gap=plan.gap,
    )


def _afresh(
    request: Request,
    ready: Prepared,
    before: Plan,
    emit: Emit,
    cancel: threading.Event,
) -> Beside | None:
    """The season from nothing; None if it was stopped before there was a plan."""

    def steps(event: Event) -> None:
        if not isinstance(event, Finished):
            emit(event)

    try:
        solution, ready = solved(request, ready, steps, cancel, least_limit_s=LIMIT_S)
    except NothingFoundError:
        return None
    plan = write_out(request, ready, solution).plan
    changed, kept = count(ways_of(before, plan, ready.raised, ready.states))
    return _beside(plan, changed, kept)


def _differences(
    before: Plan | None, after: Plan, ready: Prepared, solution: Solution
) -> Differences:
    rows: list[Difference] = list(protect_rows(_at_risk(after, ready)))
    if before is None:
        ways = ways_of(after, after, ready.raised, ready.states)
        total = count(ways)[1]
        return Differences(
            rows=tuple(rows), unchanged=0, changed_placements=total, kept_placements=0
        )
    today = ready.loaded.today
    reasons = Reasons(
        ready=ready,
        out=written.Written(
            ground=ready.ground,
            problem=ready.problem,
            solution=solution,
            raised=ready.raised,
            growths=ready.growths,
            states=ready.states,
        ),
        before=before,
        after=after,
        cooler=against_no_cold(ready.loaded, ready.warm),
    )
    ways = ways_of(before, after, ready.raised, ready.states)
    for way in ways:
        row = difference(way, before, after, today)
        if row is not None:
            rows.append(replace(row, reason=reasons.of(way, row)))
    rows += of_spaces(before, after, today)
    rows += _dropped(before, ready)
    changed, kept = count(ways)
    told = {row.batch for row in rows}
    both = {p.batch for p in before.placements} & {p.batch for p in after.placements}
    return Differences(
        rows=tuple(sorted(rows, key=lambda row: (row.act, row.batch, row.kind))),
        unchanged=len(both - told),
        changed_placements=changed,
        kept_placements=kept,
    )


def _dropped(before: Plan, ready: Prepared) -> list[Difference]:
    """Batches of the plan in force that are no more in the list, or all lost."""
    listed = {one.batch.id for one in ready.raised}
    found = []
    for name in dict.fromkeys(p.batch for p in before.placements):
        state = ready.states.get(name)
        if name in listed or (state is not None and state.done):
            continue
        placed = [p for p in before.placements if p.batch == name]
        today = ready.loaded.today
        first = next((p for p in placed if p.start >= today), placed[-1])
        lost = {one.batch for one in ready.change.lost}
        gone = (state is not None and state.lost) or name in lost
        found.append(
            Difference(
                act=max(today, first.start) if state is None else today,
                kind="given up",
                batch=name,
                crop=first.crop,
                stage=first.stage,
                from_space=first.space,
                from_date=first.start,
                what=f"nothing more to do for {name}",
                reason="all lost" if gone else "no longer in batches.csv",
            )
        )
    return found


def _at_risk(after: Plan, ready: Prepared) -> list[Risk]:
    """What stands at risk on the coming nights, or those of the cold supposed."""
    loaded = ready.loaded
    nights = coming(loaded.today, NIGHTS)
    if loaded.cold:
        first = min(spell.first for spell in loaded.cold) - timedelta(days=1)
        first = max(loaded.today, first)
        last = max(spell.last for spell in loaded.cold)
        nights = coming(first, min((last - first).days + 1, MOST_NIGHTS))
    table = Nights(ready.warm, loaded.season, ready.ground.climate)
    whole = [one for one in ready.raised if not one.part]
    worst: dict[str, Risk] = {}
    stands: dict[date, dict[str, OnNight]] = {}
    for night in nights:
        if night > loaded.season.end:
            break
        there = stands_on(
            night,
            today=loaded.today,
            raised=whole,
            states=ready.states,
            plan=after,
            noted=bool(loaded.files.daybook),
        )
        stands[night] = {one.batch: one for one in there}
        for risk in filter(is_likely, risks_of(there, table, night)):
            if risk.batch not in worst or risk.loss > worst[risk.batch].loss:
                worst[risk.batch] = risk
    found: list[Risk] = []
    for night in dict.fromkeys(risk.night for risk in worst.values()):
        tonight = [risk for risk in worst.values() if risk.night == night]
        found += with_helps(_gravest(tonight), stands[night], table, nights[0])
    return found


def _gravest(risks: Sequence[Risk]) -> list[Risk]:
    return sorted(risks, key=lambda r: (-r.loss, -r.probability, r.batch))
