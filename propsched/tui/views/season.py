"""The page of the season: spaces down, time across, and what the chosen one says."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from propsched.report.words import clean, day_text
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
from propsched.tui.views.season_axis import CELL, Axis, axis_for
from propsched.tui.views.season_book import SeasonBook, season_book
from propsched.tui.views.season_detail import detail, overview, space_detail
from propsched.tui.views.season_open import Key, Open, Row, opened_on, tracks_shown
from propsched.tui.views.season_rows import (
    LABEL,
    LEGEND,
    NAME,
    figure_rows,
    space_row,
    track_row,
)

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

NARROW = 60
WIDE = 110
"""Columns from which what is chosen is told beside the rows."""
PANEL = 38
DETAIL = 5
"""Lines for it below them, on a narrower screen."""
MOST_DETAIL = 8
"""The same while a space is open."""
HEAD = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonView:
    drawn: tuple[Line, ...]
    keys: tuple[Key, ...]
    """What is chosen by pressing a line."""
    spots: tuple[Spot, ...]
    axis: Axis | None
    at: Open | None
    """What is open, with what had to be moved to keep it in view."""
    lines: tuple[str, ...]
    """The same in plain lines."""


def columns_for(width: int) -> int:
    grid = width - LABEL - (PANEL + 2 if width >= WIDE else 0)
    return max(1, grid // CELL)


def empty_lines(desk: "Desk") -> tuple[str, ...]:
    """What to do while there is nothing to show."""
    if desk.problems:
        count = len(desk.problems)
        faults = "1 fault" if count == 1 else f"{count} faults"
        return (f"The season's files have {faults}. Press x to see where.",)
    return ("Reading the season …",)


def season_view(
    desk: "Desk", book: SeasonBook | None, at: Open | None, *, width: int, height: int
) -> SeasonView:
    """
    The page on so many columns and lines.

    Parameters
    ----------
    at : Open, optional
        What is open; None only if there is nothing to show.
    """
    if book is None or at is None or not book.spaces:
        return _nothing(desk, book, width)
    axis = axis_for(
        at.zoom, book.first, book.last,
        day=at.day, left=at.left, columns=columns_for(width),
    )  # fmt: skip
    at = replace(at, left=axis.first)
    rows, keys = _rows(book, at, axis)
    said = detail(desk, book, at, axis)
    notices = _notices(desk, book)
    top_line, spots = _top(book, at, axis, width)
    wide = width >= WIDE
    texts = [part for text in said for part in wrapped(text, width, hanging=2)]
    below = 0 if wide else DETAIL
    if at.opened and not wide:  # its rows have to be moved through anyway
        below = min(max(DETAIL, len(texts)), MOST_DETAIL)
    room = height - HEAD - below
    legend = room > len(rows)
    room = max(3, room)
    at = replace(at, top=_top_row(at, keys, room))
    rows, keys = rows[at.top : at.top + room], keys[at.top : at.top + room]
    grid_width = LABEL + axis.width
    drawn = [top_line, *_dates(book, at, axis), *rows]
    if legend:
        drawn += _legend(
            grid_width if wide else width, height - len(drawn) - DETAIL, wide
        )
        if wide:
            drawn += _overview(book, at, axis, grid_width, height - len(drawn))
            drawn += _inside(book, at, axis, height - len(drawn))
    if wide:
        panel = [
            line(part) for text in (*said, "", *notices) for part in _paragraph(text)
        ]
        drawn = beside(drawn, [(), *panel[: height - 1]], grid_width + 2)
    else:
        notes = [part for text in notices for part in wrapped(text, width, hanging=2)]
        left = height - len(drawn)
        drawn += [line(text) for text in _clipped(texts, notes, left)]
    before = (None,) * HEAD
    return SeasonView(
        drawn=tuple(drawn[:height]),
        keys=(*before, *keys, *(None,) * max(0, len(drawn) - HEAD - len(keys))),
        spots=spots,
        axis=axis,
        at=at,
        lines=_plain(book, at, axis, said, notices),
    )


def _nothing(desk: "Desk", book: SeasonBook | None, width: int) -> SeasonView:
    said = empty_lines(desk)
    if book is not None:
        said = ("The season has no spaces yet: add [[space]] to season.toml.",)
    drawn = tuple(line(part) for text in said for part in wrapped(text, width))
    keys = (None,) * len(drawn)
    return SeasonView(drawn=drawn, keys=keys, spots=(), axis=None, at=None, lines=said)


def _paragraph(text: str) -> list[str]:
    return [*wrapped(text, PANEL - 2, hanging=2), ""] if text else []


def _clipped(texts: list[str], notes: list[str], left: int) -> list[str]:
    """As much as there is room for; the sign at the end says that there is more."""
    if len(texts) > left > 0:
        return [*texts[: left - 1], texts[left - 1][:-2].rstrip() + " …"]
    return [*texts, *notes[: max(0, left - len(texts))]]


def _rows(book: SeasonBook, at: Open, axis: Axis) -> tuple[list[Line], list[Key]]:
    rows: list[Line] = []
    keys: list[Key] = []
    chosen = axis.column(at.day)
    for own in book.spaces:
        name = own.space.id
        key = Row(name)
        rows.append(
            space_row(
                book, own, axis, chosen=chosen, here=at.row == key,
                open_=name == at.opened,
            )
        )  # fmt: skip
        keys.append(key)
        if name != at.opened:
            continue
        figures = figure_rows(book, own, axis)
        tracks = tracks_shown(book, at, axis.first)
        own_keys = [Row(name, t.batch, t.part) for t in tracks]
        bars = [
            track_row(book, t, axis, here=at.row == k)
            for t, k in zip(tracks, own_keys, strict=True)
        ]
        if not bars:
            bars, own_keys = [line("     nothing stands here from now on", "dim")], []
        rows += [*figures, *bars]
        keys += [key] * len(figures) + (own_keys or [key])
    return rows, keys


def _top_row(at: Open, keys: list[Key], room: int) -> int:
    """The first row in view, so that the chosen one is."""
    now = keys.index(at.row) if at.row in keys else 0
    top = min(max(at.top, now - room + 1), now)
    if at.opened and at.row == Row(at.opened):  # as much as can be of what it holds
        end = max(row for row, key in enumerate(keys) if key and key.space == at.opened)
        top = max(top, min(now, end - room + 1))
    return min(max(top, 0), max(0, len(keys) - room))


def _top(
    book: SeasonBook, at: Open, axis: Axis, width: int
) -> tuple[Line, tuple[Spot, ...]]:
    """Keys that can be pressed as well, and what figures stand in the columns."""
    step = {1: "days", 7: "weeks"}.get(axis.step, f"{axis.step // 7} weeks a column")
    parts: list[tuple[str, Look, str]] = [
        ("[−]", "accent", "zoom_out"), (f" {step} ", "bold", ""),
        ("[+]", "accent", "zoom_in"), ("  ", "", ""),
        ("[‹]", "accent", "earlier"), (" ", "", ""), ("[›]", "accent", "later"),
        ("  ", "", ""), ("[today]", "accent", "today"),
    ]  # fmt: skip
    if width < NARROW:  # where there are no keys to go down by
        parts += [(" ", "", ""), ("[▲]", "accent", "row(-1)")]
        parts += [(" ", "", ""), ("[▼]", "accent", "row(1)")]
    found: list[Piece] = []
    spots: list[Spot] = []
    x = 0
    for text, look, action in parts:
        found.append(Piece(text, look))
        if action:
            spots.append(Spot(0, x, x + len(text) - 1, action))
        x += len(text)
    warm = "root °C" if book.warm else "°C as planned" if book.planned else "root °C"
    told = f"  bar: how full, figure: {warm}"
    if x + len(told) <= width:
        found.append(Piece(told, "dim"))
    return tuple(found), tuple(spots)


def _dates(book: SeasonBook, at: Open, axis: Axis) -> list[Line]:
    """Months, then the day each column begins on, and today and the chosen one."""
    months, days = "", []
    today, chosen = axis.column(book.today), axis.column(at.day)
    for column in range(axis.columns):
        first = axis.begins(column)
        fresh = column == 0 or first.month != axis.begins(column - 1).month
        mark = "now" if column == today else f"{first:%b}" if fresh else ""
        months += mark.ljust(CELL)
        sign = "▼" if column == chosen else " "
        look: Look = "bold" if column in (today, chosen) else ""
        days.append(Piece(f"{first.day:>3}{sign} ", look))
    label = axis.column_text(chosen)
    return [
        (Piece(fitted(" room in the", LABEL), "dim"), Piece(months, "accent")),
        (Piece(fitted(f" {label}", LABEL), "bold"), *days),
    ]


def _legend(width: int, room: int, wide: bool) -> list[Line]:
    if room < 1 and not wide:
        return []
    marks = " · ".join(LEGEND)
    bars = "● stands by the daybook ━  ○ planned ╌  ─ past"
    texts = [part for text in (marks, bars) for part in wrapped(text, width - 1)]
    return [line(f" {text}", "dim") for text in texts[: room if not wide else None]]


def _overview(
    book: SeasonBook, at: Open, axis: Axis, width: int, room: int
) -> list[Line]:
    """What stands where in the chosen column, as far as there is room to say it."""
    told = overview(book, axis, at.day)
    title = f" What stands where, {axis.column_text(axis.column(at.day))}"
    found: list[Line] = [(), line(title, "bold")]
    for space, text in told:
        parts = wrapped(text, width - NAME - 1)
        heads = [f" {space}", *[""] * (len(parts) - 1)]
        rows = [
            (Piece(fitted(head, NAME), "bold"), Piece(part))
            for head, part in zip(heads, parts, strict=True)
        ]
        if len(found) + len(rows) > room:
            break
        found += rows
    return found if len(found) > 2 and room > 2 else []


def _inside(book: SeasonBook, at: Open, axis: Axis, room: int) -> list[Line]:
    """What the space at the cursor holds, where there is room to show it unopened."""
    own = book.of(at.row.space)
    if at.opened or own is None or not own.tracks:
        return []
    bars = [
        track_row(book, track, axis, here=False)
        for track in tracks_shown(book, replace(at, opened=own.space.id), axis.first)
    ]
    title = line(f" In {clean(own.space.id)} (enter opens it)", "bold")
    rows = [(), title, *figure_rows(book, own, axis), *bars]
    return rows[:room] if bars and room >= 4 else []


def _notices(desk: "Desk", book: SeasonBook) -> list[str]:
    """What concerns the season as a whole."""
    found = []
    if not book.planned:
        found.append("No plan yet: p plans the season. Shown is what stands already.")
    if not book.warm:
        found.append("The spaces are being simulated.")
    if book.nowhere:
        found.append(f"The daybook does not say where: {', '.join(book.nowhere)}.")
    if book.left_out:
        names = ", ".join(dict.fromkeys(clean(one.batch) for one in book.left_out))
        found.append(f"Not placed: {names} – b shows why.")
    return found


def _plain(
    book: SeasonBook, at: Open, axis: Axis, said: list[str], notices: list[str]
) -> tuple[str, ...]:
    """Of every space what there is to say of the chosen column; then the chosen."""
    found = [f"{book.name}, today {book.today:%a} {day_text(book.today)}."]
    for own in book.spaces:
        found.append(" ".join(space_detail(book, own, axis, at.day)))
    return (*found, *(said if at.row.batch else ()), *notices)


def screen_text(view: SeasonView) -> str:
    """All that is drawn, without its looks."""
    return "\n".join(text_of(one) for one in view.drawn)


def season_lines(desk: "Desk") -> tuple[str, ...]:
    """The season as sentences, for who hears it rather than sees it."""
    book = season_book(desk)
    at = None if book is None or not book.spaces else opened_on(book, desk.space)
    return season_view(desk, book, at, width=80, height=24).lines
