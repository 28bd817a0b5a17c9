"""What a new plan does otherwise than the plan in force, as a list to act on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from propsched.advice.state import BatchState
from propsched.domain.plan import BatchPlan, HeatRun, Plan
from propsched.service.reasons import spoken
from propsched.service.way import Way, ends_told, moves, stage_told, verb

DifferenceKind = Literal[
    "protect", "moved", "delayed", "earlier", "stays", "given up", "taken up", "fewer",
    "plant out", "bed", "heat",
]  # fmt: skip
KINDS: tuple[DifferenceKind, ...] = get_args(DifferenceKind)
FEWER = 0.05
"""A change of the plants expected by less, as a share of those wanted, is not told."""
SOON_D = 3
"""Of a batch that is treated as planned, fewer days sooner or later are not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that is no longer as the plan in force has it."""

    act: date
    """Day by which to act on it, today or later."""
    kind: DifferenceKind
    batch: str = ""
    """Blank for what concerns a space."""
    crop: str = ""
    stage: str = ""
    """The first stage that differs."""
    from_space: str = ""
    from_date: date | None = None
    to_space: str = ""
    to_date: date | None = None
    what: str
    """The difference in a sentence."""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    rows: tuple[Difference, ...]
    """In order of the days by which to act."""
    unchanged: int
    """Batches of both plans that nothing is said of."""
    changed_placements: int
    """Stages still to begin that go elsewhere, begin on another day, or are in one of
    the two plans alone."""
    kept_placements: int


def difference(way: Way, before: Plan, after: Plan, today: date) -> Difference | None:
    """What of one batch differs, without the reason; None: nothing."""
    one = way.raised
    if not way.old and not way.new:
        return _outcome(way, before, after, today)
    if way.state is not None:
        return _under_way(way, way.state, before, after, today)
    if not way.new:
        first = way.old[min(way.old)]
        return Difference(
            act=max(today, first.start),
            kind="given up",
            batch=way.name,
            crop=one.crop.name,
            stage=first.stage,
            from_space=first.space,
            from_date=first.start,
            what=f"do not {verb(first)} in {first.space} on {spoken(first.start)}",
        )
    if not way.old:
        first = way.new[min(way.new)]
        return Difference(
            act=max(today, first.start),
            kind="taken up",
            batch=way.name,
            crop=one.crop.name,
            stage=first.stage,
            to_space=first.space,
            to_date=first.start,
            what=f"{verb(first)} in {first.space} on {spoken(first.start)}",
        )
    if not way.changed:
        return _outcome(way, before, after, today)
    return _changed(way, before, after, today)


def _under_way(
    way: Way, state: BatchState, before: Plan, after: Plan, today: date
) -> Difference | None:
    """What is alive is never given up; it may find no way on."""
    if not way.changed:
        return _outcome(way, before, after, today)
    stuck = _over(after, way) and not way.raised.crop.stands_over
    if way.new or not stuck or any(p.moved for p in way.old.values()):
        return _changed(way, before, after, today)
    first = way.old[min(way.old)]
    return Difference(
        act=today,
        kind="stays",
        batch=way.name,
        crop=way.raised.crop.name,
        stage=first.stage,
        from_space=first.space,
        from_date=first.start,
        to_space=state.space,
        what=(
            f"stays in {state.space}: no longer {verb(first)} in {first.space} on "
            f"{spoken(first.start)}"
        ),
    )


def _changed(way: Way, before: Plan, after: Plan, today: date) -> Difference:
    k = way.changed[0]
    a, b = way.old.get(k), way.new.get(k)
    first = a or b
    assert first is not None
    moved = any(
        (i in way.old and i in way.new and way.old[i].space != way.new[i].space)
        or any(p.moved for p in (way.old.get(i), way.new.get(i)) if p is not None)
        for i in way.changed
    )
    kind: DifferenceKind = "moved"
    ends = _ready(before, way), _ready(after, way)
    if not moved:
        shift = (b.start - a.start).days if a and b else 0
        if shift == 0 and ends[0] and ends[1]:
            shift = (ends[1] - ends[0]).days
        comes = _over(before, way) and not _over(after, way)
        kind = "earlier" if shift < 0 or comes else "delayed"
    told = [stage_told(way, i) for i in way.changed if i == k or moves(way, i)]
    told += ends_told(*ends, over=_over(after, way), was_over=_over(before, way))
    days = [p.start for p in (a, b) if p is not None]
    return Difference(
        act=max(today, min(days)),
        kind=kind,
        batch=way.name,
        crop=way.raised.crop.name,
        stage=first.stage,
        from_space=a.space if a else "",
        from_date=a.start if a else None,
        to_space=b.space if b else "",
        to_date=b.start if b else None,
        what="; ".join(told),
    )


def _outcome(way: Way, before: Plan, after: Plan, today: date) -> Difference | None:
    """Nothing is done otherwise, but it comes to something else."""
    old, new = _batch(before, way), _batch(after, way)
    if old is None or new is None:
        return None
    told = ends_told(
        old.ready_latest,
        new.ready_latest,
        over=_over(after, way),
        was_over=_over(before, way),
    )
    kind: DifferenceKind = "fewer"
    act = today
    if _waits(way, old, new, today):
        return Difference(
            act=today,
            kind="plant out",
            batch=way.name,
            crop=way.raised.crop.name,
            from_space=way.state.space if way.state else "",
            from_date=old.ready_latest,
            what="is ready by now and was to be planted out",
        )
    if old.ready and new.ready:
        # the day booked may lie anywhere within what it can wait
        apart = abs((new.ready - old.ready).days)
        told = told if apart >= SOON_D else []
    if told and old.ready_latest and new.ready_latest:
        kind = "delayed" if new.ready_latest > old.ready_latest else "earlier"
        act = max(today, min(old.ready_latest, new.ready_latest))
    fewer = old.plants_expected - new.plants_expected
    if fewer > FEWER * max(1, way.raised.batch.wanted):
        told.append(
            f"{new.plants_expected:.0f} plants expected instead of "
            f"{old.plants_expected:.0f}"
        )
    if not told:
        return None
    return Difference(
        act=act,
        kind=kind,
        batch=way.name,
        crop=way.raised.crop.name,
        what="; ".join(told),
    )


def _waits(way: Way, old: BatchPlan, new: BatchPlan, today: date) -> bool:
    """Whether it was to be gone before today, and there is nothing but that to do."""
    was, now = old.ready_latest, new.ready
    return way.state is not None and bool(was and now and was < today and now <= today)


def _batch(plan: Plan, way: Way) -> BatchPlan | None:
    return next((b for b in plan.batches if b.batch == way.raised.batch.id), None)


def _ready(plan: Plan, way: Way) -> date | None:
    found = _batch(plan, way)
    return None if found is None else found.ready_latest


def _over(plan: Plan, way: Way) -> bool:
    return any(s.batch == way.raised.batch.id for s in plan.standing_over)


def of_spaces(before: Plan, after: Plan, today: date) -> tuple[Difference, ...]:
    """Beds made up on another day, heat on other days."""
    found = []
    old_beds = {run.space: run.make_up for run in before.hotbeds}
    new_beds = {run.space: run.make_up for run in after.hotbeds}
    for space in dict.fromkeys((*old_beds, *new_beds)):
        was, now = old_beds.get(space), new_beds.get(space)
        days = [day for day in (was, now) if day is not None]
        if was == now or max(days) < today:
            continue
        if now is None:
            what = f"do not make up {space}"
        else:
            instead = "" if was is None else f" instead of {spoken(was)}"
            what = f"make up {space} on {spoken(now)}{instead}"
        found.append(
            Difference(
                act=max(today, min(days)),
                kind="bed",
                from_space=space,
                from_date=was,
                to_space=space,
                to_date=now,
                what=what,
            )
        )
    old_heat, new_heat = _heat(before, today), _heat(after, today)
    for space in dict.fromkeys((*old_heat, *new_heat)):
        runs, then = new_heat.get(space, ()), old_heat.get(space, ())
        if runs == then:
            continue
        first = min(day for day, _ in (*runs, *then))
        found.append(
            Difference(
                act=max(today, first),
                kind="heat",
                to_space=space,
                what=f"heat {space} {_days(runs)} instead of {_days(then)}",
            )
        )
    return tuple(found)


def _heat(plan: Plan, today: date) -> dict[str, tuple[tuple[date, date], ...]]:
    found: dict[str, list[HeatRun]] = {}
    for run in plan.heat:
        if run.end >= today:
            found.setdefault(run.space, []).append(run)
    return {
        space: tuple((max(r.start, today), r.end) for r in runs)
        for space, runs in found.items()
    }


def _days(runs: Sequence[tuple[date, date]]) -> str:
    if not runs:
        return "not at all"
    return ", ".join(f"{spoken(a)} to {spoken(b)}" for a, b in runs)
