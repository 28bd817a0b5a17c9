"""
Ten answers of growers beside the tool's own, on the walled garden.

    PYTHONPATH=. python tests/benchmarks/growers_answers.py [--readme]

With ``--readme`` the table in README.md is renewed between its two marks.
"""

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

import numpy as np  # noqa: E402

from propsched.biology.exposure import limits_of  # noqa: E402
from propsched.biology.rank import Ranked, rank_spaces  # noqa: E402
from propsched.domain.crop import Crop  # noqa: E402
from propsched.optimise.problem import PPM, Route, StageTable, Task  # noqa: E402
from propsched.optimise.solve import solve  # noqa: E402
from propsched.service.prepare import Prepared, prepare  # noqa: E402
from propsched.service.request import Request  # noqa: E402
from propsched.service.trouble import MANY_COLD_DAYS  # noqa: E402

GARDEN = ROOT / "examples" / "walled-garden"
TODAY = date(2026, 11, 15)
AS_GOOD = 0.98
MARKS = "<!-- growers -->", "<!-- /growers -->"


@dataclass(frozen=True)
class Answer:
    question: str
    growers: str
    """Common practice; tolerance in brackets."""
    tool: str
    right: bool


@cache
def garden() -> Prepared:
    """25 winters."""
    request = Request(folder=GARDEN, today=TODAY, save=False, gap=0.001)
    return prepare(request, lambda event: None)


def answers() -> tuple[Answer, ...]:
    return tuple(ask() for ask in ASKED)


def day_of(when: date) -> int:
    return garden().loaded.season.horizon.day(when)


def when(day: int) -> date:
    return garden().loaded.season.horizon.date(day)


def ranked(batch: str, on: date) -> dict[str, Ranked]:
    """Every space, best first, as ``where`` has it."""
    ready = garden()
    crop, ground = _crop(batch), ready.ground
    rows = rank_spaces(
        crop,
        ground.climate,
        ground.offset + day_of(on),
        end_day=ground.offset + ground.days,
        quantile=ready.loaded.season.weights.quantile,
    )
    variants = ground.zone.variants
    return {variants[row.variant].space.id: row for row in rows}


def half(row: Ranked) -> date:
    assert row.half_by is not None
    return garden().ground.zone.horizon.date(row.half_by)


def table(batch: str, stage: str) -> StageTable:
    problem, names = garden().problem, [n.stage for n in _crop(batch).stages]
    return problem.stages(_task(batch))[names.index(stage)]


def success(batch: str, stage: str, space: str, on: date) -> float:
    return float(table(batch, stage).success[_row(space), day_of(on)]) / PPM


def alone(batch: str, start: date, **over: object) -> tuple[float, Route | None]:
    """Worth of a batch with the garden to itself, started on one day, and its way."""
    day = day_of(start)
    task = replace(_task(batch), earliest=day, latest=day, must=False)
    task = replace(task, **over)  # type: ignore[arg-type]
    one = replace(garden().problem, tasks=(task,), constant=0, links=(), splits=())
    found = solve(one, time_limit_s=5)
    return found.worth / task.weight, next(iter(found.routes), None)


def best_start(batch: str, first: date, last: date) -> date:
    """
    The latest start that is within 2 % of the best.

    In a garden by itself an early start costs nothing; among others every day it
    stands about takes room from them.
    """
    days = [d for d in range(day_of(first), day_of(last)) if garden().problem.work[d]]
    worth = {d: alone(batch, when(d))[0] for d in days}
    return when(max(d for d in days if worth[d] >= AS_GOOD * max(worth.values())))


def out_on(batch: str, start: date) -> date:
    """Day it leaves the last stage of its best way."""
    route = alone(batch, start)[1]
    assert route is not None
    return when(route.stops[-1].end)


def _task(batch: str) -> Task:
    return next(t for t in garden().problem.tasks if t.name == batch)


def _crop(batch: str) -> Crop:
    return next(one.crop for one in garden().raised if one.batch.id == batch)


def _row(space: str) -> int:
    return garden().ground.zone.of(space)


def _within(day: date, first: date, last: date, tolerance_d: int) -> bool:
    more = timedelta(days=tolerance_d)
    return first - more <= day <= last + more


def spoken(day: date) -> str:
    return f"{day.day} {day:%B}"


