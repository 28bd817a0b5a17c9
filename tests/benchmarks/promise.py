"""
Whether a plan keeps what it prints, in winters that it has not seen.

    python tests/benchmarks/promise.py examples/walled-garden [--today DATE]
        [--winters 200] [--quantile 0.8 0.65 …] [--seed 1000] [--seconds 10]

The season is planned over its own winters (25, seed 0), then carried out by the rule
of the garden in others, made from the site's monthly normals and by another seed; what
was observed so far is the same in all of them. Printed are, by stage, how many are
through by the booked end and have left by the printed latest end; by batch, how many
winters have it ready by the printed latest day, told of those whose latest day is three
days or more after the day half have it; and how often spaces hold more than their area.
"""

import argparse
import re
import shutil
import sys
import tempfile
import threading
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np  # noqa: E402
from benchmarks.kept import (  # noqa: E402
    BatchKept,
    Kept,
    StageKept,
    kept,
    of_uncertain,
)

from propsched.optimise.problem import AREA_SCALE  # noqa: E402
from propsched.service.planner import solved, write_out  # noqa: E402
from propsched.service.prepare import prepare  # noqa: E402
from propsched.service.request import Request  # noqa: E402

EXAMPLE_DAY = date(2026, 11, 15)
"""The walled garden's own day."""
WORST = 6
TRAY = 0.0912
"""Area of a standard tray. [m²]"""


def with_quantile(folder: Path, quantile: float, where: Path) -> Path:
    """The season with its lengths booked at another share of the winters."""
    copy = where / f"season-{quantile:g}"
    shutil.copytree(folder, copy)
    path = copy / "season.toml"
    text = re.sub(r"(?m)^quantile\s*=.*\n", "", path.read_text(encoding="utf-8"))
    line = f"quantile = {quantile}\n"
    if "[weights]\n" in text:
        text = text.replace("[weights]\n", f"[weights]\n{line}", 1)
    else:
        text = text.replace("[[space]]", f"[weights]\n{line}\n[[space]]", 1)
    path.write_text(text, encoding="utf-8")
    return copy


def played(request: Request, *, winters: int, seed: int) -> Kept:
    """Plan, and carry the plan out in other winters."""
    ready = prepare(request, lambda event: None)
    solution, ready = solved(request, ready, lambda event: None, threading.Event())
    plan = write_out(request, ready, solution).plan
    return kept(ready, solution, plan, winters=winters, seed=seed)


def told(found: Kept) -> str:
    lines = ["| stage | stays | through by the booked end | left by the latest end |"]
    lines.append("|---|---|---|---|")
    names = dict.fromkeys(stage.stage for stage in found.stages)
    for name in names:
        lines.append(_row(name, [s for s in found.stages if s.stage == name]))
    lines.append(_row("**all**", list(found.stages)))
    some = [s for s in found.stages if s.uncertain]
    lines.append(_row("all that the weather decides", some))
    return "\n".join(lines)


def _row(name: str, stages: list[StageKept]) -> str:
    if not stages:
        return f"| {name} | 0 | – | – |"
    by_end = np.mean([s.by_end for s in stages])
    by_latest = np.mean([s.by_latest for s in stages])
    return f"| {name} | {len(stages)} | {by_end:.1%} | {by_latest:.1%} |"


def of_batches(found: Kept) -> str:
    some = of_uncertain(found.batches)
    whole = np.mean([b.by_latest for b in found.batches]) if found.batches else 0.0
    error = [abs(b.median_error_d) for b in found.batches]
    lines = [f"all {len(found.batches)} batches: ready by their latest day {whole:.1%}"]
    lines.append(
        f"half by the printed day: median error {np.median(error):.1f} d, "
        f"greatest {max(error):.1f} d"
    )
    if some:
        share = np.mean([b.by_latest for b in some])
        at_once = np.mean([b.at_once for b in some])
        lines.append(
            f"the {len(some)} with a latest day three days or more after: {share:.1%} "
            f"({at_once:.1%} where all that is done is moved on at once)"
        )
    lines += [_batch(b) for b in some]
    lines.append("worst of all:")
    lines += [
        _batch(b) for b in sorted(found.batches, key=lambda b: b.by_latest)[:WORST]
    ]
    return "\n".join(lines)


def _batch(one: BatchKept) -> str:
    return (
        f"  {one.batch}: half by {one.half}, latest {one.latest}, "
        f"ready by then {one.by_latest:.1%}, half {one.median_error_d:+.1f} d"
    )


def of_spaces(found: Kept) -> str:
    lines = [f"overfull: {found.overfull:.2%} of the days of spaces"]
    for name, share, most in found.spaces:
        if share:
            trays = most / AREA_SCALE / TRAY
            lines.append(f"  {name}: {share:.2%}, at most by {trays:.1f} trays")
    lines.append(
        f"where all that is done is moved on at once: {found.overfull_at_once:.2%}"
    )
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("season", type=Path)
    parser.add_argument("--today", type=date.fromisoformat, default=EXAMPLE_DAY)
    parser.add_argument("--winters", type=int, default=200)
    parser.add_argument("--quantile", type=float, nargs="+", default=[0.8])
    parser.add_argument("--seed", type=int, default=1000)
    parser.add_argument("--seconds", type=float, default=10.0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as where:
        for quantile in asked.quantile:
            request = Request(
                folder=with_quantile(asked.season, quantile, Path(where)),
                today=asked.today,
                save=False,
                time_limit_s=asked.seconds,
            )
            found = played(request, winters=asked.winters, seed=asked.seed)
            print(f"\n## booked at {quantile:.0%}, {found.winters} other winters\n")
            print(told(found), of_batches(found), of_spaces(found), sep="\n\n")


if __name__ == "__main__":
    main()
