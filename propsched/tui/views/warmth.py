"""The page of warmth: one space's root zone and air, and what stands there needs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import nan
from typing import TYPE_CHECKING, Literal

from propsched.report.words import clean, day_text
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.pieces import (
    Line,
    Look,
    Piece,
    Spot,
    beside,
    fitted,
    line,
    wrapped,
)
from propsched.tui.views.season import PANEL, WIDE, empty_lines
from propsched.tui.views.season_axis import monday
from propsched.tui.views.season_book import SeasonBook, SpaceBook, season_book
from propsched.tui.views.warmth_needs import Need, need_text, needs_on
from propsched.tui.views.warmth_plot import MARGIN, Frame, Level, frame_for, plot

if TYPE_CHECKING:
    from propsched.service.answers import TempsRow
    from propsched.tui.desk import Desk

Span = Literal["season", "two months", "fortnight"]
NARROW = 60
"""Columns below which fingers are what it is used by."""
SPANS: tuple[Span, ...] = ("season", "two months", "fortnight")
DAYS: dict[Span, int] = {"two months": 61, "fortnight": 17}
BACK: dict[Span, int] = {"two months": 14, "fortnight": 3}
"""Days before the chosen one that are in view when it is opened."""
SOURCES = {
    "reading": "read", "model": "worked out from the weather",
    "forecast": "forecast", "outlook": "outlook of past winters",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What the page has open."""

    space: str
    day: date
    span: Span = "fortnight"
    left: date | None = None
    """First day in view; None: a little before the chosen one."""
    need: int = 0
    """Whose needs are drawn: the so many-th of what stands there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmthView:
    drawn: tuple[Line, ...]
    spots: tuple[Spot, ...]
    sight: Sight | None
    frame: Frame | None
    lines: tuple[str, ...]
    top: int = 1
    """Lines above the plot."""


def sight_on(book: SeasonBook, space: str) -> Sight:
    known = book.of(space) or book.spaces[0]
    return Sight(space=known.space.id, day=book.within(book.today))


def next_space(book: SeasonBook, at: Sight, by: int) -> Sight:
    """The space after or before, round and round."""
    names = [one.space.id for one in book.spaces]
    now = names.index(at.space) if at.space in names else 0
    return replace(at, space=names[(now + by) % len(names)], need=0)


def next_day(book: SeasonBook, at: Sight, by: int) -> Sight:
    return replace(at, day=book.within(at.day + timedelta(days=by)), need=0)


def closer(at: Sight, by: int) -> Sight:
    now = SPANS.index(at.span) + by
    return replace(at, span=SPANS[min(max(now, 0), len(SPANS) - 1)], left=None)


def days_in_view(book: SeasonBook, at: Sight) -> tuple[date, int]:
    """First day and number of days; the chosen one is among them."""
    whole = (book.last - book.first).days + 1
    days = min(DAYS.get(at.span, whole), whole)
    left = at.day - timedelta(days=BACK.get(at.span, 0)) if at.left is None else at.left
    left = min(max(left, at.day - timedelta(days=days - 1)), at.day)
    latest = book.last - timedelta(days=days - 1)
    return min(max(left, book.first), latest), days


def warmth_view(
    desk: "Desk", book: SeasonBook | None, at: Sight | None, *, width: int, height: int
) -> WarmthView:
    """The page on so many columns and lines."""
    own = None if book is None or at is None else book.of(at.space)
    if book is None or at is None or own is None or desk.opened is None:
        said = empty_lines(desk)
        if book is not None:
            said = ("The season has no spaces yet: add [[space]] to season.toml.",)
        drawn = tuple(line(part) for text in said for part in wrapped(text, width))
        return WarmthView(drawn=drawn, spots=(), sight=None, frame=None, lines=said)
    first, days = days_in_view(book, at)
    at = replace(at, left=first)
    needs = needs_on(desk.opened, book, at.space, at.day, batch=desk.batch)
    told = figures(book, own, at.day, needs)
    wide = width >= WIDE
    plot_width = width - MARGIN - 1 - (PANEL + 2 if wide else 0)
    texts = [part for text in told for part in wrapped(text, width, hanging=2)]
    head, spots = (_head if width >= NARROW else _thumbs)(own, at, width)
    table = 1 if wide else min(len(texts), max(3, height // 3))
    plot_height = max(4, height - 2 - len(head) - table - (1 if wide else 0))
    most = 3 if plot_height >= 16 else 1
    drawn_needs = (needs[at.need % len(needs) :] + needs)[:most] if needs else []
    levels = [level for need in dict.fromkeys(drawn_needs) for level in _levels(need)]
    frame = frame_for(
        first, days, _reach(own, first, days, levels),
        width=plot_width, height=plot_height,
    )  # fmt: skip
    rows = plot(frame, own.temps, levels, today=book.today, chosen=at.day)
    if not own.temps:
        rows[1] = (*rows[1][:2], Piece("  The spaces are being simulated …", "bold"))
    body = [*head, *rows]
    if wide:
        side = [
            line(part)
            for text in told
            for part in (*wrapped(text, PANEL - 2, hanging=2), "")
        ]
        body = beside([*body, _key()], [(), *side[: height - 1]], width - PANEL)
    else:
        if len(texts) > height - len(body):
            texts = [*texts[: max(0, height - len(body) - 1)], "  and more …"]
        body += [line(text) for text in texts]
    lines = (f"{clean(at.space)}: warmth.", *told)
    return WarmthView(
        drawn=tuple(body[:height]), spots=spots, sight=at, frame=frame, lines=lines,
        top=len(head),
    )  # fmt: skip


def _reach(
    own: SpaceBook, first: date, days: int, levels: Sequence[Level]
) -> list[float]:
    """All temperatures that have to be in view."""
    found = [level.temp_c for level in levels]
    for number in range(days):
        row = own.temps.get(first + timedelta(days=number))
        if row is not None:
            found += [row.low_c, row.high_c, row.air_min_c]
            found += [] if row.reading_c is None else [row.reading_c]
    return found


def _levels(need: Need) -> list[Level]:
    """The least and the best, with the crop's name."""
    span = (need.start, need.end)
    if need.stage == "chill":
        low, high = need.best_c or 0.0, need.best_to_c or 0.0
        return [
            Level(low, f" {need.batch} chills from {low:g} ", *span),
            Level(high, f" {need.batch} chills up to {high:g} ", *span),
        ]
    found = []
    if need.best_c is not None:
        least = f" {need.batch} {need.least_word} {need.least_c:g} "
        best = f" {need.batch} best {need.best_text[:-3]} "
        found = [Level(need.least_c, least, *span), Level(need.best_c, best, *span)]
    if need.night_c is not None:
        night = f" {need.batch} nights above {need.night_c:g} "
        found.append(Level(need.night_c, night, *span))
    return found


