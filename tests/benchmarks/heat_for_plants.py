"""
Plans of the walled garden between little heat and many plants.

    python tests/benchmarks/heat_for_plants.py [--seconds 20]

Bench and propagator are left to the plan by the week, at several weights of a unit of
currency spent on heat. The weight changes what a plan is worth, so worths of the rows
do not compare; heat and plants do.
"""

import argparse
import shutil
import tempfile
import threading
from datetime import date
from pathlib import Path

from propsched.domain.plan import Plan
from propsched.service.planner import make_plan
from propsched.service.request import Request

GARDEN = Path(__file__).resolve().parents[2] / "examples" / "walled-garden"
TODAY = date(2026, 11, 15)
WEIGHTS = (0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 5.0)
"""Lost per unit of currency; 0.05 is the default."""


def season(weight: float | None) -> str:
    """The garden's season with heat by the week, or as it is."""
    text = (GARDEN / "season.toml").read_text(encoding="utf-8")
    if weight is None:
        return text
    text = text.replace("heat = { set_c", 'heat = { when = "by-week", set_c')
    return text.replace(
        "[[probe]]", f"[weights]\nheat_per_unit = {weight}\n\n[[probe]]"
    )


def planned(weight: float | None, seconds: float) -> Plan:
    with tempfile.TemporaryDirectory() as where:
        folder = Path(where) / "garden"
        shutil.copytree(GARDEN, folder)
        (folder / "season.toml").write_text(season(weight), encoding="utf-8")
        request = Request(
            folder=folder, today=TODAY, save=False, time_limit_s=seconds, gap=0.001
        )
        return make_plan(request, lambda event: None, threading.Event()).plan


def weeks(plan: Plan, space: str) -> float:
    days = [(r.end - r.start).days + 1 for r in plan.heat if r.space == space]
    return sum(days) / 7


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0, help="of each search")
    seconds = parser.parse_args().seconds
    print(
        "| heat_per_unit | heat | bench, weeks | propagator, weeks "
        "| batches | plants expected | worth but for heat | gap |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for weight in (None, *WEIGHTS):
        plan = planned(weight, seconds)
        cost = sum(run.cost for run in plan.heat)
        plants = sum(batch.plants_expected for batch in plan.batches)
        stock = plan.worth - plan.terms["heat"]
        name = "0.05, as the file has it" if weight is None else f"{weight:g}"
        print(
            f"| {name} | £{cost:.2f} | {weeks(plan, 'bench'):.0f} "
            f"| {weeks(plan, 'propagator'):.0f} | {len(plan.batches)} "
            f"| {plants:.0f} | {stock:.2f} | {100 * plan.gap:.1f} % |",
            flush=True,
        )


if __name__ == "__main__":
    main()
