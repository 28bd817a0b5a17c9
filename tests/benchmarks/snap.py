"""
A cold snap in January: the plan changed gently, and made anew, side by side.

    python tests/benchmarks/snap.py [SEASON] [--drop 8] [--days 6] [--list]

The season is planned on 15 November.  Then a snap is supposed from 12 January on,
once seen in November, before anything was done, once on 9 January, after the plan was
followed to the day under the weather of the latest past winter.
"""

import argparse
import csv
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from propsched.domain.plan import Placement, Plan, ways  # noqa: E402
from propsched.service.change import Change  # noqa: E402
from propsched.service.planner import make_plan  # noqa: E402
from propsched.service.replan import Beside, replan  # noqa: E402
from propsched.service.request import Request  # noqa: E402
from propsched.thermal.snap import Spell  # noqa: E402

PLANNED, LATER = date(2026, 11, 15), date(2027, 1, 9)
SNAP = date(2027, 1, 12)
BEGINS = {"seed": "sown", "division": "divided", "tuber": "started"}
THROUGH = {"seed": "emerged", "division": "established", "tuber": "established"}
STEPS = {
    "prick-out": "pricked-out",
    "pot-up": "potted-up",
    "pot-on": "potted-on",
    "harden": "hardening",
}


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("season", nargs="?", default=ROOT / "examples/walled-garden")
    ask.add_argument("--drop", type=float, default=8.0)
    ask.add_argument("--days", type=int, default=6)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--list", action="store_true", help="print the differences")
    told = ask.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "season"
        shutil.copytree(told.season, folder)
        quiet, go = (lambda event: None), threading.Event()
        request = Request(folder=folder, today=PLANNED, seed=told.seed)
        plan = make_plan(request, quiet, go).plan
        print(f"in force: {len(plan.placements)} placements, worth {plan.worth:.2f}")
        head = ("seen on", "", "placements that differ", "worth", "gap %", "s")
        print("{:8} {:20} {:>24} {:>8} {:>6} {:>5}".format(*head))
        for today in (PLANNED, LATER):
            if today == LATER:
                follow(folder, plan, today)
            trial(folder, today, told)


def trial(folder: Path, today: date, told: argparse.Namespace) -> None:
    """Both ways, and the list of differences."""
    request = Request(folder=folder, today=today, seed=told.seed, save=False)
    spell = Spell(first=SNAP, days=told.days, drop_k=told.drop)
    began = time.monotonic()
    answer = replan(
        request,
        lambda event: None,
        threading.Event(),
        change=Change(cold=(spell,)),
        afresh=True,
    )
    took = time.monotonic() - began
    print(row(f"{today:%-d %b}", "near the one in force", answer.near, f"{took:5.0f}"))
    if answer.afresh is not None:
        print(row("", "from nothing", answer.afresh, ""))
    if told.list:
        for one in answer.differences.rows:
            why = f" – {one.reason}" if one.reason else ""
            print(f"  {one.act:%-d %b} {one.kind}: {one.batch}: {one.what}{why}")
        print(f"  unchanged: {answer.differences.unchanged} batches")


def row(day: str, name: str, one: Beside, took: str) -> str:
    total = one.changed_placements + one.kept_placements
    differ = f"{one.changed_placements} of {total}"
    gap = f"{one.gap * 100:6.2f}"
    return f"{day:8} {name:22} {differ:>22} {one.worth:8.2f} {gap} {took}"


def follow(folder: Path, plan: Plan, until: date) -> None:
    """Do as the plan says to the day, under the weather of the latest past winter."""
    with (folder / "daybook.csv").open("a", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(
            [f"{day} 12:00", batch, event, space, "", ""]
            for day, batch, event, space in sorted(done(plan, until))
        )
    known = {r["date"]: r for r in rows(folder / "history.csv")}
    path = folder / "weather.csv"
    seen = {r["date"] for r in rows(path)}
    lines = path.read_text(encoding="utf-8").replace(",forecast", ",observed")
    day = min(date.fromisoformat(d) for d in seen)
    while day <= until:
        past = known[day.replace(year=day.year - 1).isoformat()]
        if day.isoformat() not in seen:
            lines += f"{day},{past['tmin_c']},{past['tmax_c']},observed\n"
        day += timedelta(days=1)
    path.write_text(lines, encoding="utf-8")


def rows(path: Path) -> list[dict[str, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def done(plan: Plan, until: date) -> Iterator[tuple[str, str, str, str]]:
    """Rows of the daybook for all that was due after the plan was made."""
    for batch, ways_of_it in ways(plan.placements).items():
        for before, stop in zip([None, *ways_of_it[0]], ways_of_it[0], strict=False):
            if plan.today <= stop.start <= until:
                yield stop.start.isoformat(), batch, event(before, stop), stop.space
        last = ways_of_it[0][-1]
        if plan.today <= last.end <= until:
            yield last.end.isoformat(), batch, "planted-out", last.space


def event(before: Placement | None, stop: Placement) -> str:
    if stop.stage in STEPS:
        return STEPS[stop.stage]
    if before is None or before.stage == "chill":
        return BEGINS.get(stop.method, "struck")
    return THROUGH.get(stop.method, "rooted")


if __name__ == "__main__":
    main()
