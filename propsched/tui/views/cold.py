"""The page for what might come: what is supposed, what it changes, the next nights."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from propsched.report.words import clean
from propsched.tui.views.marked import Line
from propsched.tui.views.nights import night_lines
from propsched.tui.views.supposing import LABELS, Field, Supposing, value_text
from propsched.tui.views.tried import accepted_lines, tried_lines

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

Showing = Literal["nothing", "form", "busy", "tried", "accepted"]


@dataclass(frozen=True, slots=True)
class FieldView:
    name: Field
    label: str
    value: str
    here: bool
    """It has the cursor."""

    @property
    def text(self) -> str:
        mark = "▸" if self.here else " "
        return f"{mark} {self.label:<10} {self.value}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdView:
    showing: Showing
    title: str = ""
    fields: tuple[FieldView, ...] = ()
    refused: str = ""
    body: tuple[Line, ...] = ()
    hint: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """The same as plain lines."""
        told = (
            self.title,
            *(field.text for field in self.fields),
            self.refused,
            *(line.text for line in self.body),
            self.hint,
        )
        return tuple(line for line in told if line.strip())


def cold_view(desk: "Desk", now: Supposing | None, *, width: int = 80) -> ColdView:
    """
    Build the view.

    Parameters
    ----------
    now : Supposing, optional
        What is chosen; None before anything was read.
    width : int
        Columns of the body.
    """
    if now is None or desk.opened is None or desk.opened.plan is None:
        nights = () if desk.opened is None else tuple(night_lines(desk.nights))
        return ColdView(showing="nothing", title=_nothing(desk), body=nights)
    if desk.planning.busy:
        return ColdView(
            showing="busy",
            title=f"{clean(desk.planning.what)} …",
            body=(
                Line("The line at the bottom tells how far it is; escape stops it."),
                Line(),
                *night_lines(desk.nights),
            ),
        )
    if desk.tried is not None:
        supposed = "; ".join(desk.tried.outcome.plan.assumed) or "nothing otherwise"
        return ColdView(
            showing="tried",
            title=f"What if: {clean(supposed)}",
            body=tuple(tried_lines(desk.tried, width)),
            hint="a puts this plan in force · l leaves it, nothing is changed",
        )
    if desk.accepted is not None:
        return ColdView(
            showing="accepted",
            title="Accepted",
            body=tuple(accepted_lines(desk.accepted)),
            hint="l: try something else",
        )
    return ColdView(
        showing="form",
        fields=tuple(
            FieldView(field, LABELS[field], value_text(now, field), field == now.field)
            for field in now.fields
        ),
        refused=now.refused,
        body=tuple(night_lines(desk.nights)),
        hint="↑ ↓ line · ← → or digits change it · enter tries it, nothing is saved",
    )


def _nothing(desk: "Desk") -> str:
    if desk.opened is None:
        if desk.problems:
            return "The files have faults, so nothing can be tried: x shows them."
        return "Reading the files …"
    if not desk.opened.whole:
        return (
            "There is nothing to raise yet, so cold would change nothing: write rows "
            "into batches.csv, then p plans."
        )
    if desk.planning.busy:
        return "The plan is being made; then it can be tried out against cold."
    return (
        "There is no plan yet to try out against cold: p plans (or propsched plan "
        "SEASON)."
    )
