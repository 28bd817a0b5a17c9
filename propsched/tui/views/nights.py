"""The next nights: what is at risk, how likely, and what helps."""

from collections.abc import Iterator
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from propsched.report.words import clean, day_text
from propsched.tui.views.marked import Line
from propsched.tui.views.sitting import tenths

if TYPE_CHECKING:
    from propsched.service.at_risk import Risk
    from propsched.service.tonight import TonightAnswer


def night_lines(answer: "TonightAnswer | None") -> Iterator[Line]:
    """Night by night, greatest loss first; or how far off harm is."""
    if answer is None:
        yield Line("Reckoning the next nights …")
        return
    first, last = answer.nights[0], answer.nights[-1]
    span = f"nights of {day_text(first)} to {day_text(last)}"
    if not answer.rows:
        yield Line(f"Nothing is at risk, {span}", "head")
        yield Line(_nearest(answer))
        return
    number = len({row.batch for row in answer.rows})
    batches = "1 batch" if number == 1 else f"{number} batches"
    yield Line(f"At risk, {span}: {batches}", "head")
    for night, rows in groupby(answer.rows, key=lambda row: row.night):
        yield Line(_named(night, answer.today), "head")
        for row in rows:
            yield from risk_lines(row)
    for caution in answer.cautions:
        yield Line(f"! {clean(caution)}")


def _named(night: date, today: date) -> str:
    if night == today:
        return "Tonight"
    return f"Night of {night:%a} {day_text(night)}"


def risk_lines(row: "Risk") -> Iterator[Line]:
    """Who, how cold, how likely; below it what helps."""
    # loaded with the answer that the row is of, and not before
    from propsched.service.protect import chance, harm_text, helps_text

    planned = " (by the plan)" if row.planned else ""
    yield Line(
        f"! {clean(row.batch)} in {clean(row.space)}{planned}: "
        f"{chance(row.probability)} likely – {tenths(row.expected_c)} °C "
        f"({tenths(row.low_c)} to {tenths(row.high_c)}), {minus(harm_text(row))}",
        "warning",
    )
    yield Line(f"  → {clean(helps_text(row))}")


def minus(text: str) -> str:
    """With the sign that figures have on the pages."""
    return text.replace(" -", " −")


def _nearest(answer: "TonightAnswer") -> str:
    near = answer.nearest
    if near is None:
        if not answer.standing:
            return "Nothing stands anywhere by daybook and plan."
        return "Cold does not harm what stands out."
    from propsched.service.protect import harm_text

    harm = minus(harm_text(near))
    return (
        f"Nearest: {clean(near.batch)} in {clean(near.space)}, {harm}; "
        f"expected {tenths(near.expected_c)} °C ({tenths(near.low_c)} to "
        f"{tenths(near.high_c)})."
    )
