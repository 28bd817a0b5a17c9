"""What a plan near the plan in force does otherwise, as a list to act on."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import fields
from datetime import date

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.files.write import plan_as_json
from propsched.report.layout import add, grid, heading, points
from propsched.report.machine import as_csv, as_json, record
from propsched.report.tables import headline
from propsched.report.words import clean, day_text, percent_up
from propsched.service.differences import Difference
from propsched.service.replan import Beside, Replanned

DIFFERENCE_KEYS = tuple(f.name for f in fields(Difference))
PROVEN = 1e-9
"""A gap below this is rounding."""
BESIDE_KEYS = tuple(f.name for f in fields(Beside))


def replan_report(answer: Replanned) -> Group:
    """Headline, what was supposed, the differences, what to look at and to note."""
    plan = answer.outcome.plan
    currency = answer.outcome.season.heat.currency
    parts: list[RenderableType] = [Text(headline(plan, currency), style="bold")]
    if plan.assumed:
        parts.append(Text(clean("Supposed: " + "; ".join(plan.assumed) + ".")))
    if answer.before is None:
        parts.append(Text("There was no plan in force: planned from nothing."))
    parts.append(Text(_saved(answer)))
    rows = answer.differences.rows
    if rows:
        parts += [heading("What is to be done otherwise"), _table(rows)]
    if answer.before is not None:
        parts += [Text(""), *_counts(answer)]
    known = () if answer.before is None else answer.before.warnings
    new = [line for line in plan.warnings if not _told_before(line, known)]
    if new:
        parts += [heading("Look at"), *points(new, "!")]
    if answer.to_note:
        parts += [
            heading("So that the next plan knows of it"),
            *points(answer.to_note, "·"),
        ]
    return Group(*parts)


def _told_before(line: str, known: Iterable[str]) -> bool:
    """Whether it was told already, of these batches or of more."""
    head, _, named = line.partition(": ")
    return any(
        line == old
        or (old.startswith(f"{head}: ") and {*named.split(", ")} <= _named(old))
        for old in known
    )


def _named(line: str) -> set[str]:
    return {*line.partition(": ")[2].split(", ")}


def _saved(answer: Replanned) -> str:
    if not answer.saved:
        return "Nothing was saved: the plan in force stands."
    old = "" if answer.before is None else ", the one before as plan.previous.json"
    return f"Saved as plan.json{old}."


def _table(rows: tuple[Difference, ...]) -> RenderableType:
    """A row a difference; batches of which the same is to be said share one."""
    shared: dict[tuple[date, str, str, str], list[str]] = defaultdict(list)
    for row in rows:
        name = row.batch or row.to_space
        shared[row.act, row.kind, row.what, row.reason].append(name)
    table, before = grid("act by", "", "batch", "what, and why"), None
    for (act, kind, what, reason), names in shared.items():
        day = f"{act:%a} {day_text(act)}"
        why = f" – {reason}" if reason else ""
        add(table, "" if act == before else day, kind, ", ".join(names), what + why)
        before = act
    return table


def _counts(answer: Replanned) -> Iterator[RenderableType]:
    found, near = answer.differences, answer.near
    batches = "1 batch" if found.unchanged == 1 else f"{found.unchanged} batches"
    yield Text(f"Unchanged: {batches}. {_weighed(near)}.")
    if answer.afresh is not None:
        yield Text(f"Planned from nothing instead: {_weighed(answer.afresh)}.")


def _weighed(one: Beside) -> str:
    total = one.changed_placements + one.kept_placements
    near = "proven the best"
    if one.gap >= PROVEN:
        near = f"within {percent_up(one.gap)} of the best"
    return (
        f"{one.changed_placements} of {total} placements to come differ; worth "
        f"{one.worth:.2f}, {near} of its kind"
    )


def replan_csv(answer: Replanned) -> str:
    return as_csv(
        DIFFERENCE_KEYS,
        [record(DIFFERENCE_KEYS, row) for row in answer.differences.rows],
    )


def replan_json(answer: Replanned) -> str:
    found = answer.differences
    return as_json(
        {
            "saved": answer.saved,
            "supposed": list(answer.outcome.plan.assumed),
            "differences": [record(DIFFERENCE_KEYS, row) for row in found.rows],
            "unchanged": found.unchanged,
            "near": record(BESIDE_KEYS, answer.near),
            "afresh": None
            if answer.afresh is None
            else record(BESIDE_KEYS, answer.afresh),
            "to_note": list(answer.to_note),
            "plan": json.loads(plan_as_json(answer.outcome.plan)),
        }
    )
