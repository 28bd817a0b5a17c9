"""What was to be expected beside what happened, as lines to read down."""

from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING

from propsched.report.words import clean
from propsched.tui.views.pieces import Line, Look, Piece, line, text_of, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rich.segment import Segment

    from propsched.service.looked_back import LookBack
    from propsched.tui.desk import Desk

LEAST = 76
"""Columns that its tables need; a narrower screen has lists instead."""
EMPTY = (
    "Nothing to look back on yet.",
    "It is told here what was to be expected beside what happened: days on which seed "
    "came up and cuttings rooted, losses, readings beside the model.",
    "For that note what happens as it happens: j ticks jobs off, n on a batch (b) "
    "notes that it is up, rooted or lost, r takes readings, once a week.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearView:
    drawn: tuple[Line, ...]
    """All of it; the page scrolls."""

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(text_of(one) for one in self.drawn)


def year_view(desk: "Desk", *, width: int) -> YearView:
    """The whole report at a width."""
    if desk.opened is None:
        told = "The files have faults: x lists them, with file and line."
        said = (told,) if desk.problems else ("Reading the files …",)
        return _said(said, width)
    if desk.looked is None:
        return _said(("Looking back over the season …",), width)
    if desk.looked.empty:
        return _said(EMPTY, width)
    drawn = _tables if width >= LEAST else _listed
    return YearView(drawn=tuple(drawn(desk.looked, str(desk.folder), width)))


def _said(texts: "Iterable[str]", width: int) -> YearView:
    return YearView(
        drawn=tuple(line(part) for text in texts for part in wrapped(text, width))
    )


def _tables(back: "LookBack", folder: str, width: int) -> "Iterator[Line]":
    """As it is printed."""
    from rich.console import Console

    from propsched.report.lookback import lookback_report

    console = Console(
        width=width, file=StringIO(), force_terminal=False, legacy_windows=False
    )
    for row in console.render_lines(lookback_report(back, clean(folder)), pad=False):
        yield tuple(Piece(one.text, _look(one)) for one in row if one.text)


def _look(one: "Segment") -> Look:
    return "bold" if one.style is not None and one.style.bold else ""


def _listed(back: "LookBack", folder: str, width: int) -> "Iterator[Line]":
    """The same without tables, for a phone."""
    from propsched.report.lookback import (
        headline,
        next_steps,
        off_text,
        usual_text,
        warmer_text,
    )
    from propsched.report.words import day_text
    from propsched.service.lookback_advice import for_next_year

    parts: list[tuple[str, list[str]]] = [
        ("When they came", [
            f"{one.batch}, {one.space}: {day_text(one.came)}"
            f"{'' if one.held else ' !'}; usual {usual_text(one)}; this winter "
            f"{day_text(one.reckoned)}, {off_text(one.error_d)} off"
            for one in back.came
        ]),
        ("How many came through", [
            f"{one.batch}, {one.stage} in {one.space}: {one.through} of {one.of}, "
            f"reckoned {one.expected:.0f}"
            for one in back.losses
        ]),
        ("What became of them", [
            f"{one.batch}: {one.state}"
            + ("" if one.out is None else f", {one.out} of {one.wanted}")
            + ("" if one.out_on is None else f", {day_text(one.out_on)}")
            for one in back.outcomes
        ]),
        ("Warmth of the places", [
            f"{one.space}: warmer than reckoned by {warmer_text(one)} °C, "
            f"{one.days} days read"
            for one in back.spaces
        ]),
        ("For next year", list(for_next_year(back))),
        ("Next season", list(next_steps(back, folder))),
    ]  # fmt: skip
    yield from (line(part, "bold") for part in wrapped(clean(headline(back)), width))
    for title, rows in parts:
        if rows:
            yield ()
            yield line(title, "bold")
        for row in rows:
            yield from (line(p) for p in wrapped(clean(row), width, hanging=2))
