"""The page of jobs as lines: this weekend first, and how each is ticked off."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rich.cells import cell_len

from propsched.advice.job import DUTIES
from propsched.report.words import day_text
from propsched.tui.views.asking import drawn_asking
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.first_steps import first_steps
from propsched.tui.views.jobs_book import (
    FORTNIGHT,
    SPANS,
    JobsBook,
    Key,
    Ticked,
    details,
    jobs_book,
    plain_what,
)
from propsched.tui.views.jobs_rows import job_lines, thumb_lines
from propsched.tui.views.pieces import (
    Line,
    Look,
    Piece,
    Spot,
    beside,
    line,
    text_of,
    wrapped,
)
from propsched.tui.views.tick_form import TickForm

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

NARROW, WIDE = 60, 110
PANEL = 46
"""Columns of the panel beside the list."""
WIDE_ENOUGH = 56
"""Columns from which buttons stand beside each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsOpen:
    """What the page has open."""

    cursor: Key | None = None
    days: int = FORTNIGHT
    ticked: tuple[Ticked, ...] = ()
    form: TickForm | None = None
    top: int = 0
    """Line of the list that stands uppermost."""
    past: int = 0
    """Lines that were gone down beyond the last job, to what is told after it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsView:
    drawn: tuple[Line, ...]
    spots: tuple[Spot, ...]
    keys: tuple[Key | None, ...]
    """Of the job on each line."""
    at: JobsOpen
    book: JobsBook | None

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(text_of(one) for one in self.drawn)


@dataclass(slots=True)
class _List:
    """Lines of the list, with the job each belongs to and what can be pressed."""

    lines: list[Line]
    keys: list[Key | None]
    spots: list[Spot]

    def add(self, lines: list[Line], key: Key | None = None) -> None:
        self.lines += lines
        self.keys += [key] * len(lines)


def jobs_view(desk: "Desk", at: JobsOpen, *, width: int, height: int) -> JobsView:
    """The page at a size; the cursor is put on a job that is there."""
    book = jobs_book(desk, at.days, at.ticked)
    if book is None:
        lines = [
            line(part) for text in first_steps(desk) for part in wrapped(text, width)
        ]
        return JobsView(drawn=tuple(lines), spots=(), keys=(), at=at, book=None)
    rows = book.rows
    if rows and book.at(at.cursor) < 0:
        at = replace(at, cursor=next((r for r in rows if r.ticks), rows[0]).key)
    head, spots = _head(book, width)
    room = max(1, height - len(head))
    if width < NARROW:
        below, own = _narrow(book, at, width, room)
    elif width < WIDE:
        below, own = _usual(book, at, width, room)
    else:
        below, own = _wide(book, at, width, room)
    spots += moved_spots(own.spots, len(head), 0)
    keys = [None] * len(head) + own.keys
    return JobsView(
        drawn=(*head, *own.lines)[:height],
        spots=tuple(spots),
        keys=tuple(keys),
        at=below,
        book=book,
    )


def _head(book: JobsBook, width: int) -> tuple[list[Line], list[Spot]]:
    """How many there are, and how far ahead is looked."""
    many = f"{book.due} job{'' if book.due == 1 else 's'}"
    told = f"{many} in {book.days} days"
    if width < NARROW:
        after = SPANS[(SPANS.index(book.days) + 1) % len(SPANS)]
        thumbs = [
            ("▲", "row(-1)"),
            ("▼", "row(1)"),
            (f"{after} days", f"span({after})"),
        ]
        rows, spots = buttons_of(thumbs, big=True)
        return [line(told, "bold"), *rows], moved_spots(spots, 1, 0)
    buttons = [
        (f"{'▸' if days == book.days else ''}{days} days", f"span({days})")
        for days in SPANS
    ]
    rows, spots = buttons_of(buttons, big=False)
    end = "  + and − look further and nearer" if width >= WIDE else "  + −"
    used = cell_len(told) + 2
    return (
        [(Piece(told, "bold"), Piece("  "), *rows[0], Piece(end, "dim"))],
        moved_spots(spots, 0, used),
    )


def _usual(
    book: JobsBook, at: JobsOpen, width: int, room: int
) -> tuple[JobsOpen, _List]:
    """The list, and below it what is to be known of the job."""
    panel, spots = _panel(book, at, width)
    most = max(4, room // 2 if at.form else room // 3)
    if len(panel) > most and at.form is None:
        panel = [*panel[: most - 1], line("… wider for the rest", "dim")]
    high = max(1, room - len(panel) - 1)
    at, shown = _scrolled(_listed(book, at, width), at, high)
    shown.add([line("")] * (high - len(shown.lines)))
    shown.add([line("─" * width, "dim")])
    shown.spots += moved_spots(spots, len(shown.lines), 0)
    shown.add(panel)
    return at, shown


def _wide(
    book: JobsBook, at: JobsOpen, width: int, room: int
) -> tuple[JobsOpen, _List]:
    """The list, and beside it what is to be known of the job."""
    left = width - PANEL
    at, shown = _scrolled(_listed(book, at, left - 3), at, room)
    panel, spots = _panel(book, at, PANEL)
    panel = panel[:room]
    bar = [(Piece(" │ ", "dim"), *own) for own in panel]
    lines = beside(shown.lines, bar, left - 3)
    spots = moved_spots(spots, 0, left)
    keys = shown.keys + [None] * (len(lines) - len(shown.keys))
    return at, _List(lines, keys, [*shown.spots, *spots])


def _narrow(
    book: JobsBook, at: JobsOpen, width: int, room: int
) -> tuple[JobsOpen, _List]:
    """For a thumb: a job has three rows and a button, its details below it."""
    if at.form is not None:
        lines, spots = drawn_asking(at.form.asking, width, big=True, high=room)
        return at, _List(lines, [None] * len(lines), spots)
    return _scrolled(_listed(book, at, width, big=True), at, room)


def _scrolled(whole: _List, at: JobsOpen, high: int) -> tuple[JobsOpen, _List]:
    """As many lines as there is room for, the cursor's among them."""
    own = [n for n, key in enumerate(whole.keys) if key and key == at.cursor]
    top = at.top
    if own:
        first, last = own[0], own[-1]
        while first > 0 and whole.keys[first - 1] is None:
            first -= 1  # its heading
        top = max(min(top, first), last - high + 1)
    most = max(0, len(whole.lines) - high)
    past = min(at.past, max(0, most - top))
    top = min(top + past, most)
    spots = [one for one in moved_spots(whole.spots, -top, 0) if 0 <= one.row < high]
    shown = _List(whole.lines[top : top + high], whole.keys[top : top + high], spots)
    return replace(at, top=top - past, past=past), shown


