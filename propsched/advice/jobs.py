"""A plan and the daybook into what is to be done, day by day."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from propsched.advice.basis import Basis
from propsched.advice.duties import duties, not_noted
from propsched.advice.job import Job, JobKind
from propsched.advice.parts import told_apart
from propsched.advice.space_jobs import of_covers, of_spaces
from propsched.advice.state import BatchState
from propsched.advice.steps import leaving, step
from propsched.advice.whole import in_order, whole
from propsched.domain.batch import Batch
from propsched.domain.crop import Crop
from propsched.domain.plan import Placement, Plan
from propsched.domain.plan import ways as ways_of
from propsched.domain.season import Season

__all__ = ["Job", "JobKind", "jobs_between"]


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
            start = step(ground, stops[0], None)
            asked = ground.looks_back or ground.in_time(stops[0].start)
            if start is not None and asked:
                yield start
            continue
        due = [p for p in stops if not _done(ground, p, stops)]
        late = [p for p in due if ground.overdue(p.start)][:1]
        before: dict[date, Placement] = {b.start: a for a, b in pairwise(stops)}
        for placement in due:
            if ground.in_time(placement.start) or placement in late:
                job = step(ground, placement, before.get(placement.start))
                if job is not None:
                    yield job
        last = stops[-1]
        ends = ground.in_time(last.end)
        # it stands until it is noted as planted out
        ends |= state is not None and ground.looks_back and last.end < ground.first
        if batch not in over and ends and not late:
            yield leaving(ground, last)


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
