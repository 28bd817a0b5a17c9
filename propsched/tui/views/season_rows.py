"""The rows of the season: what a column says of a space, and batches as bars."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor, isnan, nan

from rich.cells import cell_len

from propsched.domain.container import TRAY_M2
from propsched.report.words import clean, day_text
from propsched.tui.views.pieces import Line, Look, Piece, fitted
from propsched.tui.views.season_axis import CELL, Axis
from propsched.tui.views.season_book import SeasonBook, SpaceBook, Track
from propsched.tui.views.season_routes import By, Spell
from propsched.tui.views.stage_words import LETTERS

NAME, ROOM = 15, 9
LABEL = NAME + ROOM
"""Left of the columns: the space, and what room it has in the chosen column."""
FULL = 0.995
OVER = 1.005
LEAST_WORTH = 0.005
"""One more tray that is worth less is not marked."""
BARS = "·▁▂▃▄▅▆▇█"
MARKS = "!m+ch"
FILLS: dict[By, str] = {"daybook": "━", "over": "─", "plan": "╌"}
LOOKS: dict[By, Look] = {"daybook": "success", "over": "dim", "plan": ""}
LEGEND = (
    "! overfull", "m bed made up", "+ short of room", "c too cold to grow", "h heated",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cell:
    """What a column says of a space."""

    share: float
    """Of the free area in use on its fullest day; NaN: nothing can stand."""
    free_m2: float
    """Least room left on any of its days; below 0: overfull."""
    root_c: float
    mark: str
    worth: float
    heated: bool
    cold: tuple[Spell, ...]
    """What stands there and does not grow, it is so cold."""


def cell_of(book: SeasonBook, own: SpaceBook, axis: Axis, column: int) -> Cell:
    first, last = axis.begins(column), axis.last(column)
    used = axis.part(own.used_m2, book.first, column)
    free = axis.part(own.free_m2, book.first, column)
    warm = axis.part(own.root_c, book.first, column)
    share = max((_share(u, f) for u, f in zip(used, free, strict=True)), default=nan)
    left = min((f - u for u, f in zip(used, free, strict=True)), default=nan)
    root = sum(warm) / len(warm) if warm else nan
    worth = sum(
        value * _overlap(week, first, last) / 7 for week, value in own.worth.items()
    )
    heated = any(a <= last and b >= first for a, b in own.heat)
    cold = tuple(
        s for s in own.standing(first, last) if s.by != "over" and root <= s.least_c
    )
    facts = (
        share > OVER,
        own.make_up is not None and first <= own.make_up <= last,
        worth >= LEAST_WORTH,
        bool(cold),
        heated,
    )
    mark = next((m for m, so in zip(MARKS, facts, strict=True) if so), " ")
    if not own.space.stands:
        share, left = nan, nan
    return Cell(share, left, root, mark, worth, heated, cold)


def _share(used: float, free: float) -> float:
    if free > 0:
        return used / free
    return 0.0 if used == 0 else 9.0


def _overlap(week: date, first: date, last: date) -> int:
    """Days of a week that lie between two days, both included."""
    begins, ends = max(week, first), min(week + timedelta(days=6), last)
    return max(0, (ends - begins).days + 1)


def trays_text(area_m2: float) -> str:
    """``3 trays``; whole ones, as no part of a tray can be stood."""
    trays = floor(area_m2 / TRAY_M2 + 1e-6)
    return "1 tray" if trays == 1 else f"{trays} trays"


def room_text(own: SpaceBook, cell: Cell, last: date) -> str:
    """What room is left: ``3 trays``, ``2.4 m²``, ``full``, ``overfull``."""
    if not own.space.stands:
        return "measured"
    if isnan(cell.free_m2):
        return ""
    if own.make_up is not None and last < own.make_up:
        return "not made"
    if cell.share > OVER:
        return "overfull"
    if own.space.kind == "open-ground":
        return f"{cell.free_m2:.1f} m²" if cell.free_m2 >= 0.05 else "full"
    room = trays_text(cell.free_m2)
    return "full" if room == "0 trays" else room


def bar_of(share: float) -> str:
    """One character; never empty unless empty, never whole unless full."""
    if isnan(share):
        return " "
    if share >= FULL:
        return BARS[-1]
    return BARS[0] if share <= 0 else BARS[min(7, ceil(share * 8))]


def space_row(
    book: SeasonBook,
    own: SpaceBook,
    axis: Axis,
    *,
    chosen: int,
    here: bool,
    open_: bool,
) -> Line:
    """
    Name, room in the chosen column, and every column's bar, root °C and mark.

    Parameters
    ----------
    chosen : int
        The column of the chosen day.
    here : bool
        The cursor is on this row.
    """
    sign = "▾" if open_ else "▸" if own.tracks else " "
    at = cell_of(book, own, axis, chosen)
    name = f"{'›' if here else ' '}{sign}{fitted(clean(own.space.id), NAME - 3)} "
    room = room_text(own, at, axis.last(chosen))
    line = [
        Piece(name, "chosen" if here else "bold"),
        Piece(room.ljust(ROOM), "warning" if room in ("full", "overfull") else ""),
    ]
    for column in range(axis.columns):
        cell = at if column == chosen else cell_of(book, own, axis, column)
        line += _cell_pieces(cell, on=column == chosen, here=here)
    return tuple(line)


def _cell_pieces(cell: Cell, *, on: bool, here: bool) -> list[Piece]:
    figure = "" if isnan(cell.root_c) else f"{cell.root_c:.0f}".replace("-0", "0")
    text = f"{bar_of(cell.share)}{figure:>2}{cell.mark}"
    if on and here:
        return [Piece(fitted(text, CELL - 1), "chosen"), Piece(" ")]
    look: Look = "bold" if on else ""
    if cell.mark == "!":
        look = "error"
    elif cell.mark == "+":
        look = "warning"
    elif cell.mark == "c":
        look = "accent"
    return [Piece(fitted(text, CELL), look)]


def figure_rows(book: SeasonBook, own: SpaceBook, axis: Axis) -> list[Line]:
    """Under the open space: its room in figures, its heat, worth of one more tray."""
    cells = [cell_of(book, own, axis, column) for column in range(axis.columns)]
    found = []
    if own.space.stands:
        in_m2 = own.space.kind == "open-ground"
        label = "free m²" if in_m2 else "free trays"
        texts = [
            "" if isnan(c.free_m2)
            else f"{c.free_m2:.1f}" if in_m2
            else f"{floor(c.free_m2 / TRAY_M2 + 1e-6)}"
            for c in cells
        ]  # fmt: skip
        found.append(_figures(label, texts))
    if any(c.heated for c in cells):
        found.append(_figures("heat", ["on" if c.heated else "·" for c in cells]))
    if any(c.worth >= LEAST_WORTH for c in cells):
        worths = [
            f"{c.worth:.2f}"[-3:] if c.worth >= LEAST_WORTH else "·" for c in cells
        ]
        found.append(_figures("worth of 1 more tray", worths))
    return found


def _figures(label: str, texts: list[str]) -> Line:
    cells = "".join(f"{text:>{CELL - 2}}  " for text in texts)
    return (Piece(f"   {label}".ljust(LABEL), "dim"), Piece(cells))


def track_row(book: SeasonBook, track: Track, axis: Axis, *, here: bool) -> Line:
    """A batch as a bar: solid where it stands by the daybook, open where planned."""
    stands = any(spell.by == "daybook" for spell in track.spells)
    half = f" ({track.part + 1})" if len(book.routes.get(track.batch, ())) > 1 else ""
    room = LABEL - 5 - len(half)
    name = fitted(clean(track.batch), min(room, cell_len(clean(track.batch)))) + half
    head = f"{'›' if here else ' '}  {'●' if stands else '○'} {name}"
    return (
        Piece(fitted(head, LABEL), "chosen" if here else "bold" if stands else ""),
        *_bar(book, track, axis),
    )


def _bar(book: SeasonBook, track: Track, axis: Axis) -> list[Piece]:
    width = axis.width
    texts: list[str] = [" "] * width
    looks: list[Look] = [""] * width
    today = axis.place(book.today)
    if 0 <= today < width:
        texts[today], looks[today] = "┊", "dim"
    for spell in track.spells:
        first = max(0, axis.place(spell.start))
        end = min(width, max(axis.place(spell.end), axis.place(spell.start) + 1))
        if end <= 0 or first >= width:
            continue
        long = FILLS[spell.by]
        look = LOOKS[spell.by]
        texts[first:end] = _named(spell, end - first, long)
        looks[first:end] = [look] * (end - first)
    if not any(t not in " ┊" for t in texts):
        note = f"from {day_text(track.start)} →"
        texts[width - len(note) :] = list(note)
        looks[width - len(note) :] = ["dim"] * len(note)
    return _joined(texts, looks)


def _named(spell: Spell, length: int, fill: str) -> list[str]:
    """The bar with its stage on it, as a word if there is room."""
    word = spell.stage if length >= len(spell.stage) + 2 else LETTERS[spell.stage]
    edge = {"━": "┣", "─": "├"}.get(fill, "├")
    text = word if length <= len(word) else edge + word
    return list(text[:length].ljust(length, fill))


def _joined(texts: list[str], looks: list[Look]) -> list[Piece]:
    """Runs of one look as one piece."""
    found: list[Piece] = []
    for text, look in zip(texts, looks, strict=True):
        if found and found[-1].look == look:
            found[-1] = Piece(found[-1].text + text, look)
        else:
            found.append(Piece(text, look))
    return found
