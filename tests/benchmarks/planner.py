"""
How good, how soon: the planner beside its rivals on invented seasons.

    python tests/benchmarks/planner.py --table [--rows 1,3] [--long]
    python tests/benchmarks/planner.py [--time-limit S] [--seed N] [--rivals] SIZE ...

The first prints the whole table, in less than 25 minutes; rows are counted from 1.
A size is batches×spaces, such as 60x8, with w for moves at weekends only, h for two
spaces heated by the week and a bed whose making up is open, and the fullness after a
colon: 60x8w:0.7.

Each method runs by itself, in a process of its own, with two threads and the same
time; the time it takes to write down a model counts, inventing the season and
checking the plan do not.  Rivals that take one are given the planner's own first
plan to start from.
"""

import argparse
import os
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.cases import Case
from benchmarks.methods import METHODS
from benchmarks.shown import print_beside, print_head, print_trials
from benchmarks.trial import Trial, run_trial

from propsched.optimise.problem import WORTH_SCALE

PLANNER, *RIVALS = METHODS
SIZES = ("20x6", "60x8", "60x8w", "60x8h", "60x8wh", "200x12")


@dataclass(frozen=True)
class Row:
    """A season of the table, the time each method has, and what must be reached."""

    size: str
    limit_s: float
    must: str
    snap: bool = False
    rival_s: float | None = None
    """Less time for the rivals, where all of them together would take too long."""


TABLE = (
    Row("60x8", 10.0, "first plan 1 s; 0.2 % in 10 s"),
    Row("60x8h", 60.0, "first plan 2 s; 1 % in 60 s"),
    Row("200x12", 45.0, "first plan 2 s; 0.5 % in 45 s"),
    Row("600x20w", 120.0, "first plan 5 s; 1 % in 120 s"),
    Row("2000x30w", 120.0, "first plan 15 s; 5 % in 600 s", rival_s=90.0),
    Row("60x8", 5.0, "0.5 % in 5 s", snap=True),
)
LONG_S = 600.0
FULLNESS, FULL_SEEDS, FULL_S = (0.3, 0.5, 0.7), (1, 2, 3), 10.0
BEFORE_S, BEFORE_GAP = 20.0, 0.002
"""For the plan that was in force before a snap."""


def run_row(row: Row, seed: int, gap: float, *, rivals: bool, clock: float) -> None:
    """All methods on one season."""
    case = Case(row.size, seed)
    name = row.size
    if row.snap:
        name += " after a snap"
        before = run_trial(PLANNER, case, BEFORE_S, BEFORE_GAP, None)
        if before.final is None:
            print(f"{name}: no plan before it; {before.note}")
            return
        case = replace(case, old=before.final.routes)
    took = time.perf_counter() - clock
    print(f"\n{name}, {row.limit_s:g} s a method (must: {row.must}; {took:.0f} s gone)")
    print_head()
    ours = run_trial(PLANNER, case, row.limit_s, gap, None)
    trials = [ours]
    if rivals:
        limit_s = row.rival_s or row.limit_s
        for method in RIVALS:
            trials.append(run_trial(method, case, limit_s, gap, ours.first))
    print_trials(name, trials)
    if rivals:
        print_beside(trials)


def run_fullness(gap: float) -> None:
    """How full the spaces are decides the gap: the planner alone, three seeds each."""
    print(
        f"\n60x8 by fullness and seed, {FULL_S:g} s each, the planner alone: gap in %"
    )
    print("  fullness  " + "".join(f"{f'seed {seed}':>12}" for seed in FULL_SEEDS))
    for fullness in FULLNESS:
        cells = []
        for seed in FULL_SEEDS:
            case = Case(f"60x8:{fullness}", seed)
            cells.append(_cell(run_trial(PLANNER, case, FULL_S, gap, None)))
        print(f"  {fullness:<10}" + "".join(f"{cell:>12}" for cell in cells))


def _cell(trial: Trial) -> str:
    if trial.worth is None or trial.bound is None:
        return "–"
    gap = (trial.bound - trial.worth) / max(WORTH_SCALE, abs(trial.bound))
    return f"{100 * gap:.2f}" + (" FAULTS" if trial.faults else "")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("sizes", nargs="*", default=list(SIZES), metavar="SIZE")
    parser.add_argument("--table", action="store_true", help="the whole table")
    parser.add_argument(
        "--rows", default="", help=f"of it, 1 to {len(TABLE) + 1}: the last by fullness"
    )
    parser.add_argument(
        "--long",
        action="store_true",
        help="ten minutes a method for the nursery; about an hour in all",
    )
    parser.add_argument("--time-limit", type=float, help="for every row or size")
    parser.add_argument("--gap", type=float, default=0.0005)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rivals", action="store_true")
    asked = parser.parse_args()
    clock = time.perf_counter()
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")
    if not asked.table:
        limit_s = asked.time_limit or 10.0
        for size in asked.sizes:
            row = Row(size, limit_s, "–")
            run_row(row, asked.seed, asked.gap, rivals=asked.rivals, clock=clock)
        return
    rows = {int(n) for n in asked.rows.split(",") if n} or set(range(1, 9))
    for number, row in enumerate(TABLE, 1):
        if number not in rows:
            continue
        if asked.long and row.rival_s:
            row = replace(row, limit_s=LONG_S, rival_s=None)
        if asked.time_limit:
            row = replace(row, limit_s=asked.time_limit, rival_s=None)
        run_row(row, asked.seed, asked.gap, rivals=True, clock=clock)
    if len(TABLE) + 1 in rows:
        run_fullness(asked.gap)
    print(f"\n{time.perf_counter() - clock:.0f} s in all")


if __name__ == "__main__":
    main()
