"""The answers of ``temps``, ``where`` and ``check`` in the terminal."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from itertools import groupby
from math import isnan

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.layout import add, grid, heading, points
from propsched.report.words import clean, day_text, degrees, money
from propsched.service.answers import (
    CheckAnswer,
    TempsAnswer,
    TempsRow,
    WhereAnswer,
    WhereRow,
)

FLOOR = "Sowing floor: in a colder root zone seed rots where it should wait for warmth."
DAILY_UP_TO = 21
"""Longest span shown day by day; longer ones are shown by weeks."""


def temps_report(answer: TempsAnswer) -> Group:
    """Root zone and air of each space; a long span by weeks."""
    days = {row.date for row in answer.rows}
    daily = len(days) <= DAILY_UP_TO
    parts: list[RenderableType] = []
    if not answer.rows:
        return Group(Text("No days to show: the dates lie outside the season."))
    for space, rows in groupby(answer.rows, key=lambda r: r.space):
        parts.append(heading(clean(space)) if parts else Text(clean(space), "bold"))
        parts.append(_days(list(rows), daily=daily))
    parts.append(Text(""))
    parts.append(
        Text(
            "Root zone at rooting depth, °C. Range: 80 % of the daily means. "
            + ("" if daily else "Weeks: mean, widest range, coldest and warmest. ")
            + _about_readings(answer)
        )
    )
    return Group(*parts)


def _about_readings(answer: TempsAnswer) -> str:
    if all(row.reading_c is None for row in answer.rows):
        return ""
    return (
        "Read: the day's mean by its readings. Model: before the offset they ask for; "
        "mean: after it."
    )


def _days(rows: list[TempsRow], *, daily: bool) -> RenderableType:
    heads = ["day" if daily else "week of", "mean", "range", "min", "max", "air min"]
    told = any(r.reading_c is not None for r in rows)
    if told:
        heads[1:1] = ["read", "model"]
    table = grid(*heads, "from", right=heads)
    for group in [[r] for r in rows] if daily else _weeks(rows):
        low, high = min(r.low_c for r in group), max(r.high_c for r in group)
        add(
            table,
            f"{group[0].date:%a} {day_text(group[0].date)}"
            if daily
            else day_text(group[0].date),
            *([_mean(r.reading_c for r in group)] if told else []),
            *([_mean(r.model_c for r in group)] if told else []),
            _mean(r.root_mean_c for r in group),
            f"{degrees(low)} to {degrees(high)}",
            degrees(min(r.root_min_c for r in group)),
            degrees(max(r.root_max_c for r in group)),
            degrees(min(r.air_min_c for r in group)),
            ", ".join(dict.fromkeys(r.source for r in group)),
        )
    return table


def _mean(values: Iterable[float | None]) -> str:
    known = [value for value in values if value is not None]
    return degrees(sum(known) / len(known)) if known else ""


def _weeks(rows: list[TempsRow]) -> Iterator[list[TempsRow]]:
    """Weeks from Monday on."""

    def monday(row: TempsRow) -> date:
        return row.date - timedelta(days=row.date.weekday())

    for _, group in groupby(rows, key=monday):
        yield list(group)


def where_report(answer: WhereAnswer, *, explain: bool) -> Group:
    """The spaces for one crop, best first."""
    title = f"{answer.crop}, {answer.method}, on {day_text(answer.on)} {answer.on.year}"
    parts: list[RenderableType] = [Text(clean(title), style="bold")]
    if not answer.rows:
        parts.append(Text("No space has room to stand in: give one an area_m2."))
    else:
        parts.append(_places(answer))
        if any(row.limits for row in answer.rows):
            parts += [heading("What stands against it or slows it"), _limits(answer)]
            if any("sowing floor" in limit for r in answer.rows for limit in r.limits):
                parts.append(Text(FLOOR))
    if explain:
        for line in answer.explanation:
            parts += [Text(""), Text(clean(line))]
        if answer.figures:
            parts.append(heading("Figures of its start, and where they come from"))
            parts += points(answer.figures, "·")
    return Group(*parts)


def _places(answer: WhereAnswer) -> RenderableType:
    """Columns that would say the same in every row, or nothing, are left out."""
    rows, currency = answer.rows, answer.currency
    later = any(r.start != answer.on for r in rows)
    costly = any(r.cost > 0 and _starts(r) for r in rows)
    figures = [
        *(["start"] if later else []),
        *("half by", "most by", "days", "root °C", "success"),
        *(["heat"] if costly else []),
    ]
    table = grid("space", *figures, right=figures)
    for row in rows:
        over = row.stands_over and row.half_by is None
        cells = [row.space, *([day_text(row.start)] if later else [])]
        cells += [
            "stands over" if over else day_text(row.half_by),
            "" if over else day_text(row.most_by),
            "" if row.days is None else str(row.days),
            degrees(row.root_mean_c) if _starts(row) else "–",
            "–" if isnan(row.success) else f"{row.success * 100:.0f} %",
        ]
        if costly:
            cost = money(row.cost, currency) if row.cost > 0 else ""
            cells.append(cost if _starts(row) else "–")
        add(table, *cells)
    return table


def _starts(row: WhereRow) -> bool:
    """Whether it gets anywhere there, so that its warmth and cost mean something."""
    return row.half_by is not None or row.stands_over


def _limits(answer: WhereAnswer) -> RenderableType:
    """Spaces that share their limits share a row."""
    shared: dict[str, list[str]] = defaultdict(list)
    for row in answer.rows:
        if row.limits:
            shared["; ".join(row.limits)].append(row.space)
    table = grid("space", "limits")
    for limits, spaces in shared.items():
        add(table, ", ".join(spaces), limits)
    return table


def check_report(answer: CheckAnswer) -> Group:
    return Group(*(Text(clean(line)) for line in answer.lines))
