"""A plan and the daybook into what is to be done, day by day."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from propsched.advice.basis import Basis
from propsched.advice.duties import duties, not_noted
from propsched.advice.effort import leave_minutes, start_minutes
from propsched.advice.job import Job, JobKind, containers_text
from propsched.advice.parts import told_apart
from propsched.advice.space_jobs import of_covers, of_spaces
from propsched.advice.state import BatchState
from propsched.advice.whole import in_order, whole
from propsched.domain.batch import Batch
from propsched.domain.crop import DORMANT, UNSTARTED, Crop, Needs
from propsched.domain.plan import Placement, Plan
from propsched.domain.plan import ways as ways_of
from propsched.domain.season import Season

__all__ = ["Job", "JobKind", "jobs_between"]

_BEGIN: dict[str, tuple[JobKind, str]] = {
    "seed": ("sow", "Sow"),
    "division": ("divide", "Divide"),
    "tuber": ("start", "Set up"),
}
_STRIKE: tuple[JobKind, str] = ("strike", "Strike cuttings of")
_STAGE: dict[str, tuple[JobKind, str]] = {
    "prick-out": ("prick out", "Prick out"),
    "pot-up": ("pot up", "Pot up"),
    "pot-on": ("pot on", "Pot on"),
    "harden": ("harden off", "Harden off"),
}
_BROUGHT = {
    ("chill", "warm"): "into the cold",
    ("start", "warm"): "out of the warmth",
    ("start", "chill"): "out of the cold",
}
"""Seed from the stage in which it lay into the next one."""
_LIES = {"warm": ", to lie warm", "chill": ", to stand cold"}
_BIT_BY_BIT = "where it stands: open a little more each day"


def jobs_between(
    plan: Plan,
    season: Season,
    crops: Mapping[str, Crop],
    *,
    first: date,
    today: date | None = None,
    days: int = 14,
    batches: Iterable[Batch] = (),
    states: Mapping[str, BatchState] | None = None,
    sown: Mapping[str, int] | None = None,
    beds: Mapping[str, date] | None = None,
    heated: Mapping[str, bool] | None = None,
    covered: Mapping[str, tuple[bool, date]] | None = None,
    noted: bool = True,
) -> tuple[Job, ...]:
    """
    The jobs of ``days`` days from ``first`` on, by day.

    What the daybook has as done is left out. From today on, what was due in the
    fortnight before and is not, comes first under its own day, a start and the end
    however old; nothing else is asked of a batch that should have been started and
    was not.

    Parameters
    ----------
    today : date, optional
        Day that it is; None: ``first``.
    crops : mapping
        The crop row of each batch.
    batches : iterable, optional
        For their varieties, and the numbers sown that are not in ``sown``.
    states : mapping, optional
        Where each batch stands (``state.standing``).
    sown : mapping, optional
        Seeds, cuttings or pieces to start, by batch.
    beds : mapping, optional
        When each hotbed was made up (``state.beds_made_up``).
    heated : mapping, optional
        Whether the heat of a space is on, where the daybook tells
        (``state.heat_noted``).
    covered : mapping, optional
        Whether a space is covered and since when (``state.covers_noted``).
    noted : bool, optional
        Whether the daybook is in use; if not, all that was due counts as done.
    """
    plan, halves = told_apart(plan)
    known = {batch.id: batch for batch in batches}
    counts = {name: b.sown for name, b in known.items() if b.sown is not None}
    counts |= dict(sown or {})
    for name, (batch, part) in halves.items():
        if batch in crops:
            crops = {**crops, name: crops[batch]}
        if batch in known:
            known[name] = known[batch]
        if batch in counts:
            counts[name] = (counts[batch] + 2 - part) // 2
    ground = Basis(
        plan=plan,
        season=season,
        crops=crops,
        batches=known,
        states=states or {},
        sown=counts,
        first=first,
        end=min(first + timedelta(days=days), season.end + timedelta(days=1)),
        today=first if today is None else today,
        beds=beds or {},
        heated=heated or {},
        covered=covered or {},
        noted=noted,
    )
    ways = {name: way for name, (way, *_) in ways_of(plan.placements).items()}
    missing = {name for name, way in ways.items() if ground.never_started(way[0])}
    standing = replace(
        plan, placements=tuple(p for p in plan.placements if p.batch not in missing)
    )
    found = [*of_spaces(ground), *_of_batches(ground, ways, missing)]
    found += of_covers(
        ground, [way for name, way in ways.items() if name not in missing]
    )
    found += duties(
        standing, season, crops, ground.states, max(first, season.start), ground.end
    )
    if ground.looks_back:
        found += not_noted(standing, crops, ground.states, first)
    return tuple(sorted((whole(ground, job) for job in found), key=in_order))


def _of_batches(
    ground: Basis, ways: Mapping[str, list[Placement]], missing: set[str]
) -> Iterator[Job]:
    last_day = ground.season.end + timedelta(days=1)
    over = {s.batch for s in ground.plan.standing_over}
    over |= {name for name, stops in ways.items() if stops[-1].end >= last_day}
    for batch, stops in ways.items():
        state = ground.states.get(batch)
        if state is not None and not state.standing:
            continue
        if batch in missing:
            start = _step(ground, stops[0], None)
            asked = ground.looks_back or ground.in_time(stops[0].start)
            if start is not None and asked:
                yield start
            continue
        due = [p for p in stops if not _done(ground, p, stops)]
        late = [p for p in due if ground.overdue(p.start)][:1]
        before: dict[date, Placement] = {b.start: a for a, b in pairwise(stops)}
        for placement in due:
            if ground.in_time(placement.start) or placement in late:
                job = _step(ground, placement, before.get(placement.start))
                if job is not None:
                    yield job
        last = stops[-1]
        ends = ground.in_time(last.end)
        # it stands until it is noted as planted out
        ends |= state is not None and ground.looks_back and last.end < ground.first
        if batch not in over and ends and not late:
            yield _leaving(ground, last)


def _done(ground: Basis, placement: Placement, stops: list[Placement]) -> bool:
    """Whether the daybook has the batch in this stage and place, or beyond it."""
    state = ground.states.get(placement.batch)
    if state is None:
        return False
    crop = ground.crops.get(placement.batch)
    names = [n.stage for n in crop.stages] if crop else [p.stage for p in stops]
    if placement.stage not in names:
        return False
    at = list(names).index(placement.stage)
    if state.stage_index != at:
        return state.stage_index > at
    later = {p.space for p in stops if p.start > placement.start}
    if state.space in later and placement.space in {s.space for s in state.stays}:
        return True  # carried on, though what came up is not noted
    if any(p.moved and p.stage == placement.stage for p in stops):
        # moved in the middle of the stage: done once it stands in the later space
        spaces = [p.space for p in stops if p.stage == placement.stage]
        first = spaces.index(placement.space)
        return state.space == "" or state.space in spaces[first:]
    return state.space in ("", placement.space)


def _step(ground: Basis, here: Placement, before: Placement | None) -> Job | None:
    """The job that brings a batch into a stage; None where there is none."""
    crop = ground.crops.get(here.batch)
    state = ground.states.get(here.batch)
    came_from = state.space if state and state.space else before and before.space
    from_space = came_from if came_from and came_from != here.space else ""
    named = None
    if not here.moved:
        named = _named(
            ground,
            here,
            under_way=state is not None or before is not None,
            moves=bool(from_space),
        )
    if named is None and not from_space:
        return None
    kind, what = named or _moved(ground, here, before, from_space)
    needs = _needs(crop, here.stage)
    per_container = needs.min_per_container if needs else 0.0
    return Job(
        date=here.start,
        kind=kind,
        batch=here.batch,
        crop=here.crop,
        what=what + ground.was_due(here.start),
        from_space=from_space,
        space=here.space,
        stage=here.stage,
        count=_count(ground, here, begins=before is None),
        containers=here.containers,
        container=here.container,
        minutes=0 if here.moved else start_minutes(per_container, here.containers),
        caution=crop.hazard if crop and kind != "move" else "",
    )


def _named(
    ground: Basis, here: Placement, *, under_way: bool, moves: bool
) -> tuple[JobKind, str] | None:
    """Kind and sentence, or None for a step that is at most a move."""
    size = containers_text(here.containers, here.container)
    name = ground.name(here)
    if here.stage in _STAGE:
        kind, verb = _STAGE[here.stage]
        if here.stage != "harden":
            return kind, f"{verb} {name}: {size} → {here.space}"
        return kind, f"{verb} {name} " + (f"→ {here.space}" if moves else _BIT_BY_BIT)
    if here.stage not in UNSTARTED:
        return None
    if under_way:
        crop = ground.crops.get(here.batch)
        brought = _BROUGHT.get((here.stage, _lay(crop, here.stage)))
        return ("start", f"Bring {name} {brought} → {here.space}") if brought else None
    kind, verb = _BEGIN.get(here.method, _STRIKE)
    number = _count(ground, here, begins=True)
    if number is not None and number != here.containers:
        # seed in the row is thinned to what stands there
        size = f"{number} {'for' if here.container == 'row' else 'in'} {size}"
    lies = _LIES.get(here.stage, "")
    return kind, f"{verb} {name}: {size} → {here.space}{lies}"


def _lay(crop: Crop | None, stage: str) -> str:
    """The stage before, if seed lay warm or cold in it; else blank."""
    names: list[str] = [needs.stage for needs in crop.stages] if crop else []
    at = names.index(stage) if stage in names else 0
    return names[at - 1] if at > 0 and names[at - 1] in DORMANT else ""


def _moved(
    ground: Basis, here: Placement, before: Placement | None, from_space: str
) -> tuple[JobKind, str]:
    what = f"Move {ground.name(here)}: {from_space} → {here.space}"
    shows = before is not None and before.stage == "start" and here.method == "seed"
    shows = shows and not here.moved
    return "move", what + (", once the seedlings show" if shows else "")


def _leaving(ground: Basis, last: Placement) -> Job:
    crop = ground.crops.get(last.batch)
    outdoors = crop is None or crop.destination == "outdoors"
    what = (
        f"Plant out {ground.name(last)} from {last.space}"
        if outdoors
        else f"{ground.name(last)} in {last.space} is ready: plant under glass"
    )
    return Job(
        date=last.end,
        kind="plant out" if outdoors else "ready",
        batch=last.batch,
        crop=last.crop,
        what=what + ground.was_due(last.end),
        from_space=last.space,
        count=_count(ground, last, begins=False),
        containers=last.containers,
        container=last.container,
        minutes=leave_minutes(last.container, last.containers),
        caution=crop.hazard if crop else "",
    )


def _needs(crop: Crop | None, stage: str) -> Needs | None:
    return next((n for n in crop.stages if n.stage == stage), None) if crop else None


def _count(ground: Basis, here: Placement, *, begins: bool) -> int | None:
    state = ground.states.get(here.batch)
    if state is not None and state.count is not None:
        return state.count
    if begins:
        return ground.sown.get(here.batch)
    return here.containers if here.container == "row" else None
