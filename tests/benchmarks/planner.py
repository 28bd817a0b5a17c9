"""
How good, how soon: the planner beside its rivals on invented seasons.

    python -m benchmarks.planner [--time-limit S] [--seed N] [--rivals] [SIZE ...]

from the tests folder; a size is batches×spaces, such as 60x8, with w for moves at
weekends only, h for two spaces heated by the week and a bed whose making up is open,
and the fullness after a colon: 60x8w:0.7.
"""

import argparse
import os
import re
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.rivals import RivalPlan, highs, rule_of_thumb
from benchmarks.seasons import Invented, invented_season

from propsched.optimise.check import check
from propsched.optimise.problem import Solution
from propsched.optimise.progress import Progress
from propsched.optimise.solve import solve

SIZES = ("20x6", "60x8", "60x8w", "60x8h", "60x8wh", "200x12")


def season(size: str, seed: int) -> Invented:
    """The season a size stands for."""
    found = re.fullmatch(r"(\d+)x(\d+)(w?)(h?)(?::([\d.]+))?", size)
    if found is None:
        raise SystemExit(f"{size}: a size is batches×spaces, such as 60x8 or 60x8w:0.7")
    batches, spaces, weekends, switched, fullness = found.groups()
    return invented_season(
        int(batches),
        int(spaces),
        seed=seed,
        weekends=bool(weekends),
        switched=bool(switched),
        fullness=float(fullness or 0.5),
    )


def _planner(invented: Invented, limit_s: float, gap: float) -> None:
    problem = invented.problem
    told: list[Progress] = []
    began = time.perf_counter()
    solution = solve(problem, time_limit_s=limit_s, gap=gap, emit=told.append)
    seconds = time.perf_counter() - began
    faults = check(problem, solution)
    first = told[0]
    _line(
        "routes",
        solution.worth,
        solution.bound,
        seconds,
        f"first {first.worth / 1e4:.2f} after {first.elapsed_s:.2f} s, bound after "
        f"{solution.seconds.get('bound', 0.0):.2f} s, {len(solution.routes)} placed, "
        + (f"FAULTS: {faults}" if faults else "checked"),
    )


def _line(
    name: str, worth: float | None, bound: float | None, seconds: float, note: str
) -> None:
    shown = "–" if worth is None else f"{worth / 1e4:.3f}"
    limit = "–" if bound is None or not np.isfinite(bound) else f"{bound / 1e4:.3f}"
    gap = "–"
    if worth is not None and bound is not None and np.isfinite(bound):
        gap = f"{100 * (bound - worth) / max(1e4, abs(bound)):.2f} %"
    print(f"  {name:14} {shown:>10} {limit:>10} {gap:>9} {seconds:8.2f} s  {note}")


def _rivals(invented: Invented, limit_s: float, gap: float) -> None:
    problem = invented.problem
    thumb = rule_of_thumb(problem, invented.warmth)
    _line("rule of thumb", thumb.worth, None, thumb.seconds, _checked(invented, thumb))
    mip = highs(problem, limit_s, gap, threads=2)
    _line("HiGHS MIP", mip.worth, mip.bound, mip.seconds, "")


def _checked(invented: Invented, plan: RivalPlan) -> str:
    """The plan past the same checker, with no prices and so no bound of its own."""
    problem = invented.problem
    solution = Solution(
        routes=plan.routes,
        worth=int(plan.worth or 0),
        bound=2**60,
        status="time limit",
        area_price=np.zeros(problem.capacity.shape),
        minute_price=np.zeros(problem.days),
    )
    faults = [fault for fault in check(problem, solution) if "bound" not in fault]
    return f"{len(plan.routes)} placed, " + (
        f"FAULTS: {faults}" if faults else "checked"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", default=list(SIZES))
    parser.add_argument("--time-limit", type=float, default=10.0)
    parser.add_argument("--gap", type=float, default=0.0005)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rivals", action="store_true")
    asked = parser.parse_args()
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")
    print(f"  {'':14} {'worth':>10} {'bound':>10} {'gap':>9} {'time':>10}")
    for size in asked.sizes:
        invented = season(size, asked.seed)
        print(f"{size}: {invented.problem.days} days")
        _planner(invented, asked.time_limit, asked.gap)
        if asked.rivals:
            _rivals(invented, asked.time_limit, asked.gap)


if __name__ == "__main__":
    main()
