"""What a try-out would change: before and after side by side, and why."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from propsched.report.words import clean, day_text, money, percent_up
from propsched.tui.views.marked import Line

if TYPE_CHECKING:
    from propsched.domain.plan import Plan
    from propsched.service.differences import Difference
    from propsched.service.replan import Replanned

SIDE_BY_SIDE = 70
"""Columns from which before and after stand in columns."""
PROVEN = 1e-9
"""A gap below this is rounding."""


def tried_lines(answer: "Replanned", width: int) -> Iterator[Line]:
    """All that a try-out answers, most telling first."""
    yield Line(_counts(answer), "head")
    yield from _beside(answer)
    rows = answer.differences.rows
    protect = [row for row in rows if row.kind == "protect"]
    if protect:
        yield Line()
        yield Line("To protect", "head")
        for row in protect:
            yield Line(f"! {clean(row.batch)}: {clean(row.what)}", "warning")
            yield Line(f"  → {clean(row.reason)}")
    others = [row for row in rows if row.kind != "protect"]
    if others:
        yield Line()
        yield from _table(others, width)
    yield from _look_at(answer)


def _counts(answer: "Replanned") -> str:
    """``1 delayed, 1 given up, 1 to protect; 7 batches unchanged``."""
    kinds = Counter(row.kind for row in answer.differences.rows)
    parts = [
        f"{number} to protect" if kind == "protect" else f"{number} {kind}"
        for kind, number in kinds.items()
    ]
    unchanged = answer.differences.unchanged
    same = "1 batch unchanged" if unchanged == 1 else f"{unchanged} batches unchanged"
    if not parts:
        return f"Nothing is to be done otherwise; {same}"
    return f"{', '.join(parts)}; {same}"


def _beside(answer: "Replanned") -> Iterator[Line]:
    """Figures of the plan in force beside those of the one tried."""
    after, before = answer.outcome.plan, answer.before
    near = answer.near
    total = near.changed_placements + near.kept_placements
    currency = answer.outcome.season.heat.currency
    figures = (
        ("plants expected", _plants(before), _plants(after)),
        ("batches raised", _raised(before), _raised(after)),
        ("heat to come", _heat(before, currency), _heat(after, currency)),
        ("worth", None if before is None else f"{before.worth:.2f}",
         f"{near.worth:.2f}"),
    )  # fmt: skip
    told = [f"{name} {old or '–'} → {new or '–'}" for name, old, new in figures]
    yield Line(
        f"{near.changed_placements} of {total} placements to come change. "
        f"Before → after: {', '.join(told)}."
    )
    proven = "the best of its kind"
    if near.gap >= PROVEN:
        proven = f"within {percent_up(near.gap)} of the best of its kind"
    yield Line(
        f"The plan tried is {proven}; its worth is told without what changes cost.",
        "muted",
    )


def _plants(plan: "Plan | None") -> str | None:
    if plan is None:
        return None
    return f"{sum(one.plants_expected for one in plan.batches):.0f}"


def _raised(plan: "Plan | None") -> str | None:
    return None if plan is None else str(len(plan.batches))


def _heat(plan: "Plan | None", currency: str) -> str | None:
    if plan is None:
        return None
    costs = [
        run.cost if run.cost_to_come is None else run.cost_to_come for run in plan.heat
    ]
    return money(sum(costs), currency)


def _table(rows: Sequence["Difference"], width: int) -> Iterator[Line]:
    wide = width >= SIDE_BY_SIDE
    if wide:
        yield Line(f"{'act by':<11}{'':<10}{'batch':<16}{'before':<18}after", "head")
    else:
        yield Line("What is to be done otherwise", "head")
    for row in rows:
        name = clean(row.batch or row.to_space or row.from_space)
        old = _place(row.from_space, row.from_date)
        new = _place(row.to_space, row.to_date)
        act = f"{row.act:%a} {day_text(row.act)}"
        if wide:
            yield Line(f"{act:<11}{row.kind:<10}{name:<15.15} {old:<17.17} {new}")
        else:
            yield Line(f"{act}: {name} {row.kind}")
            if old != new:
                yield Line(f"  {old} → {new}")
        why = f" – {clean(row.reason)}" if row.reason else ""
        yield Line(f"  {clean(row.what)}{why}", "muted")


def _place(space: str, day: date | None) -> str:
    if not space:
        return "–"
    return clean(space) if day is None else f"{clean(space)} {day_text(day)}"


def _look_at(answer: "Replanned") -> Iterator[Line]:
    known = () if answer.before is None else answer.before.warnings
    new = [line for line in answer.outcome.plan.warnings if line not in known]
    for line in (*new, *answer.notes):
        yield Line(f"! {clean(line)}", "warning")


def accepted_lines(answer: "Replanned") -> Iterator[Line]:
    """What was written, and what is still to be noted elsewhere."""
    supposed = "; ".join(answer.outcome.plan.assumed)
    yield Line(f"In force: the plan with {clean(supposed)}.", "good")
    old = "" if answer.before is None else "; the one before is plan.previous.json"
    yield Line(f"Written: plan.json{old}. No other file was touched.")
    yield Line()
    yield Line("So that the next plan knows of it too", "head")
    for line in answer.to_note:
        yield Line(f"· {clean(line)}")
    yield Line("· cold that is forecast: rows of kind forecast in weather.csv")
    yield Line(f"· {_counts(answer)}: j has the jobs")
