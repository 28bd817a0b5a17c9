"""The crop table as it is searched and shown."""

from collections.abc import Iterator
from itertools import groupby
from math import isnan
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.dots import curve_plot
from propsched.report.layout import add, grid, heading, points
from propsched.report.machine import as_csv, as_json, record
from propsched.report.words import clean
from propsched.service.crops import (
    BasesAnswer,
    BasesRow,
    CropRow,
    CropsAnswer,
    CropShown,
    Curve,
    FigureRow,
)

ROW_KEYS = tuple(CropRow.__dataclass_fields__)
FIGURE_KEYS = tuple(FigureRow.__dataclass_fields__)
BASES_KEYS = tuple(BasesRow.__dataclass_fields__)
WIDEST_PLOT = 76
"""Columns."""
_FIGURES = ("value", "shipped")
SPOKEN = {"memory": "recalled, no source"}
"""A basis without a source, as it is told to a grower."""


def crops_csv(answer: CropsAnswer) -> str:
    """The figures of the row shown, else the rows found."""
    if answer.shown is None:
        return as_csv(ROW_KEYS, [record(ROW_KEYS, row) for row in answer.rows])
    rows = [record(FIGURE_KEYS, f) for f in answer.shown.figures]
    return as_csv(FIGURE_KEYS, [figures_as_numbers(row) for row in rows])


def figures_as_numbers(row: dict[str, Any]) -> dict[str, Any]:
    """A row of figures, −4 as a number so that it is not guarded as text would be."""
    return {
        key: _number(cell) if key in _FIGURES else cell for key, cell in row.items()
    }


def _number(cell: Any) -> Any:
    try:
        return float(cell) if str(cell).startswith("-") else cell
    except ValueError:
        return cell


def crops_json(answer: CropsAnswer) -> str:
    found = [
        {
            **record(ROW_KEYS, row),
            "also": list(row.also),
            "stages": list(row.stages),
        }
        for row in answer.rows
    ]
    return as_json({"rows": found, "shown": _shown_record(answer.shown)})


def _shown_record(shown: CropShown | None) -> dict[str, Any] | None:
    if shown is None:
        return None
    return {
        "crop": shown.crop,
        "method": shown.method,
        "latin": shown.latin,
        "also": list(shown.also),
        "figures": [record(FIGURE_KEYS, f) for f in shown.figures],
        "curves": [
            {
                "stage": curve.stage,
                "points": [
                    {
                        "temp_c": t,
                        "rate_per_day": None if isnan(r) else round(r, 5),
                        "fraction": None if isnan(f) else round(f, 4),
                    }
                    for t, r, f in zip(
                        curve.temps_c, curve.rate_per_day, curve.fraction, strict=True
                    )
                ],
            }
            for curve in shown.curves
        ],
        "sources": shown.sources,
    }


def crops_report(answer: CropsAnswer, *, width: int) -> Group:
    """The rows found, or all of one."""
    if answer.shown is not None:
        return Group(*_shown(answer.shown, width))
    own = any(row.own for row in answer.rows)
    heads = ["figures", "recalled", *(["own"] if own else [])]
    table = grid("crop", "method", "latin", "stages", *heads, right=heads)
    before = ""
    for row in answer.rows:
        add(
            table,
            "" if row.crop == before else row.crop,
            row.method,
            row.latin,
            " ".join(row.stages),
            str(row.figures),
            str(row.memory),
            *([str(row.own)] if own else []),
        )
        before = row.crop
    crops = len({row.crop for row in answer.rows})
    return Group(
        table,
        Text(""),
        Text(f"{len(answer.rows)} rows of {crops} crops. `propsched crops NAME`"
             " shows one with every figure and its origin."),
    )  # fmt: skip


def _shown(shown: CropShown, width: int) -> Iterator[RenderableType]:
    names = ", ".join(name for name in (shown.latin, *shown.also) if name)
    title = f"{shown.crop}, {shown.method}" + (f" ({names})" if names else "")
    yield Text(clean(title), style="bold")
    for stage, rows in groupby(shown.figures, key=lambda f: f.stage):
        yield heading(stage or "The crop as a whole")
        yield _figures(list(rows))
    for curve in shown.curves:
        yield from _curve(curve, min(width, WIDEST_PLOT))
    if any(f.overridden for f in shown.figures):
        yield Text("\n*: of the season's own crops.csv")
    if shown.sources:
        yield heading("Sources")
        yield from points([f"[{k}] {text}" for k, text in shown.sources.items()], "·")


def _figures(rows: list[FigureRow]) -> RenderableType:
    table = grid("figure", "value", "basis, source", "note")
    for row in rows:
        origin = row.basis if row.source else SPOKEN.get(row.basis, row.basis)
        if row.source:
            origin += f" [{row.source}]"
        if row.group:
            origin += f" {row.group}"
        note = row.note
        if row.overridden:
            was = "not given" if row.shipped is None else row.shipped
            note = f"shipped: {was}" + (f"; {note}" if note else "")
        mark = "*" if row.overridden else ""
        add(table, row.figure, f"{row.value}{mark}", origin, note)
    return table


def _curve(curve: Curve, width: int) -> Iterator[RenderableType]:
    """Rate, and under it the final fraction on the same scale of temperature."""
    for values, what in (
        (curve.rate_per_day, "development, % a day, against °C"),
        (curve.fraction, "final fraction, %, against °C"),
    ):
        if any(isnan(v) for v in values):
            continue
        yield heading(f"{curve.stage}: {what}")
        percent = [100 * v for v in values]
        for line in curve_plot(curve.temps_c, percent, width=width):
            yield Text(line)


def bases_csv(answer: BasesAnswer) -> str:
    return as_csv(BASES_KEYS, [record(BASES_KEYS, row) for row in answer.rows])


def bases_json(answer: BasesAnswer) -> str:
    return as_json(
        {
            "rows": [record(BASES_KEYS, row) for row in answer.rows],
            "alike": [list(names) for names in answer.alike],
        }
    )


def bases_report(answer: BasesAnswer, *, width: int) -> Group:
    """Shares by method, the count of recalled figures, rows that are alike."""
    del width
    heads = ("rows", "figures", "published", "derived", "practice", "recalled")
    table = grid("method", *heads, right=heads)
    for row in answer.rows:
        add(
            table,
            row.method,
            str(row.rows),
            str(row.figures),
            _share(row.published, row.figures),
            _share(row.derived, row.figures),
            _share(row.common_practice, row.figures),
            _share(row.memory, row.figures),
        )
    once = answer.rows[-1]
    parts: list[RenderableType] = [
        table,
        Text(""),
        Text(
            f"{once.memory} of {once.figures} figures, each counted once, are recalled"
            " and have no source (memory)."
        ),
    ]
    same = sum(len(names) for names in answer.alike)
    if same:
        parts.append(heading(f"{same} rows share every figure with another"))
        parts += points([", ".join(names) for names in answer.alike], "·")
    else:
        parts.append(Text("No two rows share every figure."))
    return Group(*parts)


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.0f} %" if whole else "–"