def _listed(book: JobsBook, at: JobsOpen, width: int, *, big: bool = False) -> _List:
    """All jobs under their days."""
    found = _List([], [], [])
    for text in _idle(book):
        found.add([line(part) for part in wrapped(text, width)])
    for group in book.groups:
        look: Look = (
            "warning" if group.too_much or group.rows[0].job.overdue else "bold"
        )
        title = f"{group.title} – {group.beside}" if group.beside else group.title
        found.add([line(part, look) for part in wrapped(title, width, hanging=2)])
        for row in group.rows:
            here = row.key == at.cursor
            drawn = thumb_lines if big else job_lines
            place = book.at(row.key)
            lines, spots = drawn(row, place, book.today, width, here=here)
            found.spots += moved_spots(spots, len(found.lines), 0)
            found.add(lines, row.key)
    for told in book.cautions:
        found.add([line(p) for p in wrapped(f"! Take care: {told}", width, hanging=2)])
    for told in book.notes:
        found.add([line(p) for p in wrapped(f"! {told}", width, hanging=2)])
    return found


def _idle(book: JobsBook) -> list[str]:
    if any(row.job.kind not in DUTIES for row in book.rows):
        return []
    said = [f"Nothing to do in the next {book.days} days."]
    if book.next is not None:
        job = book.next
        said.append(f"Next: {job.date:%a} {day_text(job.date)}, {plain_what(job)}.")
        if book.days < SPANS[-1]:
            said[-1] += " + looks further ahead."
    else:
        said.append("Nothing more is to come by this plan.")
    return said


def _panel(book: JobsBook, at: JobsOpen, width: int) -> tuple[list[Line], list[Spot]]:
    """What is to be known of the job at the cursor, or the questions about it."""
    if at.form is not None:
        return drawn_asking(at.form.asking, width, big=False)
    place = book.at(at.cursor)
    if place < 0:
        return [], []
    row = book.rows[place]
    buttons: list[tuple[str, str]] = []
    lines: list[Line] = []
    spots: list[Spot] = []
    if row.done is not None:
        buttons = [("u  take back", "undo_tick")]
    elif row.ticks:
        buttons = [
            ("space  done today, all well", "tick"),
            ("d  other day, losses", "ask"),
        ]
    elif row.job.kind == "take readings":
        buttons = [("enter  note readings", "tick")]
    else:
        lines.append(line("A standing duty: there is nothing to tick off.", "dim"))
    for together in [buttons] if width >= WIDE_ENOUGH else [[one] for one in buttons]:
        own, there = buttons_of(together, big=False)
        spots += moved_spots(there, len(lines), 0)
        lines += own
    for number, text in enumerate(details(row, book.today)):
        look: Look = "bold" if number == 0 else ""
        if text.startswith(("Take care", "Overdue")):
            look = "warning"
        lines += [line(part, look) for part in wrapped(text, width)]
    return lines, spots
