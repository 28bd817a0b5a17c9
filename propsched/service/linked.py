"""Sowings of one row one after another, and batches that may be raised in halves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

from propsched.advice.state import BatchState
from propsched.domain.batch import Batch, Event
from propsched.domain.repeats import expanded_ids
from propsched.optimise.problem import Link, Pinned, Split, Task
from propsched.service.ground import Ground
from propsched.service.raised import Raised, halves

SLACK_D = 3
"""Sowings may lie so much closer than asked, as they are made on work days; most
that two week-ends' days can be apart in the week."""


def begun_on(daybook: Iterable[Event], today: date) -> dict[str, date]:
    """Day of the first thing noted of each batch."""
    found: dict[str, date] = {}
    for event in daybook:
        day = event.time.date()
        if event.batch and day <= today:
            found[event.batch] = min(day, found.get(event.batch, day))
    return found


def linked(
    tasks: Sequence[Task],
    rows: Iterable[Batch],
    begun: Mapping[str, date],
    ground: Ground,
) -> tuple[tuple[Task, ...], tuple[Link, ...]]:
    """
    Keep sowings of one row apart.

    Parameters
    ----------
    rows : iterable of Batch
        As the batch list has them, repeats not written out.
    begun : mapping
        Day on which batches under way were begun.

    Returns
    -------
    tasks, those after one that is begun being held back, and links of the others.
    """
    made, links = list(tasks), []
    at = {task.name: b for b, task in enumerate(tasks)}
    for row in rows:
        if row.repeat is None:
            continue
        days = max(1, row.repeat.every_days - SLACK_D)
        for one, other in pairwise(expanded_ids(row)):
            if other not in at or made[at[other]].under_way:
                continue
            later = made[at[other]]
            if one in begun:
                day = ground.season.horizon.day(begun[one]) + days
                held = max(later.earliest, min(day, later.latest))
                made[at[other]] = replace(later, earliest=held)
            elif one in at and not _decided_closer(made[at[one]], later, days):
                links.append(Link(earlier=at[one], later=at[other], days=days))
    return tuple(made), tuple(links)


def _decided_closer(earlier: Task, later: Task, days: int) -> bool:
    """Whether the grower has pinned both to days nearer than that."""
    first, second = _pinned_start(earlier), _pinned_start(later)
    return first is not None and second is not None and second - first < days


def _pinned_start(task: Task) -> int | None:
    starts = [pin.start for pin in task.pins if pin.stage == task.first_stage]
    return starts[0] if starts else None


def with_halves(
    batches: Iterable[Raised],
    rows: Iterable[Batch],
    states: Mapping[str, BatchState],
    pins: Mapping[str, tuple[Pinned, ...]],
) -> tuple[Raised, ...]:
    """
    The batches, each that may be split followed by its halves.

    What is begun, pinned or one of several sowings stays together.
    """
    single = {row.id for row in rows if row.repeat is None}
    found: list[Raised] = []
    for one in batches:
        found.append(one)
        name = one.batch.id
        if name in single and name not in states and name not in pins:
            found += halves(one)
    return tuple(found)


def splits(raised: Sequence[Raised]) -> tuple[Split, ...]:
    """Tasks that are a whole and its halves; one raised batch for each task."""
    parts: dict[str, list[int]] = {}
    whole: dict[str, int] = {}
    for b, one in enumerate(raised):
        if one.part:
            parts.setdefault(one.batch.id, []).append(b)
        else:
            whole[one.batch.id] = b
    return tuple(
        Split(whole=whole[name], parts=tuple(own)) for name, own in parts.items()
    )
