"""
Seconds of each part of ``plan`` on a season.

    python tests/benchmarks/plan_parts.py examples/walled-garden
"""

import sys
import threading
import time
from datetime import date
from pathlib import Path

TODAY = date(2026, 11, 15)
"""The example's own day; other seasons take it as far as it lies inside."""
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples/walled-garden"
    began = time.perf_counter()
    from propsched.optimise.check import check
    from propsched.optimise.solve import solve
    from propsched.service.planner import LEAST_LIMIT_S, write_out
    from propsched.service.prepare import prepare
    from propsched.service.request import Request

    rows = [("import libraries", time.perf_counter() - began)]
    request = Request(folder=folder, today=TODAY, save=False)
    ready = prepare(request, lambda event: None)
    rows += ready.seconds.items()

    first: list[float] = []
    start = time.perf_counter()

    def note(_: object) -> None:
        first.append(time.perf_counter() - start)

    solution = solve(
        ready.problem,
        seed=0,
        time_limit_s=LEAST_LIMIT_S,
        gap=request.gap,
        emit=note,
        cancel=threading.Event(),
    )
    rows.append(("solve", time.perf_counter() - start))
    start = time.perf_counter()
    faults = check(ready.problem, solution)
    rows.append(("check", time.perf_counter() - start))
    start = time.perf_counter()
    outcome = write_out(request, ready, solution)
    rows.append(("explain and write out", time.perf_counter() - start))

    print("| part | seconds |\n|---|---|")
    for name, seconds in rows:
        print(f"| {name} | {seconds:.2f} |")
    print(f"| **all** | **{sum(s for _, s in rows):.2f}** |")
    plan = outcome.plan
    print(
        f"\n{len(ready.problem.tasks)} batches, "
        f"{len(ready.problem.space_of)} variants, {ready.problem.days} days: "
        f"{plan.status}, worth {plan.worth:.3f}, bound {plan.bound:.3f}, "
        f"gap {plan.gap:.3%}, first plan after {first[0] if first else 0:.2f} s, "
        f"faults: {len(faults)}"
    )


if __name__ == "__main__":
    main()
