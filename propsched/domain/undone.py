"""
Rows that were taken back: a later row says so, none is deleted.

The row that takes back another of the daybook repeats its batch, space and count under
the event ``undone``; its note names the event and the time: ``sown of 2027-02-12
08:30``. One that takes back a reading is the same reading again, and its note begins
with ``undone``. So they can be written by hand, and stay right where lines are merged
or sorted.
"""

import re
from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from propsched.domain.batch import EVENTS, Event, EventName
from propsched.domain.reading import Reading

HOW_TO_SAY = "must name what is taken back, such as sown of 2027-02-12 08:30"

_NAMED = re.compile(
    r"([a-z-]+) of (\d{4}-\d{2}-\d{2}(?:[ T]\d{2}:\d{2}(?::\d{2})?)?)(?:\s*;.*)?",
    re.ASCII | re.DOTALL,
)
_UNDONE = re.compile(r"undone(?: [0-9 :T-]+)?(?:\s*;.*)?", re.ASCII | re.DOTALL)
Key = tuple[datetime, str, str, str, int | None]
"""By what a row is known: time, batch, event, space and count; its note is free."""


@dataclass(frozen=True, slots=True)
class Book:
    """A daybook, or readings, without what was taken back."""

    stands: tuple[int, ...]
    """Places of the rows that stand; one noted again takes the place it had."""
    idle: tuple[int, ...]
    """Places of rows that take back what is not there."""


def without_undone(rows: Sequence[Event]) -> Book:
    """Tell the rows that stand, as they lie in the file, from those taken back."""
    if all(row.event != "undone" for row in rows):
        return Book(tuple(range(len(rows))), ())
    return book_of(
        (named_by(row), True) if row.event == "undone" else (key_of(row), False)
        for row in rows
    )


def book_of(rows: Iterable[tuple[Hashable, bool]]) -> Book:
    """
    The rows that stand.

    Parameters
    ----------
    rows : iterable
        By what each row is known, and whether it takes back a row known so: the last
        one before it that still stands; where none has come before it, as in a file
        sorted backwards, the next one. Known by None, it takes back nothing.
    """
    standing: dict[Hashable, list[tuple[int, int]]] = defaultdict(list)  # place, row
    freed: dict[Hashable, list[int]] = defaultdict(list)
    waiting: dict[Hashable, int] = {}
    idle: list[int] = []
    for i, (key, takes_back) in enumerate(rows):
        if not takes_back:
            place = freed[key].pop() if freed[key] else i
            if waiting.pop(key, None) is not None:
                freed[key].append(place)
                standing[key] = []
            else:
                standing[key].append((place, i))
        elif key is not None and standing.get(key):
            freed[key].append(standing[key].pop()[0])
        elif key is not None and key not in standing and key not in waiting:
            waiting[key] = i
        else:
            idle.append(i)
    kept = sorted(one for own in standing.values() for one in own)
    return Book(tuple(i for _, i in kept), tuple(sorted([*idle, *waiting.values()])))


def taking_back(row: Event, when: datetime, remark: str = "") -> Event:
    """The row that takes another back."""
    time = row.time.replace(tzinfo=None, microsecond=0)
    exact = "seconds" if time.second else "minutes"
    named = f"{row.event} of {time.isoformat(sep=' ', timespec=exact)}"
    return Event(
        time=when,
        batch=row.batch,
        event="undone",
        space=row.space,
        count=row.count,
        note=f"{named}; {remark}" if remark else named,
    )


def key_of(row: Event) -> Key:
    time = row.time.replace(tzinfo=None, microsecond=0)
    return time, _plain(row.batch), row.event, _plain(row.space), row.count


def named_by(row: Event) -> Key | None:
    """What a row ``undone`` takes back; None where its note does not say."""
    match = _NAMED.fullmatch(row.note.strip())
    event = _event(match[1]) if match else None
    if match is None or event is None:
        return None
    try:
        time = datetime.fromisoformat(match[2])
    except ValueError:
        return None
    return time, _plain(row.batch), event, _plain(row.space), row.count


def taken_back(row: Reading, when: datetime, remark: str = "") -> Reading:
    """The row that takes a reading back: the same once more, and its note says so."""
    note = f"undone {when:%Y-%m-%d %H:%M}"
    return replace(row, note=f"{note}; {remark}" if remark else note)


def is_taken_back(note: str) -> bool:
    """Whether the note of a reading says that it takes back the same one before it."""
    return note.startswith("undone") and _UNDONE.fullmatch(note) is not None


def _event(name: str) -> EventName | None:
    return next((event for event in EVENTS if event == name), None)


def _plain(name: str) -> str:
    """As it is written to a file, without doubled blanks."""
    return " ".join(name.split())
