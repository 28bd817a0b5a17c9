"""What happened, into ``daybook.csv``; odd things with a warning."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from propsched.advice.state import BatchState, standing
from propsched.domain.batch import SPACE_EVENTS, Event, EventName
from propsched.domain.crop import Crop
from propsched.domain.halves import half_names, noted_in_halves
from propsched.domain.repeats import expand, expanded_ids
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.batch_rules import Names, event_faults
from propsched.files.contents import SeasonFiles
from propsched.files.read import read_season
from propsched.files.source import one_of
from propsched.files.write import append_events
from propsched.service.note_odd import odd
from propsched.service.noted import (
    NOW,
    NoteAnswer,
    When,
    event_text,
    moment_of,
    named_space,
)
from propsched.service.raised import raised

READ = frozenset({"season", "batches", "daybook", "crops"})
"""What an event is judged by; faults of other files must not keep it out."""


def note_event(
    folder: Path,
    name: EventName,
    words: Sequence[str],
    *,
    space: str = "",
    at: When = NOW,
    note: str = "",
    today: date | None = None,
) -> NoteAnswer:
    """
    Store what happened.

    Parameters
    ----------
    words : sequence of str
        Batches, each perhaps with its count, and perhaps a space; for what happens
        to spaces these.
    at : When
        A day will do.

    Raises
    ------
    PropschedError
        When there is no such batch or space, or the time has not come. What only
        looks odd is stored and told in the notes.
    """
    files = files_of(folder)
    when = moment_of(files.season, at, today)
    plain = Event(time=when, event=name, note=note)
    if name in SPACE_EVENTS:
        whom, _ = _parted([space, *words] if space else words, files, set())
        rows = [
            replace(plain, space=_space(files, where), count=count)
            for where, count in whom
        ]
    else:
        whom, last = _parted(words, files, batch_names(files))
        if last and space:
            raise PropschedError(f'"{last}" is one word too many')
        where = _space(files, space or last)
        rows = [
            replace(plain, batch=batch, space=where, count=count)
            for batch, count in whom
        ]
    return store(files, rows, exact=at.clock is not None)


def files_of(folder: Path) -> SeasonFiles:
    """What an event is judged by."""
    return read_season(folder, need=frozenset(), only=READ)


def store(files: SeasonFiles, rows: Sequence[Event], *, exact: bool) -> NoteAnswer:
    """
    Store what happened, all of it or nothing, and say what looks odd.

    Parameters
    ----------
    exact : bool
        Whether the clock time was said; if not, a row goes after what the day has
        already.

    Raises
    ------
    PropschedError
        When a row names what is not there, or lacks what it needs.
    """
    names = Names(batch_names(files), set())
    spaces = {space.id: space for space in files.season.spaces}
    faults = event_faults([(0, row) for row in rows], files.batches, names, set(spaces))
    for _, what, right in faults:
        raise PropschedError(f"{what} – {right}" if right else what)
    rows = rows if exact else [_after_all(row, files.daybook) for row in rows]
    lines: list[str] = []
    notes: list[str] = []
    for k, row in enumerate(rows):
        crops, state = _before(files, rows[:k], row)
        crop = crops.get(row.batch)
        notes += odd(row, (*files.daybook, *rows[:k]), spaces, crop, state)
        lines.append(f"Noted: {event_text(row, crop)}.")
    append_events(files.folder, lambda: rows)
    return NoteAnswer(lines=tuple(lines), notes=tuple(dict.fromkeys(notes)))


def _before(
    files: SeasonFiles, others: Sequence[Event], row: Event
) -> tuple[dict[str, Crop], BatchState | None]:
    """The crop of each batch, and where the row's own stood on its day without it."""
    batches, book, _ = noted_in_halves(
        files.batches, (*files.daybook, *others, row), ()
    )
    whole = {
        batch.id: raised(batch, files.crops.get(batch.crop, batch.method))
        for batch in (*expand(files.batches), *expand(batches))
    }
    crops = {name: one.crop for name, one in whole.items()}
    states = standing(
        [one for one in book if one is not row],
        files.season,
        crops,
        today=row.time.date(),
        sown={name: one.sown for name, one in whole.items()},
        wanted={name: one.batch.wanted for name, one in whole.items()},
    )
    return crops, states.get(row.batch)


def batch_names(files: SeasonFiles) -> set[str]:
    """Every name that something may be noted of."""
    return {
        name
        for batch in files.batches
        for name in (*expanded_ids(batch), *half_names(batch))
    }


def _parted(
    words: Sequence[str], files: SeasonFiles, batches: set[str]
) -> tuple[list[tuple[str, int | None]], str]:
    """
    Names, each with the count after it, and a space that is named after them.

    Without batches every name is that of a space.
    """
    first, *rest = words or ("",)
    found: list[tuple[str, int | None]] = [(first, None)]
    spaces = {space.id for space in files.season.spaces}
    last = ""
    for word in rest:
        is_space = "-".join(word.casefold().split()) in spaces
        if word.isdecimal() and found[-1][1] is None and not last:
            found[-1] = found[-1][0], int(word)
        elif last or (word.isdecimal() and not is_space):
            raise PropschedError(f'"{word}" is one word too many')
        elif not batches:
            found.append((word, None))
        elif is_space:
            last = word
        elif word in batches:
            found.append((word, None))
        else:
            right = one_of(word, sorted(spaces | batches))
            raise UnknownNameError(f'"{word}" is no batch and no space – {right}')
    return found, last


def _space(files: SeasonFiles, name: str) -> str:
    return named_space(files.season, name).id if name else ""


def _after_all(row: Event, book: Sequence[Event]) -> Event:
    """Not before what was noted of the same batch or space on that day."""
    times = [
        one.time
        for one in book
        if one.time.date() == row.time.date()
        and (one.batch == row.batch if row.batch else one.space == row.space)
    ]
    return replace(row, time=max([row.time, *times]))
