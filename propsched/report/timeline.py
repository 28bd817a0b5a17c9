"""The spaces over the season: how full and how warm, in figures."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import isnan

from rich.text import Text

from propsched.advice.space_jobs import heats
from propsched.domain.container import TRAY_M2
from propsched.domain.plan import HeatRun, Scarce
from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.report.words import clean, day_text

LABEL = 11
CELL = 4
SCREENFUL = 8
"""Spaces under one line of dates; three lines each fill a terminal's 24."""
LEAST_WORTH = 0.005
"""One more tray that is worth less in a column is worth nothing there."""
FULL = 0.995
"""Shown as full from here on, as whole per cent cannot tell it from 100."""


@dataclass(frozen=True, slots=True)
class Axis:
    """Columns of whole weeks from the season's first day."""

    first: date
    days: int
    step: int
    """Weeks in a column."""

    @classmethod
    def fitting(cls, season: Season, width: int) -> "Axis":
        """The finest columns that go into so many characters."""
        days = season.horizon.days
        weeks = -(-days // 7)
        columns = max(1, (max(width, 80) - LABEL) // CELL)
        return cls(season.start, days, max(1, -(-weeks // columns)))

    @property
    def columns(self) -> int:
        return -(-self.days // (7 * self.step))

    def begins(self, column: int) -> date:
        return self.first + timedelta(days=7 * self.step * column)

    def part(self, values: Sequence[float], column: int) -> list[float]:
        """Known values of a column's days."""
        span = 7 * self.step
        days = values[span * column : span * (column + 1)]
        return [v for v in days if not isnan(v)]


def timeline(
    season: Season,
    fill: dict[str, tuple[float, ...]],
    warmth: dict[str, tuple[float, ...]],
    *,
    width: int,
    heat: Sequence[HeatRun] = (),
    scarce: Sequence[Scarce] = (),
) -> Text:
    """
    One block a space: its size, its fullest share and its mean warmth by weeks.

    Heat that the plan switches by the week has a row of its own, and so has what one
    more tray would be worth, where that is anything. Figures and words
    carry all of it; bold only repeats that a space is full.
    """
    axis = Axis.fitting(season, width)
    out = Text(no_wrap=True, overflow="crop", end="")
    per = "a week" if axis.step == 1 else f"{axis.step} weeks"
    out.append(
        f"Each column is {per}: fullest day in % of the free area, mean root zone "
        "in °C.\n"
    )
    worths = {s.id: _worths(season, s.id, scarce) for s in season.spaces}
    if any(_telling(axis, by_day) for by_day in worths.values()):
        out.append(
            "+1 tray: what one more tray would be worth; 1 is a whole priority-1 "
            "batch.\n"
        )
    shown = [s for s in season.spaces if s.id in fill or s.id in warmth]
    for number, space in enumerate(shown):
        if number % SCREENFUL == 0:
            out.append(_dates(axis) + "\n", style="underline")
        out.append_text(_block(space, axis, fill.get(space.id, ()), warmth))
        if space.by_week:
            runs = [r for r in heat if r.space == space.id and heats(space, r)]
            out.append_text(_heated(season, axis, runs))
        if _telling(axis, worths[space.id]):
            row = _row("+1 tray", axis, worths[space.id], sum, _worth, full=False)
            out.append_text(row)
    return out


def _worths(season: Season, space: str, scarce: Iterable[Scarce]) -> list[float]:
    """Worth of one more tray on each day: a week's, shared among its days."""
    found = [0.0] * season.horizon.days
    for one in scarce:
        if one.space != space:
            continue
        monday = season.horizon.day(one.week)
        days = range(max(0, monday), min(len(found), monday + 7))
        for day in days:
            found[day] += one.worth_per_tray / len(days)
    return found


def _telling(axis: Axis, worths: Sequence[float]) -> bool:
    return any(
        sum(axis.part(worths, column)) >= LEAST_WORTH for column in range(axis.columns)
    )


def _worth(value: float) -> str:
    """Three characters: ``.05``, ``1.2``, ``12``."""
    if value < LEAST_WORTH:
        return "·"
    if value < 0.995:
        return f"{value:.2f}"[1:]
    return f"{value:.1f}" if value < 9.95 else f"{value:.0f}"


def _heated(season: Season, axis: Axis, runs: Sequence[HeatRun]) -> Text:
    """``on`` in each column in which the heat is on for a day at least."""
    on = [
        1.0 if any(run.start <= day <= run.end for run in runs) else 0.0
        for day in season.horizon
    ]
    return _row("heat", axis, on, max, lambda v: "on" if v else "·", full=False)


def _block(
    space: Space,
    axis: Axis,
    fill: Sequence[float],
    warmth: dict[str, tuple[float, ...]],
) -> Text:
    out = Text(end="")
    out.append(clean(space.id), style="bold")
    size = f"  {space.kind}"
    if fill:
        size += f", {space.area_m2:.2f} m²"
    if fill and space.kind != "open-ground":
        trays = round(space.area_m2 / TRAY_M2)
        size += ", room for one tray" if trays == 1 else f", room for {trays} trays"
    out.append(size + "\n")
    if fill:
        out.append_text(_row("in use %", axis, fill, max, _percent, full=True))
    temps = warmth.get(space.id, ())
    if temps:
        out.append_text(_row("root °C", axis, temps, _mean, _degree, full=False))
    return out


def _row(
    label: str,
    axis: Axis,
    values: Sequence[float],
    gather: Callable[[list[float]], float],
    show: Callable[[float], str],
    *,
    full: bool,
) -> Text:
    out = Text(f"  {label}".ljust(LABEL), end="")
    for column in range(axis.columns):
        known = axis.part(values, column)
        value = gather(known) if known else float("nan")
        text = show(value) if known else ""
        out.append(text.rjust(CELL), style="bold" if full and value >= FULL else "")
    out.append("\n")
    return out


def _dates(axis: Axis) -> str:
    """First day of a column, over every second one; they end where figures do."""
    line = ""
    for column in range(0, axis.columns, 2):
        label = day_text(axis.begins(column))
        line = line.ljust(LABEL + CELL * (column + 1) - len(label)) + label
    return line


def _percent(share: float) -> str:
    """Never 100 unless full, never 0 unless empty."""
    if share <= 0:
        return "·"
    return str(100 if share >= FULL else min(99, max(1, round(share * 100))))


def _degree(value: float) -> str:
    return f"{round(value):d}"


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)
