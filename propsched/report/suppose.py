"""What another garden would be worth, for people and for programs."""

import json
from collections.abc import Iterator
from dataclasses import fields

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.domain.plan import Plan
from propsched.files.write import plan_as_json
from propsched.report.layout import add, grid, heading
from propsched.report.machine import as_csv, as_json, record
from propsched.report.words import clean, day_text, money, percent_up
from propsched.service.gained import Effect
from propsched.service.suppose import Supposed, TrayPlace, TrayPlaces

EFFECT_KEYS = tuple(f.name for f in fields(Effect))
PLACE_KEYS = ("space", "worth", "heat")
LEAST = 0.005
"""A worth below this is shown as none."""
ROOMY = "Nothing anywhere: no space is short of room."
UNIT = "1 is all plants of a priority-1 batch, ready on time."


def suppose_report(answer: Supposed) -> Group:
    """The worth with its range, what the prices said, who fares otherwise."""
    parts: list[RenderableType] = [
        Text(headline(answer), style="bold"),
        Text(clean("Supposed: " + "; ".join(answer.supposed) + ".")),
        *_around(answer),
    ]
    if answer.rows:
        parts += [heading("What would come of it"), _effects(answer)]
    else:
        parts.append(Text("No batch would fare otherwise."))
    parts.append(Text("Nothing was saved."))
    return Group(*parts)


def headline(answer: Supposed) -> str:
    """``Worth 1.24 more: between 0.60 and 1.90, as far as proven``."""
    low, high = answer.worth_least, answer.worth_most
    said = _more(answer.worth)
    if high - low < LEAST:
        return f"{said}, proven"
    text = f"{said}: between {low:+.2f} and {high:+.2f} as far as both plans are proven"
    if low < -LEAST and high > LEAST:
        text += ", so it may be nothing; a longer --time-limit tells more"
    return text


def _more(worth: float) -> str:
    if abs(worth) < LEAST:
        return "Worth nothing"
    return f"Worth {abs(worth):.2f} {'more' if worth > 0 else 'less'}"


def _around(answer: Supposed) -> Iterator[RenderableType]:
    if answer.estimate is not None:
        yield Text(
            f"First estimate, by what room is worth in the plan as it is: "
            f"{answer.estimate:+.2f}."
        )
    if abs(answer.heat) >= 0.01:
        word = "more" if answer.heat > 0 else "less"
        cost = money(abs(answer.heat), answer.currency)
        yield Text(f"Heat costs {cost} {word}, which is counted in.")
    yield Text(
        f"As it is {_plan(answer.as_is)}; as supposed {_plan(answer.as_supposed)}."
    )
    near = " Both are kept near the plan in force (--afresh forgets it)."
    yield Text(UNIT + (near if answer.near else ""))


def _plan(plan: Plan) -> str:
    near = "proven the best"
    if plan.gap >= 1e-9:
        near = f"within {percent_up(plan.gap)} of the best"
    return f"{len(plan.batches)} batches placed, worth {plan.worth:.2f}, {near}"


def _effects(answer: Supposed) -> RenderableType:
    table = grid("", "batch", "what", "worth", right=("worth",))
    for row in answer.rows:
        worth = "" if row.worth is None else f"{row.worth:+.2f}"
        add(table, row.kind, row.batch or row.space, row.what, worth)
    return table


def suppose_csv(answer: Supposed) -> str:
    """Who fares otherwise; the worth is in the JSON."""
    return as_csv(EFFECT_KEYS, [record(EFFECT_KEYS, row) for row in answer.rows])


def suppose_json(answer: Supposed) -> str:
    keys = ("worth", "worth_least", "worth_most", "estimate", "heat", "near")
    return as_json(
        {
            "supposed": list(answer.supposed),
            **record(keys, answer),
            "effects": [record(EFFECT_KEYS, row) for row in answer.rows],
            "as_is": json.loads(plan_as_json(answer.as_is)),
            "as_supposed": json.loads(plan_as_json(answer.as_supposed)),
        }
    )


def places_report(answer: TrayPlaces) -> Group:
    """The spaces, dearest first, with the weeks in which they are short of room."""
    table = grid("space", "worth", "heat", "short of room", right=("worth", "heat"))
    for row in answer.rows:
        worth = "–" if row.worth < LEAST else f"{row.worth:.2f}"
        heat = money(row.heat, answer.currency) if row.heat else ""
        add(table, row.space, worth, heat, _runs(row))
    near = " Kept near the plan in force (--afresh forgets it)." if answer.near else ""
    head = Text("What one more standard tray would be worth from here on", style="bold")
    roomy = all(row.worth < LEAST for row in answer.rows)
    return Group(
        head,
        Text(ROOMY) if roomy else table,
        Text(
            f"{UNIT} A first estimate, by the prices of a plan with "
            f"{_plan(answer.plan)}; --more SPACE=1tray plans it.{near}"
        ),
    )


def _runs(row: TrayPlace) -> str:
    return ", ".join(f"{day_text(a)} – {day_text(b)}" for a, b in row.weeks)


def places_csv(answer: TrayPlaces) -> str:
    return as_csv(
        (*PLACE_KEYS, "weeks"),
        [
            {
                **record(PLACE_KEYS, row),
                "weeks": "; ".join(f"{a} to {b}" for a, b in row.weeks),
            }
            for row in answer.rows
        ],
    )


def places_json(answer: TrayPlaces) -> str:
    return as_json(
        {
            "spaces": [
                {
                    **record(PLACE_KEYS, row),
                    "weeks": [
                        {"from": a.isoformat(), "to": b.isoformat()}
                        for a, b in row.weeks
                    ],
                }
                for row in answer.rows
            ],
            "near": answer.near,
            "gap": round(answer.plan.gap, 6),
        }
    )
