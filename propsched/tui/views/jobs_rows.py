"""One job as lines: a line or two, or three with a button for a thumb."""

from datetime import date

from rich.cells import cell_len

from propsched.tui.views.buttons import BIG, buttons_of, moved_spots
from propsched.tui.views.jobs_book import Row, details, plain_what, when_text
from propsched.tui.views.pieces import Line, Look, Piece, Spot, fitted, line, wrapped

LEAST = 20
"""Columns that a job's text has at least."""
LATE = 18
"""Columns kept for when an overdue job was due, so that all begin alike."""
TICK = 8
"""Columns of the button beside a job, for fingers."""


def job_lines(
    row: Row, place: int, today: date, width: int, *, here: bool
) -> tuple[list[Line], list[Spot]]:
    """
    A job with its box, and what can be pressed in it.

    Parameters
    ----------
    place : int
        Its number on the page.
    here : bool
        Whether the cursor is on it.
    """
    head, when = _head(row, here=here), when_text(row, today)
    look: Look = "chosen" if here else "dim" if row.done is not None else ""
    late: Look = "warning" if row.job.overdue and row.done is None else "dim"
    right = max(LATE if row.job.overdue else 0, cell_len(when))
    texts = wrapped(plain_what(row.job), max(LEAST, width - len(head) - right - 2))
    first = fitted(head + texts[0], width - cell_len(when) - 1)
    lines: list[Line] = [(Piece(first, look), Piece(" "), Piece(when, late))]
    lines += [line(fitted(" " * len(head) + text, width), look) for text in texts[1:]]
    return lines, [Spot(0, 1, 3, f"tick_at({place})")]


def thumb_lines(
    row: Row, place: int, today: date, width: int, *, here: bool
) -> tuple[list[Line], list[Spot]]:
    """The same for a thumb: a button beside it, details below the one chosen."""
    head, when = _head(row, here=here), when_text(row, today)
    margin = " " * len(head)
    texts = wrapped(plain_what(row.job), max(LEAST, width - TICK - len(head) - 1))
    texts = [head + texts[0], *(margin + text for text in texts[1:])]
    texts += [margin + when] if when else []
    texts += [""] * (BIG - len(texts))
    look: Look = "bold" if here else "dim" if row.done is not None else ""
    lines = [line(fitted(text, width - TICK - 1), look) for text in texts]
    spots: list[Spot] = []
    button = _button(row)
    if button:
        own, there = buttons_of([(button, f"tick_at({place})")], big=True)
        spots += moved_spots(there, 0, width - TICK)
        for at, beside in enumerate(own):
            lines[at] = (*lines[at], Piece(" "), *beside)
    if here:
        margin = margin[:-1]
        for text in details(row, today)[1:]:
            lines += [line(p) for p in wrapped(margin + text, width, hanging=4)]
        if row.ticks:
            own, there = buttons_of([("other day, losses …", "ask")], big=True)
            spots += moved_spots(there, len(lines), len(margin))
            lines += [(Piece(margin), *one) for one in own]
    return lines, spots


def _head(row: Row, *, here: bool) -> str:
    box = "[✓]" if row.done is not None else "[ ]" if row.ticks else " · "
    return f"{'▸' if here else ' '}{box} "


def _button(row: Row) -> str:
    if row.job.kind == "take readings":
        return "go"
    if row.done is not None:
        return "undo"
    return "tick" if row.ticks else ""
