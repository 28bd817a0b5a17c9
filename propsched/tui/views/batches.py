"""The page of batches as lines: all in a table, or one of them opened."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rich.cells import cell_len

from propsched.report.words import clean
from propsched.tui.views.asking import Asking, drawn_asking
from propsched.tui.views.batch import batch_lines
from propsched.tui.views.batches_book import (
    BatchesBook,
    BatchRow,
    Order,
    matching,
    ordered,
)
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.first_steps import first_steps
from propsched.tui.views.pieces import (
    Line,
    Look,
    Piece,
    Spot,
    beside,
    fitted,
    line,
    text_of,
    wrapped,
)

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

NARROW, WIDE = 60, 120
COLUMNS: tuple[tuple[str, int, Order | None, bool], ...] = (
    ("batch", 16, "batch", False),
    ("state", 11, "state", False),
    ("space", 10, "space", False),
    ("next", 21, "next", False),
    ("latest", 7, None, True),
    ("plants", 7, None, True),
    ("p", 1, None, True),
)
"""Heading, width, order that a press on it gives, whether to the right."""
TABLE = sum(width + 1 for _, width, _, _ in COLUMNS)
"""Columns of the table, its mark in front, no blank after it."""
TURN = (("▲", "page(-1)"), ("▼", "page(1)"))
"""Buttons for a thumb: a screenful up, a screenful down."""
WORDS = {"next": "next date", "batch": "name", "space": "space", "state": "state"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchesOpen:
    """What the page has open."""

    batch: str = ""
    """The one at the cursor."""
    opened: bool = False
    """Whether it is shown alone."""
    order: Order = "next"
    words: str = ""
    """Of the filter."""
    form: Asking | None = None
    asks: str = ""
    """What the form is for: pin, note or wanted."""
    top: int = 0
    down: int = 0
    """Line of the opened batch that stands uppermost."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchesView:
    drawn: tuple[Line, ...]
    spots: tuple[Spot, ...]
    names: tuple[str, ...]
    """Of the batch on each line; blank: none."""
    rows: tuple[BatchRow, ...]
    """Those shown, in order."""
    at: BatchesOpen
    page: int = 1
    """Batches, or lines of the opened one, that a page goes on."""

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(text_of(one) for one in self.drawn)


def batches_view(
    desk: "Desk", book: BatchesBook | None, at: BatchesOpen, *, width: int, height: int
) -> BatchesView:
    """The page at a size; the cursor is put on a batch that is shown."""
    if book is None or not book.rows:
        return _nothing(desk, at, width)
    rows = ordered(matching(book.rows, at.words), at.order)
    own = book.of(at.batch)
    if at.opened and own is not None:
        return _one(desk, own, rows, at, width, height)
    if rows and at.batch not in [row.name for row in rows]:
        at = replace(at, batch=rows[0].name)
    return _all(desk, book, rows, at, width, height)


def _nothing(desk: "Desk", at: BatchesOpen, width: int) -> BatchesView:
    lines = tuple(
        line(part) for text in first_steps(desk) for part in wrapped(text, width)
    )
    return BatchesView(drawn=lines, spots=(), names=(), rows=(), at=at)


