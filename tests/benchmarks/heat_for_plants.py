"""
Plans of the walled garden between little heat and many plants.

    python tests/benchmarks/heat_for_plants.py [--seconds 20]

Bench and propagator are left to the plan by the week and holly is not pinned to the
bench, at several weights of a unit of currency spent on heat. Prints rows for the
README. The weight changes what a plan is worth, so what is compared is the worth but
for heat: plants, lateness and moves.
"""

import argparse
import tempfile
from pathlib import Path

from garden_plans import figures, folder_with, heat_cost, planned

from propsched.domain.plan import Plan

WEIGHTS = (0.0, 0.02, 0.05, 0.1, 0.3, 1.0, 3.0)
"""Lost per unit of currency; 0.05 is the default."""
AS_IT_IS = 0.05
PRIORITIES = (5, 4, 3, 2, 1)


def plan_at(weight: float, seconds: float, *, by_week: bool) -> Plan:
    with tempfile.TemporaryDirectory() as where:
        folder = folder_with(Path(where), {"heat_per_unit": weight}, by_week=by_week)
        return planned(folder, seconds)


def weeks(plan: Plan, space: str) -> float:
    days = [(r.end - r.start).days + 1 for r in plan.heat if r.space == space]
    return sum(days) / 7


def row(name: str, plan: Plan) -> str:
    told = figures(plan)
    shares = " | ".join(f"{100 * told.by_priority[p]:.0f} %" for p in PRIORITIES)
    stock = plan.worth - plan.terms["heat"]
    return (
        f"| {name} | £{heat_cost(plan):.2f} | {weeks(plan, 'bench'):.0f} "
        f"| {weeks(plan, 'propagator'):.0f} | {told.raised} | {shares} "
        f"| {stock:.2f} | {100 * plan.gap:.1f} % |"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0, help="of each search")
    seconds = parser.parse_args().seconds
    priorities = " | ".join(f"{p}" for p in PRIORITIES)
    print(
        "| `heat_per_unit` | heat | bench, weeks | propagator, weeks | batches "
        f"| plants, priority {priorities} | worth but for heat | gap |"
    )
    print("|---" * (7 + len(PRIORITIES)) + "|")
    plan = plan_at(AS_IT_IS, seconds, by_week=False)
    print(row(f"{AS_IT_IS:g}, always on", plan), flush=True)
    for weight in WEIGHTS:
        plan = plan_at(weight, seconds, by_week=True)
        print(row(f"{weight:g}", plan), flush=True)


if __name__ == "__main__":
    main()