def blackcurrant() -> Answer:
    rows = ranked("blackcurrant", TODAY)
    order = list(rows)
    ground = rows["border"]
    right = (
        order.index("border") < order.index("cold-frame") < order.index("windowsill")
    )
    right &= _within(half(ground), date(2027, 4, 1), date(2027, 5, 31), 21)
    return Answer(
        "Blackcurrant hardwood, 15 November",
        "open ground at least as good as a frame, both before a house above 12 °C;"
        " rooted April to May (± 3 weeks)",
        f"border, frame, windowsill in this order; half rooted about"
        f" {spoken(half(ground))} in the border",
        right and ground.stands_over,
    )


def holly() -> Answer:
    rows = ranked("holly", TODAY)
    order, bench, frame = list(rows), rows["bench"], rows["cold-frame"]
    weeks = (bench.days or 0) / 7
    right = order.index("bench") < order.index("cold-frame") < order.index("border")
    right &= 8 <= weeks <= 14 and rows["border"].stands_over
    return Answer(
        "Holly, 15 November",
        "close bench with cool tops 8–14 weeks, before a closed frame (July to"
        " October), before open ground, slow, standing over",
        f"bench {weeks:.0f} weeks, then frame (half about {spoken(half(frame))},"
        f" {(date(2027, 7, 1) - half(frame)).days} days before July), then border,"
        " standing over",
        right,
    )


def tomato() -> Answer:
    best = best_start("tomato", date(2027, 1, 15), date(2027, 4, 20))
    free = {"gate": 0, "wanted_from": None, "wanted_by": None}
    january = alone("tomato", date(2027, 1, 3), **free)[0]
    share = 1 - january / alone("tomato", best, **free)[0]
    return Answer(
        "Tomato for an unheated glasshouse on 8 May",
        "sow 25 February to 20 March (± 7 d); 1 January without a lamp at least 30 %"
        " worse",
        f"sow {spoken(best)}; 3 January is {share:.0%} worse",
        _within(best, date(2027, 2, 25), date(2027, 3, 20), 7) and share >= 0.3,
    )


def onion() -> Answer:
    on, up = date(2027, 1, 10), date(2027, 1, 28)
    first, row = next(iter(ranked("onion", on).items()))
    start = best_start("onion", date(2027, 1, 1), date(2027, 2, 1))
    out = out_on("onion", start)
    cool = success("onion", "grow", "cold-frame", up)
    sill = success("onion", "grow", "windowsill", up)
    right = 12 - 1 <= row.root_mean_c <= 16 + 1 and cool > sill
    return Answer(
        "Onion seed in January",
        "start at 12–16 °C; then bright at 7–10 °C beats a windowsill; out 1–20 April"
        " (± 7 d)",
        f"start on the {first} at {row.root_mean_c:.0f} °C; then {cool:.0%} come"
        f" through in the frame, {sill:.0%} on the windowsill; out {spoken(out)}",
        right and _within(out, date(2027, 4, 1), date(2027, 4, 20), 7),
    )


def celery() -> Answer:
    best = best_start("celery", date(2027, 1, 15), date(2027, 4, 20))
    order = list(ranked("celery", date(2027, 4, 5)))
    below = _crop("celery").bolts_below_c
    right = order.index("glasshouse") < order.index("cold-frame") and below == 10
    return Answer(
        "Celery for 25 May",
        "sow 5–25 March (± 7 d); in April the glasshouse before the frame; caution"
        " after about 10 days under 10 °C",
        f"sow {spoken(best)}; in April glasshouse before frame; caution after"
        f" {MANY_COLD_DAYS} days under {below:g} °C",
        right
        and abs(MANY_COLD_DAYS - 10) <= 2
        and _within(best, date(2027, 3, 5), date(2027, 3, 25), 7),
    )


def hotbed() -> Answer:
    made_up = date(2027, 2, 6)
    tenth = made_up + timedelta(days=10)
    fruit = success("aubergine", "start", "hotbed", tenth)
    leaves = success("lettuce-1", "start", "hotbed", tenth)
    days = [tenth + timedelta(days=d) for d in range(40)]
    ready = next(d for d in days if success("lettuce-1", "start", "hotbed", d) >= 0.95)
    zone, at = garden().ground.zone, garden().ground.offset + day_of(ready)
    row = zone.root_c[zone.of("hotbed")]
    falls_to = float(row[:, 24 * at : 24 * (at + 3)].mean())
    return Answer(
        "Hotbed on day 10 at 30 °C",
        "aubergine yes; lettuce waits for 23 °C (± 2)",
        f"aubergine {fruit:.0%}, lettuce {leaves:.0%} of the best; lettuce is as good"
        f" as anywhere from {spoken(ready)}, at {falls_to:.1f} °C",
        fruit >= 0.85 and leaves <= 0.75 and 21 <= falls_to <= 25,
    )