def _all(
    desk: "Desk",
    book: BatchesBook,
    rows: tuple[BatchRow, ...],
    at: BatchesOpen,
    width: int,
    height: int,
) -> BatchesView:
    head, spots = _head(desk, book, rows, at, width)
    places = [row.name for row in rows]
    place = places.index(at.batch) if at.batch in places else 0
    high = 2 if width < NARROW else 1
    room = max(1, (height - len(head)) // high)
    at = replace(at, top=_top(at.top, place, room, len(rows)))
    shown = rows[at.top : at.top + room]
    lines, names = list(head), [""] * len(head)
    for row in shown:
        here = row.name == at.batch
        own = _small(row, width, here=here) if high == 2 else [_row(row, here=here)]
        lines += own
        names += [row.name] * len(own)
    if width >= WIDE and rows and desk.opened is not None:
        panel, _ = batch_lines(
            desk.opened, rows[place], width - TABLE - 3, buttons=False
        )
        bar: list[Line] = [(Piece(" │ ", "dim"), *one) for one in panel[: height - 1]]
        lines = [lines[0], *beside(lines[1:], bar, TABLE)]
        names += [""] * (len(lines) - len(names))
    return BatchesView(
        drawn=tuple(lines[:height]), spots=tuple(spots), names=tuple(names), rows=rows,
        at=at, page=max(1, room - 1),
    )  # fmt: skip


def _top(top: int, place: int, room: int, many: int) -> int:
    """First row shown, so that the cursor's is among them."""
    top = max(min(top, place), place - room + 1)
    return max(0, min(top, many - room))


def _head(
    desk: "Desk",
    book: BatchesBook,
    rows: tuple[BatchRow, ...],
    at: BatchesOpen,
    width: int,
) -> tuple[list[Line], list[Spot]]:
    """How many are shown, by what they are sought and sorted; headings."""
    told = f"{len(rows)} of {len(book.rows)} batches"
    if at.words:
        told += f' with "{clean(at.words)}"'
    told += f", by {WORDS[at.order]}"
    small = width < NARROW
    if small:
        first = ("all", "clear") if at.words else ("find", "find")
        texts = [first, ("order", "order"), *TURN]
    else:
        texts = [("/ find", "find"), ("o order", "order")]
        texts += [("esc all", "clear")] if at.words else []
    rows_of, spots = buttons_of(texts, big=small)
    if small:
        lines = [line(fitted(told, width), "bold"), *rows_of]
        spots = moved_spots(spots, 1, 0)
    else:
        told = fitted(told, min(cell_len(told), width - 30)) + "  "
        lines = [(Piece(told, "bold"), *rows_of[0])]
        spots = moved_spots(spots, 0, cell_len(told))
    if not book.planned:
        steps = [part for text in first_steps(desk) for part in wrapped(text, width)]
        lines += [line(part, "warning") for part in steps]
    if not rows:
        lines.append(line("No batch has all these words; esc shows all."))
    elif not small:
        titles, there = _titles(at.order)
        spots += moved_spots(there, len(lines), 0)
        lines.append(titles)
    return lines, spots


def _titles(sorted_by: Order) -> tuple[Line, list[Spot]]:
    """Headings of the table; one of them is marked, and most can be pressed."""
    pieces, spots = [Piece(" ")], []
    x = 1
    for title, wide, order, right in COLUMNS:
        text = title + ("▾" if order == sorted_by else "")
        text = f"{text:>{wide}}" if right else fitted(text, wide)
        if order is not None:
            spots.append(Spot(0, x, x + wide - 1, f"sort('{order}')"))
        pieces += [Piece(text, "dim"), Piece(" ")]
        x += wide + 1
    return tuple(pieces[:-1]), spots


def _look(row: BatchRow, *, here: bool) -> Look:
    if here:
        return "chosen"
    if row.state in ("left out", "lost"):
        return "warning"
    return "dim" if row.state == "out" else ""


def _row(row: BatchRow, *, here: bool) -> Line:
    cells = (
        clean(row.name), row.state, clean(row.space), row.next_text, row.ready_text,
        row.plants_text, str(row.raised.batch.priority),
    )  # fmt: skip
    text = "▸" if here else " "
    for cell, (_, wide, _, right) in zip(cells, COLUMNS, strict=True):
        cell = fitted(cell, wide) if cell_len(cell) > wide else cell
        text += (f"{cell:>{wide}}" if right else fitted(cell, wide)) + " "
    return line(text[:-1], _look(row, here=here))


def _small(row: BatchRow, width: int, *, here: bool) -> list[Line]:
    """Two lines for a thumb."""
    mark = "▸" if here else " "
    look = _look(row, here=here)
    space = f", {clean(row.space)}" if row.space else ""
    first = f"{mark}{clean(row.name)} – {row.state}{space}"
    parts = [part for part in (row.next_text, row.plants_text) if part]
    return [
        line(fitted(first, width), look),
        line(fitted("   " + ", ".join(parts), width), "dim"),
    ]


def _one(
    desk: "Desk",
    own: BatchRow,
    rows: tuple[BatchRow, ...],
    at: BatchesOpen,
    width: int,
    height: int,
) -> BatchesView:
    """One batch, with what is asked about it below."""
    assert desk.opened is not None
    small = width < NARROW
    form: list[Line] = []
    form_spots: list[Spot] = []
    if at.form is not None:
        ends = ("note it" if at.asks == "note" else "change it", "leave it")
        form, form_spots = drawn_asking(
            at.form, width, big=small, ends=ends, high=height
        )
        if not small:
            form = [line("─" * width, "dim"), *form]
            form_spots = moved_spots(form_spots, 1, 0)
    lines, spots = batch_lines(desk.opened, own, width, buttons=at.form is None)
    head: list[Line] = []
    head_spots: list[Spot] = []
    if small and at.form is None:  # it stays where it is, under the thumb
        head, head_spots = buttons_of([("‹ all batches", "close"), *TURN], big=True)
    room = height - len(form) - len(head)
    if room < 4:
        room = 0
    at = replace(at, down=max(0, min(at.down, len(lines) - room)))
    shown = lines[at.down : at.down + room]
    spots = [
        one for one in moved_spots(spots, -at.down, 0) if 0 <= one.row < len(shown)
    ]
    if shown and at.down + room < len(lines):
        shown[-1] = line("… more below", "dim")
        last = len(shown) - 1
        spots = [one for one in spots if one.row < last]
        spots.append(Spot(last, 0, width - 1, "page(1)"))
    shown += [line("")] * (room - len(shown) if form else 0)
    spots = [*head_spots, *moved_spots(spots, len(head), 0)]
    spots += moved_spots(form_spots, len(head) + len(shown), 0)
    return BatchesView(
        drawn=tuple([*head, *shown, *form][:height]),
        spots=tuple(spots),
        names=(),
        rows=rows,
        at=at,
        page=max(1, room - 2),
    )
