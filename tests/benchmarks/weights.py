"""
What doubling each weight does to the plan of the walled garden.

    python tests/benchmarks/weights.py [--seconds 15]

Prints rows for the README: a plan with every weight as it is, then one for each weight
that is doubled (``quantile`` from 0.8 to 0.9). ``change`` is tried on a fall of 8 °C
for six days in January, with the plan as it is in force. Heat has a table of its own,
``heat_for_plants.py``.
"""

import argparse
import tempfile
import threading
from datetime import date
from pathlib import Path

from garden_plans import GAP, TODAY, figures, folder_with, planned

from propsched.domain.plan import Plan
from propsched.domain.season import Weights
from propsched.files.write import write_plan
from propsched.service.change import Change
from propsched.service.replan import Beside, replan
from propsched.service.request import Request
from propsched.thermal.snap import Spell

TRIED = {
    "late_per_week": 0.1,
    "early_per_week": 0.02,
    "move": 0.04,
    "standing_over": 1.0,
    "quantile": 0.9,
}
CHANGES = (0.0, 0.1, 0.2)
SNAP = Spell(first=date(2027, 1, 12), days=6, drop_k=8.0)


def plan_with(weights: dict[str, float], seconds: float) -> Plan:
    with tempfile.TemporaryDirectory() as where:
        return planned(folder_with(Path(where), weights), seconds)


def after_snap(plan: Plan, weight: float, seconds: float) -> Beside:
    """The season planned again near the plan, were it to turn cold."""
    with tempfile.TemporaryDirectory() as where:
        folder = folder_with(Path(where), {"change": weight})
        write_plan(folder, plan)
        request = Request(
            folder=folder, today=TODAY, save=False, time_limit_s=seconds, gap=GAP
        )
        return replan(
            request,
            lambda event: None,
            threading.Event(),
            change=Change(cold=(SNAP,)),
        ).near


def row(name: str, plan: Plan) -> str:
    told = figures(plan)
    return (
        f"| {name} | {told.raised} | {100 * told.share:.1f} % | {told.late} "
        f"| {told.early} | {told.moves} | {told.over} | {told.booked:.1f} "
        f"| {100 * plan.gap:.1f} % |"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=15.0, help="of each search")
    seconds = parser.parse_args().seconds
    print(
        "| weight | batches | plants | days late | days early | moves | standing over "
        "| booked after median, days | gap |"
    )
    print("|---" * 9 + "|")
    usual = plan_with({}, seconds)
    print(row("as it is", usual), flush=True)
    for name, value in TRIED.items():
        was = getattr(Weights(), name)
        plan = plan_with({name: value}, seconds)
        print(row(f"`{name}` {was:g} → {value:g}", plan), flush=True)
    print("\n| `change` | placements to come that differ | worth | gap |")
    print("|---|---|---|---|")
    for value in CHANGES:
        near = after_snap(usual, value, seconds)
        total = near.changed_placements + near.kept_placements
        print(
            f"| {value:g} | {near.changed_placements} of {total} | {near.worth:.2f} "
            f"| {100 * near.gap:.1f} % |",
            flush=True,
        )


if __name__ == "__main__":
    main()