def poppy() -> Answer:
    rows = ranked("oriental-poppy", date(2026, 12, 15))
    first, shoots = next(iter(rows)), half(rows["cold-frame"])
    length = table("oriental-poppy", "grow").length[_row("cold-frame"), day_of(shoots)]
    weeks = float(length) / 7
    return Answer(
        "Oriental poppy root cuttings in December",
        "frame first once heat is costed; shoots March to April, roots 3–5 weeks later"
        " (± 2 weeks)",
        f"{first} first; half shoot about {spoken(shoots)}, roots {weeks:.0f} weeks"
        " later",
        first == "cold-frame"
        and _within(shoots, date(2027, 3, 1), date(2027, 4, 30), 14)
        and 1 <= weeks <= 7,
    )


def bean() -> Answer:
    border = ranked("french-bean", date(2027, 4, 15))["border"]
    why = f"refused ({border.limits[0]})" if not border.allowed else "allowed"
    best = best_start("french-bean", date(2027, 4, 1), date(2027, 5, 20))
    out = out_on("french-bean", best)
    return Answer(
        "French bean",
        "open ground on 15 April refused; in pots 20 April to 5 May, out 20 May to 10"
        " June (± 5 d)",
        f"border on 15 April {why}; in pots {spoken(best)}, out {spoken(out)}",
        not border.allowed
        and _within(best, date(2027, 4, 20), date(2027, 5, 5), 5)
        and _within(out, date(2027, 5, 20), date(2027, 6, 10), 5),
    )


def parsnip() -> Answer:
    early, late = (
        ranked("parsnip", date(2027, month, 15))["border"] for month in (2, 3)
    )
    sooner = (half(late) - half(early)).days
    poorer = 100 * (late.success - early.success)
    return Answer(
        "Parsnip, 15 February against 15 March",
        "emerges only 18 (± 5) days earlier, the stand at least 15 points poorer",
        f"emerges {sooner} days earlier, the stand {poorer:.0f} points poorer",
        13 <= sooner <= 23 and poorer >= 15,
    )


def january() -> Answer:
    """Where each stands in January; the lowest of a night of each winter, 8 K down."""
    at = garden().ground.offset + day_of(date(2027, 1, 15))
    zone, lost = garden().ground.zone, dict[str, float]()
    for batch, stage, space, fall in (
        ("pelargonium", "pot-up", "glasshouse", 8.0),
        ("gooseberry", "start", "border", 8.0),
        ("broad-bean", "harden", "cold-frame", 8.0),
        ("rowan", "chill", "border", 2.0),
    ):
        crop, worst = _crop(batch), 0.0
        needs = next(n for n in crop.stages if n.stage == stage)
        for limit in limits_of(crop, needs):
            hours = zone.air_c if limit.where == "air" else zone.root_c
            row = hours[zone.of(space), :, 24 * at : 24 * (at + 1)]
            least = row.min(axis=1).astype(np.float64) - fall
            worst = max(worst, float(limit.lost(least).mean()))
        lost[batch] = worst
    said = ", ".join(f"{name} {lost[name]:.0%}" for name in lost)
    return Answer(
        "A January fall of 8 K",
        "protect pelargonium; leave dormant hardwoods, hardened broad beans, chilling"
        " seed",
        f"lost if nothing is done: {said}",
        lost.pop("pelargonium") >= 0.2 and max(lost.values()) <= 0.1,
    )


ASKED: tuple[Callable[[], Answer], ...] = (
    blackcurrant, holly, tomato, onion, celery, hotbed, poppy, bean, parsnip, january,
)  # fmt: skip


def as_table() -> str:
    lines = ["| asked | growers say | the tool says |", "|---|---|---|"]
    for one in answers():
        miss = "" if one.right else " (**outside the tolerance**)"
        lines.append(f"| {one.question} | {one.growers} | {one.tool}{miss} |")
    return re.sub(r"(\d)%", r"\1 %", "\n".join(lines))


def main() -> None:
    told = as_table()
    print(told)
    if "--readme" in sys.argv:
        readme = ROOT / "README.md"
        text = readme.read_text(encoding="utf-8")
        before, rest = text.split(MARKS[0])
        _, after = rest.split(MARKS[1])
        text = f"{before}{MARKS[0]}\n{told}\n{MARKS[1]}{after}"
        readme.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