def _thumbs(
    own: SpaceBook, at: Sight, width: int
) -> tuple[list[Line], tuple[Spot, ...]]:
    """For a finger: what is pressed often is big."""
    big = (("‹", "space(-1)"), ("›", "space(1)"), ("−", "zoom(-1)"), ("+", "zoom(1)"))
    rows, spots = buttons_of(big, big=True)
    small, there = buttons_of((("today", "today"), ("next need", "need")), big=False)
    room = width - there[-1].last - 2
    name = line(fitted(f"{clean(own.space.id)}, {at.span}", room) + " ", "bold")
    spots += moved_spots(there, len(rows), room + 1)
    return [*rows, (*name, *small[0])], tuple(spots)


def _head(own: SpaceBook, at: Sight, width: int) -> tuple[list[Line], tuple[Spot, ...]]:
    parts: list[tuple[str, Look, str]] = [
        ("[‹]", "accent", "space(-1)"), (f" {clean(own.space.id)} ", "bold", ""),
        ("[›]", "accent", "space(1)"), ("  ", "", ""), ("[−]", "accent", "zoom(-1)"),
        (f" {at.span} ", "bold", ""), ("[+]", "accent", "zoom(1)"), ("  ", "", ""),
        ("[today]", "accent", "today"), (" ", "", ""),
        ("[next need]", "accent", "need"),
    ]  # fmt: skip
    depth = f"  {own.space.kind.replace('-', ' ')}, {own.space.depth_cm:g} cm deep"
    found, spots, x = [], [], 0
    for text, look, action in parts:
        if x + len(text) > width:
            break
        found.append(Piece(text, look))
        if action:
            spots.append(Spot(0, x, x + len(text) - 1, action))
        x += len(text)
    if x + len(depth) <= width:
        found.append(Piece(depth, "dim"))
    return [tuple(found)], tuple(spots)


def _key() -> Line:
    return line(
        " ⣀⠤⠒ median  ░ 8 of 10 winters  ● read  ▾ air at night  ┄ needs", "dim"
    )


def figures(
    book: SeasonBook, own: SpaceBook, day: date, needs: Sequence[Need]
) -> list[str]:
    """The chosen day in figures, then what stands there and how it fares."""
    row = own.temps.get(day)
    today = ", today" if day == book.today else ""
    when = f"{day:%a} {day_text(day)}{today}"
    said = [f"{when}: {_row_text(row)}"]
    root, air = (nan, nan) if row is None else (row.root_mean_c, row.air_min_c)
    for need in needs:
        stands = "● " if need.noted else "○ "
        said.append(stands + need_text(need, root, air) + ".")
    if not needs and own.space.stands:
        said.append("Nothing stands here then.")
        coming = [t for t in own.tracks if t.start > day]
        if coming:
            one = coming[0]
            said.append(f"First comes {clean(one.batch)}, {day_text(one.start)}.")
    if needs:
        said.append("● stands by the daybook, ○ planned.")
    week = [own.temps.get(monday(day) + timedelta(days=n)) for n in range(7)]
    known = [one for one in week if one is not None]
    if len(known) == 7:
        mean = sum(one.root_mean_c for one in known) / 7
        said.append(
            f"Week of {day_text(monday(day))}: root zone {mean:.1f} °C, "
            f"air down to {min(one.air_min_c for one in known):.1f} °C."
        )
    return said


def _row_text(row: "TempsRow | None") -> str:
    if row is None:
        return "the spaces are being simulated; what stands needs:"
    said = (
        f"root zone {row.root_mean_c:.1f} °C ({row.low_c:.1f} to {row.high_c:.1f} in "
        f"8 of 10 winters), {row.root_min_c:.1f} to {row.root_max_c:.1f} over the day; "
        f"air at night {row.air_min_c:.1f} °C; {SOURCES[row.source]}"
    )
    return said + (f" {row.reading_c:.1f} °C." if row.reading_c is not None else ".")


def warmth_lines(desk: "Desk") -> tuple[str, ...]:
    """Every space on this day, as sentences."""
    book = season_book(desk)
    if book is None or not book.spaces or desk.opened is None:
        return warmth_view(desk, book, None, width=80, height=24).lines
    found: list[str] = []
    for own in book.spaces:
        at = sight_on(book, own.space.id)
        needs = needs_on(desk.opened, book, at.space, at.day, batch=desk.batch)
        found += [f"{clean(at.space)}.", *figures(book, own, at.day, needs)]
    return tuple(found)
