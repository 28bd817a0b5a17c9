"""What to protect on the next nights, in the terminal and for other programs."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from itertools import groupby
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.layout import add, grid, heading, points
from propsched.report.machine import as_csv, as_json, record
from propsched.report.words import clean, day_text, degrees
from propsched.service.at_risk import Risk
from propsched.service.protect import chance, harm_text, help_text, helps_text
from propsched.service.tonight import TonightAnswer

RISK_KEYS = (
    "night", "space", "batch", "crop", "stage", "harm", "where", "limit_c", "low_c",
    "expected_c", "high_c", "probability", "loss", "planned",
)  # fmt: skip


def tonight_report(answer: TonightAnswer) -> Group:
    """The nights one after another, greatest loss first; or how far off it is."""
    parts: list[RenderableType] = [Text(headline(answer), style="bold")]
    for night, rows in groupby(answer.rows, key=lambda r: r.night):
        parts += [
            heading(night_text(night)[:1].upper() + night_text(night)[1:]),
            *_night(list(rows)),
        ]
    if answer.rows:
        parts.append(Text(""))
        parts.append(
            Text(
                "Lowest: coldest hour of the air among the plants (roots and seed: of "
                "the root zone), °C, with its 80 % range. Likely: that harm begins. A "
                "gain is the model's, rounded down; what is left is the likelihood "
                "with it in place."
            )
        )
    if answer.cautions:
        parts += [heading("Take care"), *points(answer.cautions, "!")]
    return Group(*parts)


def headline(answer: TonightAnswer) -> str:
    first, last = answer.nights[0], answer.nights[-1]
    days = night_text(first) if first == last else f"{_span(first, last)}"
    if answer.rows:
        number = len({row.batch for row in answer.rows})
        batches = "1 batch" if number == 1 else f"{number} batches"
        return f"{batches} at risk, {days}"
    if answer.nearest is None:
        if answer.standing == 0:
            return f"Nothing at risk, {days}: nothing stands anywhere"
        return f"Nothing at risk, {days}: cold does not harm what stands there"
    near = answer.nearest
    return (
        f"Nothing at risk, {days}. Nearest: {clean(near.batch)} in "
        f"{clean(near.space)}, {harm_text(near)}; expected {_range(near)}, "
        f"{degrees(near.margin_k)} °C above it"
    )


def _span(first: date, last: date) -> str:
    return f"nights of {day_text(first)} to {day_text(last)}"


def night_text(night: date) -> str:
    return f"night of {night:%a} {day_text(night)}"


def _night(rows: list[Risk]) -> Iterator[RenderableType]:
    """Who is at risk, then what helps, the same help told once."""
    table = grid("space", "batch", "lowest", "harm", "likely", right=("likely",))
    for row in rows:
        name = row.batch + (" *" if row.planned else "")
        add(
            table, row.space, name, _range(row), harm_text(row), chance(row.probability)
        )
    yield table
    if any(row.planned for row in rows):
        yield Text("*: by the plan, not noted in the daybook")
    shared: dict[tuple[str, str], list[str]] = defaultdict(list)
    for row in rows:
        shared[row.space, helps_text(row)].append(row.batch)
    yield Text("")
    yield from points(
        (
            f"{', '.join(names)} in {space}: {helps}"
            for (space, helps), names in shared.items()
        ),
        "→",
    )


def _range(row: Risk) -> str:
    low, high = degrees(row.low_c), degrees(row.high_c)
    return f"{degrees(row.expected_c)} ({low} to {high})"


def tonight_csv(answer: TonightAnswer) -> str:
    rows = [
        {**record(RISK_KEYS, row), "helps": "; ".join(map(help_text, row.helps))}
        for row in answer.rows
    ]
    return as_csv((*RISK_KEYS, "helps"), rows)


def risk_json(row: Risk) -> dict[str, Any]:
    return {
        **record(RISK_KEYS, row),
        "helps": [record(("what", "gain_k", "probability"), one) for one in row.helps],
    }


def tonight_json(answer: TonightAnswer) -> str:
    return as_json(
        {
            "today": answer.today.isoformat(),
            "nights": [night.isoformat() for night in answer.nights],
            "at_risk": [risk_json(row) for row in answer.rows],
            "nearest": None if answer.nearest is None else risk_json(answer.nearest),
            "standing": answer.standing,
            "cautions": list(answer.cautions),
        }
    )
