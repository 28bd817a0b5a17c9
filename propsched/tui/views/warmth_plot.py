"""A plot of one space's warmth: range, median, night air, readings, needs, by days."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor
from typing import TYPE_CHECKING

from propsched.report.words import day_text
from propsched.tui.views.pieces import Line, Look, Piece

if TYPE_CHECKING:
    from propsched.service.answers import Source, TempsRow

MARGIN = 5
"""Left of the plot: figures and the axis."""
STEPS = (0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0)
"""Heights of a row that are easy to read. [K]"""
NAMED: Look = "warning"
"""Names of lines; nothing else looks so."""
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Of a braille character, by row and column (Unicode, block U+2800)."""
KNOWN: dict["Source", str] = {
    "reading": "was", "model": "was", "forecast": "forecast", "outlook": "outlook",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Level:
    """A need as a line, over the days it holds."""

    temp_c: float
    text: str
    start: date
    end: date
    """First day after it."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What is in view: days across, degrees up."""

    first: date
    days: int
    width: int
    height: int
    top_c: float
    """Upper edge of the highest row. [°C]"""
    step_c: float
    """Height of a row. [K]"""

    def column(self, day: date, share: float = 0.5) -> int:
        """The character of a day; of its middle, unless another part is named."""
        return floor(((day - self.first).days + share) * self.width / self.days)

    def row(self, temp_c: float) -> int:
        return floor((self.top_c - temp_c) / self.step_c)

    def day(self, column: int) -> date:
        return self.first + timedelta(days=column * self.days // self.width)


def frame_for(
    first: date, days: int, temps_c: Sequence[float], *, width: int, height: int
) -> Frame:
    """Rows whose middles are whole steps, and which hold all of the temperatures."""
    low, high = (min(temps_c), max(temps_c)) if temps_c else (0.0, 20.0)
    step = STEPS[-1]
    for step in STEPS:
        highest, lowest = floor(high / step + 0.5), floor(low / step + 0.5)
        if highest - lowest < height:
            break
    spare = height - (highest - lowest + 1)
    top = (highest + max(0, spare) // 2 + 0.5) * step
    return Frame(first, days, width, height, top, step)


def plot(
    frame: Frame,
    temps: Mapping[date, "TempsRow"],
    levels: Sequence[Level],
    *,
    today: date,
    chosen: date,
) -> list[Line]:
    """Rows of the plot, then its dates, then what is known how."""
    text = [[" "] * frame.width for _ in range(frame.height)]
    look: list[list[Look]] = [[""] * frame.width for _ in range(frame.height)]
    sheet = _Sheet(frame, text, look)
    for day, sign in ((today, "┊"), (chosen, "│")):
        for row in range(frame.height):
            sheet.put(frame.column(day), row, sign, "dim" if sign == "┊" else "bold")
    in_view = [frame.first + timedelta(days=n) for n in range(frame.days)]
    rows = [temps[day] for day in in_view if day in temps]
    for one in rows:
        sheet.band(one)
    for level in levels:
        sheet.level(level)
    for one in rows:
        sheet.put(frame.column(one.date), frame.row(one.air_min_c), "▾", "accent")
    for level in levels:
        sheet.name(level)
    sheet.curve(rows)
    for one in rows:
        if one.reading_c is not None:
            sheet.put(frame.column(one.date), frame.row(one.reading_c), "●", "bold")
    found = [_labelled(frame, row, text[row], look[row]) for row in range(frame.height)]
    return [*found, _dates(frame, today), _known(frame, temps)]


@dataclass(frozen=True, slots=True)
class _Sheet:
    frame: Frame
    text: list[list[str]]
    look: list[list[Look]]

    def put(self, column: int, row: int, sign: str, look: Look) -> None:
        if 0 <= column < self.frame.width and 0 <= row < self.frame.height:
            self.text[row][column] = sign
            self.look[row][column] = look

    def band(self, one: "TempsRow") -> None:
        first = self.frame.column(one.date, 0.0)
        last = max(first, self.frame.column(one.date, 0.999))
        for column in range(first, last + 1):
            for row in range(self.frame.row(one.high_c), self.frame.row(one.low_c) + 1):
                self.put(column, row, "░", "dim")

    def level(self, level: Level) -> None:
        row = self.frame.row(level.temp_c)
        first = max(0, self.frame.column(level.start, 0.0))
        last = min(self.frame.width, self.frame.column(level.end, 0.0))
        for column in range(first, last):
            self.put(column, row, "┄", "accent")

    def name(self, level: Level) -> None:
        """What the line is, at its end or behind it, where no other name is."""
        row = self.frame.row(level.temp_c)
        first = max(0, self.frame.column(level.start, 0.0))
        if not 0 <= row < self.frame.height:
            return
        end = min(self.frame.width, self.frame.column(level.end, 0.0))
        length = len(level.text)
        inside = range(end - length, first - 1, -1)
        behind = range(max(0, end), self.frame.width - length + 1)
        at = next((a for a in (*inside, *behind) if self._free(row, a, length)), None)
        if at is not None:
            for column, sign in enumerate(level.text, at):
                self.put(column, row, sign, NAMED)

    def _free(self, row: int, first: int, length: int) -> bool:
        return NAMED not in self.look[row][first : first + length]

    def curve(self, rows: Sequence["TempsRow"]) -> None:
        """The median, two dots across and four down in a character."""
        cells: dict[tuple[int, int], int] = {}
        frame = self.frame
        middles = [
            (((one.date - frame.first).days + 0.5) * 2 * frame.width / frame.days, one)
            for one in rows
        ]
        before: int | None = None
        at = 0
        for x in range(2 * frame.width):
            while at < len(middles) - 1 and middles[at + 1][0] <= x + 0.5:
                at += 1
            if not middles or not _held(middles, at, x + 0.5, frame):
                before = None
                continue
            y = self._dot(_between(middles, at, x + 0.5))
            start = y if before is None else before
            for dot in range(min(start, y), max(start, y) + 1):
                bit = DOTS[dot % 4][x % 2]
                cells[x // 2, dot // 4] = cells.get((x // 2, dot // 4), 0) | bit
            before = y
        for (column, row), bits in cells.items():
            self.put(column, row, chr(0x2800 + bits), "success")

    def _dot(self, temp_c: float) -> int:
        frame = self.frame
        return floor((frame.top_c - temp_c) / frame.step_c * 4)


def _held(
    middles: Sequence[tuple[float, "TempsRow"]], at: int, x: float, frame: Frame
) -> bool:
    """Whether a place lies between days that are known."""
    half = frame.width / frame.days
    return middles[0][0] - half <= x <= middles[-1][0] + half and (
        at == len(middles) - 1 or x - middles[at][0] <= 2.1 * half or x < middles[0][0]
    )


def _between(middles: Sequence[tuple[float, "TempsRow"]], at: int, x: float) -> float:
    place, one = middles[at]
    if at == len(middles) - 1 or x <= place:
        return one.root_mean_c
    after, other = middles[at + 1]
    share = (x - place) / (after - place)
    return one.root_mean_c + share * (other.root_mean_c - one.root_mean_c)


def _labelled(frame: Frame, row: int, text: list[str], look: list[Look]) -> Line:
    """A row with the degrees at its middle, and what is on it."""
    edge = frame.top_c - (row + 0.5) * frame.step_c
    decimals = 1 if frame.step_c in (0.5, 2.5) else 0
    label = f"{edge:>{MARGIN - 1}.{decimals}f}"
    found = [Piece(label, "dim"), Piece("┤" if round(edge, 3) else "┼")]
    for sign, one in zip(text, look, strict=True):
        if found[-1].look == one and len(found) > 2:
            found[-1] = Piece(found[-1].text + sign, one)
        else:
            found.append(Piece(sign, one))
    return tuple(found)


def _dates(frame: Frame, today: date) -> Line:
    """Mondays, or the firsts of months, as many as there is room for; and today."""
    chars = [" "] * frame.width
    taken = -1
    at_today = frame.column(today)
    if 0 <= at_today < frame.width:
        label = "▲today"
        at_today = min(at_today, max(0, frame.width - len(label)))
        chars[at_today : at_today + len(label)] = list(label)
    for number in range(frame.days):
        day = frame.first + timedelta(days=number)
        tick = day.weekday() == 0 if frame.days <= 120 else day.day == 1
        column, label = frame.column(day), f"▴{day_text(day)}"
        clash = column <= at_today + 6 and column + len(label) >= at_today
        if tick and column > taken and not clash and column + len(label) <= frame.width:
            chars[column : column + len(label)] = list(label)
            taken = column + len(label)
    return (Piece(" °C".ljust(MARGIN), "dim"), Piece("".join(chars).rstrip()))


def _known(frame: Frame, temps: Mapping[date, "TempsRow"]) -> Line:
    """Along the days: what was, what is forecast, what past winters let expect."""
    found = [Piece(" " * MARGIN)]
    words = [
        KNOWN[temps[day].source] if (day := frame.day(c)) in temps else ""
        for c in range(frame.width)
    ]
    first = 0
    while first < frame.width:
        last = first
        while last < frame.width and words[last] == words[first]:
            last += 1
        room, word = last - first, words[first]
        text = word if len(word) + 1 <= room else word[:1]
        fill = {"was": "─", "forecast": "┈", "outlook": "·"}.get(word, " ")
        body = f"{text} ".ljust(room, fill)[: room - 1] + "│" if room > 1 else text
        found.append(Piece(body, "dim"))
        first = last
    return tuple(found)
