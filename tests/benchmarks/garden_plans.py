"""Plans of the walled garden with a thing or two changed, and their figures."""

import re
import shutil
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path

from propsched.domain.plan import Plan, ways
from propsched.domain.repeats import expand
from propsched.files.read import read_season
from propsched.service.planner import make_plan
from propsched.service.request import Request

GARDEN = Path(__file__).resolve().parents[2] / "examples" / "walled-garden"
TODAY = date(2026, 11, 15)
GAP = 0.001


def folder_with(
    where: Path, weights: Mapping[str, float], *, by_week: bool = False
) -> Path:
    """
    A copy of the garden with weights of its own.

    Parameters
    ----------
    by_week : bool
        The heat is left to the plan, and holly is not pinned to the heated bench,
        which would have it on for 14 weeks whatever it costs.
    """
    folder = where / "garden"
    shutil.copytree(GARDEN, folder)
    for name in ("plan.json", "plan.previous.json"):
        (folder / name).unlink(missing_ok=True)
    text = (folder / "season.toml").read_text(encoding="utf-8")
    assert not re.search(r"^\[weights\]", text, flags=re.MULTILINE)
    if by_week:
        text = text.replace("heat = { set_c", 'heat = { when = "by-week", set_c')
        pins = folder / "pins.csv"
        rows = pins.read_text(encoding="utf-8").splitlines(keepends=True)
        left = [row for row in rows if not row.startswith("holly,start,bench")]
        pins.write_text("".join(left), encoding="utf-8")
    lines = "".join(f"{key} = {value:g}\n" for key, value in weights.items())
    text = text.replace("[[probe]]", f"[weights]\n{lines}\n[[probe]]", 1)
    (folder / "season.toml").write_text(text, encoding="utf-8")
    return folder


def planned(folder: Path, seconds: float, *, save: bool = False) -> Plan:
    request = Request(
        folder=folder, today=TODAY, save=save, time_limit_s=seconds, gap=GAP
    )
    return make_plan(request, lambda event: None, threading.Event()).plan


@dataclass(frozen=True, slots=True)
class Figures:
    """What of a plan a grower sees."""

    raised: int
    share: float
    """Plants expected ÷ wanted, mean of all batches; of one left out 0."""
    by_priority: Mapping[int, float]
    """The same by priority."""
    late: int
    """Days after ``wanted_by`` as booked, of all batches together."""
    early: int
    """Days before ``wanted_from``."""
    moves: int
    over: int
    booked: float
    """Days from ready (median) to ready as booked, mean of the batches."""


def figures(plan: Plan) -> Figures:
    batches = expand(read_season(GARDEN).batches)
    rows = {one.batch: one for one in plan.batches}
    shares: dict[int, list[float]] = {}
    late = early = 0
    slack = []
    for batch in batches:
        row = rows.get(batch.id)
        got = 0.0 if row is None else min(1.0, row.plants_expected / batch.wanted)
        shares.setdefault(batch.priority, []).append(got)
        if row is None or row.ready is None or row.ready_latest is None:
            continue
        slack.append((row.ready_latest - row.ready).days)
        if batch.wanted_by is not None:
            late += max(0, (row.ready_latest - batch.wanted_by).days)
        if batch.wanted_from is not None:
            early += max(0, (batch.wanted_from - row.ready_latest).days)
    every = [one for own in shares.values() for one in own]
    return Figures(
        raised=len(rows),
        share=sum(every) / len(every),
        by_priority={p: sum(own) / len(own) for p, own in sorted(shares.items())},
        late=late,
        early=early,
        moves=sum(
            a.space != b.space
            for own in ways(plan.placements).values()
            for way in own
            for a, b in pairwise(way)
        ),
        over=len(plan.standing_over),
        booked=sum(slack) / max(1, len(slack)),
    )


def heat_cost(plan: Plan) -> float:
    return sum(run.cost for run in plan.heat)
