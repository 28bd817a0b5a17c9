"""What was noted last is taken back: by one more row, so that nothing is ever lost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from propsched.domain.batch import Event
from propsched.domain.reading import Reading
from propsched.domain.season import Season
from propsched.domain.undone import taken_back, taking_back, without_undone
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.batches import noted_events
from propsched.files.series import last_reading
from propsched.files.source import one_of
from propsched.files.write import append_chosen_reading, append_events
from propsched.service.noted import (
    NOW,
    NoteAnswer,
    event_text,
    moment_of,
    named_space,
    only_season,
    stored_readings,
    when_text,
)

READING = "reading"
"""First word of what asks for readings instead of the daybook."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LastNoted:
    """The row that ``undo`` would take back."""

    row: Event | Reading
    words: str
    """``leek sown 120 in house, Fri 12 Feb 2027``."""


def undo(
    folder: Path, what: str = "", *, note: str = "", today: date | None = None
) -> NoteAnswer:
    """
    Take back the row noted last that still stands; to redo it, note it again.

    Parameters
    ----------
    what : str
        A batch or a space: the last row of the daybook that names it. ``reading``,
        or ``reading`` and a space: of the readings. Blank: of the whole daybook.
    note : str
        A remark to keep with it.

    Raises
    ------
    PropschedError
        When there is nothing to take back.
    """
    season = only_season(folder)
    now = moment_of(season, NOW, today)
    last = _last(folder, season, what)  # before anything is locked
    if isinstance(last, Reading):

        def repeated() -> Reading:
            return taken_back(_last_reading(folder, season, what), now, note)

        words = reading_text(append_chosen_reading(folder, repeated))
    else:
        found = [last]

        def chosen() -> Sequence[Event]:
            found[:] = [_last_event(folder, season, what)]
            return [taking_back(found[0], now, note)]

        append_events(folder, chosen)
        words = event_text(found[0])
    left = last_noted(folder, what)
    of = f"of {what} " if what else ""
    now_last = f"Last {of}now: {left.words}." if left else f"No more {of}is noted."
    return NoteAnswer(lines=(f"Taken back: {words}.", now_last))


def last_noted(folder: Path, what: str = "") -> LastNoted | None:
    """
    The row that :func:`undo` would take back; None: there is none.

    Raises
    ------
    InvalidInputError
        When the file cannot be read.
    UnknownNameError
        When nothing is called ``what``.
    """
    try:
        row = _last(folder, only_season(folder), what)
    except NothingNotedError:
        return None
    words = event_text(row) if isinstance(row, Event) else reading_text(row)
    return LastNoted(row=row, words=words)


class NothingNotedError(PropschedError):
    """There is no row to take back."""


def _last(folder: Path, season: Season, what: str) -> Event | Reading:
    if what.split()[:1] == [READING]:
        return _last_reading(folder, season, what)
    return _last_event(folder, season, what)


def _last_reading(folder: Path, season: Season, what: str) -> Reading:
    name = what.removeprefix(READING).strip()
    space = named_space(season, name).id if name else ""
    last = last_reading(stored_readings(folder, with_undone=True), space)
    if last is None:
        raise NothingNotedError(f"nothing to take back: no {what} stands")
    return last


def _last_event(folder: Path, season: Season, what: str) -> Event:
    """The last row in the file that stands; of a batch or space, that names it."""
    rows = noted_events(folder, ZoneInfo(season.site.timezone))
    stands = [rows[i] for i in sorted(without_undone(rows).stands)]
    if not what:
        if not stands:
            raise NothingNotedError(
                "nothing to take back: no row of daybook.csv stands"
            )
        return stands[-1]
    known = dict.fromkeys(n for row in rows for n in (row.batch, row.space) if n)
    name = what if what in known else "-".join(what.casefold().split())
    if name not in known:
        right = one_of(what, known) or "daybook.csv is empty"
        raise UnknownNameError(f'the daybook has nothing of "{what}" – {right}')
    own = [row for row in stands if name in (row.batch, row.space)]
    if not own:
        raise NothingNotedError(f"nothing to take back: no row of {name} stands")
    return own[-1]


def reading_text(row: Reading) -> str:
    """``cold-frame 9.7 °C, Sat 6 Feb 2027 08:30``."""
    deep = "" if row.depth_cm is None else f" at {row.depth_cm:g} cm"
    return f"reading {row.space}{deep} {row.temp_c:g} °C, {when_text(row.time)}"
