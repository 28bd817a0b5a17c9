"""Time across: columns of days, of weeks, or as many weeks as the season needs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import isnan
from typing import Literal

from propsched.report.words import day_text

Zoom = Literal["season", "weeks", "days"]
ZOOMS: tuple[Zoom, ...] = ("season", "weeks", "days")
CELL = 5
"""Characters of a column: a bar, two figures, a mark and a gap."""


@dataclass(frozen=True, slots=True)
class Axis:
    """The columns in view."""

    first: date
    """First day of the first column; a Monday where columns are weeks."""
    step: int
    """Days in a column."""
    columns: int

    @property
    def end(self) -> date:
        """First day after the last column."""
        return self.begins(self.columns)

    @property
    def width(self) -> int:
        return self.columns * CELL

    def begins(self, column: int) -> date:
        return self.first + timedelta(days=self.step * column)

    def last(self, column: int) -> date:
        return self.begins(column + 1) - timedelta(days=1)

    def column(self, day: date) -> int:
        """May lie outside those in view."""
        return (day - self.first).days // self.step

    def place(self, day: date) -> int:
        """The character at which a day begins; may lie outside."""
        return (day - self.first).days * CELL // self.step

    def part(self, values: Sequence[float], start: date, column: int) -> list[float]:
        """Known values of a column's days; ``values`` begin on ``start``."""
        at = (self.begins(column) - start).days
        days = values[max(0, at) : max(0, at + self.step)]
        return [value for value in days if not isnan(value)]

    def column_text(self, column: int) -> str:
        """``Mon 16 Nov``, ``week of 16 Nov``, ``9 Nov – 29 Nov``."""
        first, last = self.begins(column), self.last(column)
        if self.step == 1:
            return f"{first:%a} {day_text(first)}"
        if self.step == 7:
            return f"week of {day_text(first)}"
        return f"{day_text(first)} – {day_text(last)}"


def monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def axis_for(
    zoom: Zoom, first: date, last: date, *, day: date, left: date | None, columns: int
) -> Axis:
    """
    The columns that have the day in view.

    Parameters
    ----------
    first, last : date
        Of the season.
    left : date, optional
        Where the columns began so far: they move no further than the day needs;
        None: one column before the day.
    columns : int
        That there is room for, at least one.
    """
    origin = first if zoom == "days" else monday(first)
    days = (last - origin).days + 1
    step = {"days": 1, "weeks": 7}.get(zoom) or 7 * max(1, -(-days // (7 * columns)))
    whole = -(-days // step)
    shown = min(columns, whole)
    at = (day - origin).days // step
    begin = at - 1 if left is None else (left - origin).days // step
    begin = min(max(begin, at - shown + 1), at)
    begin = min(max(begin, 0), whole - shown)
    return Axis(origin + timedelta(days=begin * step), step, shown)
