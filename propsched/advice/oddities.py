"""Rows of the daybook that somebody may want to look at again."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from propsched.advice.state import BEGINS, BatchState, standing
from propsched.domain.batch import Event
from propsched.domain.crop import DORMANT, Crop
from propsched.domain.season import Season

_ENDS = ("lost", "planted-out")


def oddities(
    daybook: Sequence[Event],
    season: Season,
    crops_by_batch: Mapping[str, Crop],
    *,
    today: date,
    sown: Mapping[str, int] | None = None,
    wanted: Mapping[str, int] | None = None,
) -> tuple[str, ...]:
    """
    One sentence each for what is dated after ``today`` or cannot have been so.

    ``sown`` and ``wanted`` by batch as for ``state.standing``.
    """
    rows = sorted(daybook, key=lambda e: e.time.replace(tzinfo=None))
    found = list(_to_come(rows, today))
    by_batch: dict[str, list[Event]] = defaultdict(list)
    for row in rows:
        if row.batch in crops_by_batch and row.time.date() <= today:
            by_batch[row.batch].append(row)
    for batch, own in by_batch.items():
        for number, event in enumerate(own):
            before = own[:number]
            states = standing(before, season, crops_by_batch, sown=sown, wanted=wanted)
            if batch in states:
                found += _odd(event, states[batch], before)
    return tuple(found)


def _to_come(rows: Sequence[Event], today: date) -> Iterator[str]:
    later = [row for row in rows if row.time.date() > today]
    if not later:
        return
    one = later[0]
    are = "1 row is" if len(later) == 1 else f"{len(later)} rows are"
    which = "" if len(later) == 1 else "the first of them "
    yield (
        f"daybook.csv: {are} dated after {today}, {which}"
        f"{one.batch or one.space} {one.event} on {one.time.date()}: "
        "what is to come does not count yet"
    )


def _odd(event: Event, state: BatchState, before: Sequence[Event]) -> Iterator[str]:
    said = f"daybook.csv: {event.batch} {event.event} on {event.time.date()}"
    if event.event in BEGINS:
        if state.standing and state.stage not in DORMANT:  # else brought on
            yield f"{said}, but it stood already by then: it begins again"
        return
    if state.lost:
        yield f"{said}, but nothing was left of it by then"
    elif state.done and any(one.event == "planted-out" for one in before):
        yield f"{said}, but all of it was planted out by then"
    elif (
        event.event in _ENDS
        and event.count is not None
        and state.count is not None
        and event.count > state.count
    ):
        yield f"{said}: {event.count} are more than the {state.count} that were there"
