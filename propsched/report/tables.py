"""A plan in the terminal: headline, spaces, batches, what is left out, jobs."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.advice.job import Job, containers_text
from propsched.domain.plan import BatchPlan, Placement, Plan, ways
from propsched.domain.season import Season
from propsched.report.jobs import job_list
from propsched.report.layout import add, grid, heading, points
from propsched.report.timeline import timeline
from propsched.report.words import clean, day_text, money, percent_up, route_text

SCARCEST = 5
"""Scarce weeks shown; the rest is in the JSON."""
LEAST_SHOWN = 0.01
"""Less is not worth a row."""


def headline(plan: Plan, currency: str) -> str:
    """``34 of 36 batches placed, within 0.1 % of the best possible, heat £11.40``."""
    raised = {one.batch for one in plan.batches}
    # of a split batch one half may be raised and the other not
    left_out = [one for one in plan.not_placed if one.batch not in raised]
    asked = len(plan.batches) + len(left_out)
    if asked == 0:
        return "Nothing to plan: add batches to batches.csv"
    parts = [f"{len(plan.batches)} of {asked} batches placed"]
    if plan.gap < 1e-9:  # rounding of a proven optimum
        parts.append("proven the best possible")
    else:
        parts.append(f"within {percent_up(plan.gap)} of the best possible")
    if plan.heat:
        parts.append(_heat_text(plan, currency))
    if plan.standing_over:
        parts.append(f"{len(plan.standing_over)} standing over")
    text = ", ".join(parts)
    endings = {
        "stopped": " – stopped before it was done",
        "time limit": " – at the time limit",
    }
    return text + endings.get(plan.status, "")


def _heat_text(plan: Plan, currency: str) -> str:
    """``heat £16.31, of it £9.80 still to come``; energy where no price is given."""
    cost = sum(run.cost for run in plan.heat)
    energy = sum(run.kwh for run in plan.heat)
    if cost == 0 and energy > 0:
        return f"heat {energy:.0f} kWh (no price given)"
    text = f"heat {money(cost, currency)}"
    left = [run.cost_to_come for run in plan.heat if run.cost_to_come is not None]
    begun = any(run.start < plan.today for run in plan.heat)
    if not begun or len(left) < len(plan.heat):
        return text
    return f"{text}, of it {money(sum(left), currency)} still to come"


def plan_report(
    plan: Plan,
    season: Season,
    jobs: Sequence[Job],
    fill: dict[str, tuple[float, ...]],
    warmth: dict[str, tuple[float, ...]],
    *,
    width: int,
    explain: bool = False,
) -> Group:
    """All that ``plan`` prints; ``explain`` adds why each batch stands there."""
    sections: list[tuple[str, Iterable[RenderableType]]] = [
        (
            "Spaces",
            [
                timeline(
                    season,
                    fill,
                    warmth,
                    width=width,
                    heat=plan.heat,
                    scarce=plan.scarce,
                )
            ]
            if fill
            else [],
        ),
        ("Batches", batch_table(plan) if plan.batches else []),
        ("Why there", _reasons(plan) if explain else []),
        ("Not placed", _not_placed(plan)),
        ("Standing over at the season's end", _over(plan)),
        ("Heat", _heat(plan, season.heat.currency)),
        ("Where room is short", _scarce(plan)),
        ("Jobs of the next 14 days", job_list(jobs)),
        ("Look at", points(plan.warnings, "!")),
        ("Take care", points(plan.cautions, "!")),
    ]
    parts: list[RenderableType] = [
        Text(headline(plan, season.heat.currency), style="bold")
    ]
    for title, section in sections:
        lines = list(section)
        if lines:
            parts += [heading(title), *lines]
    return Group(*parts)


def batch_table(plan: Plan) -> Iterator[RenderableType]:
    """A row a batch, in order of its first day; what its marks mean."""
    stops = ways(plan.placements)

    def first(one: BatchPlan) -> tuple[date, str]:
        own = stops.get(one.batch)
        return (own[0][0].start if own else date.max), one.batch

    over = {s.batch for s in plan.standing_over}
    any_late = False
    table = grid(
        "batch", "route", "ready", "latest", "wanted", "plants",
        right=("ready", "latest", "wanted", "plants"),
    )  # fmt: skip
    for one in sorted(plan.batches, key=first):
        late = (
            one.ready_latest is not None
            and one.wanted_by is not None
            and one.ready_latest > one.wanted_by
        )
        add(
            table,
            one.batch,
            _routes_text(stops.get(one.batch, ())),
            "over" if one.batch in over and one.ready is None else day_text(one.ready),
            day_text(one.ready_latest) + (" !" if late else ""),
            day_text(one.wanted_by),
            _plants(one),
        )
        any_late = any_late or late
    yield table
    if over:
        yield Text("over: stands over, still in its space at the season's end")
    if any_late:
        yield Text("!: may be ready only after the day it is wanted by")


def _routes_text(own: Sequence[Sequence[Placement]]) -> str:
    """The way of a batch; of one in two halves both, each with its containers."""
    if len(own) < 2:
        return route_text(own[0] if own else ())
    return "; ".join(
        f"{containers_text(way[0].containers, way[0].container)}: {route_text(way)}"
        for way in own
    )


def _plants(one: BatchPlan) -> str:
    """``25 of 40``: expected, and wanted where the plan tells it."""
    expected = f"{one.plants_expected:.0f}"
    return f"{expected} of {one.wanted}" if one.wanted else expected


def _reasons(plan: Plan) -> Iterator[RenderableType]:
    table = grid("batch", "why there")
    for one in plan.batches:
        if one.reason:
            add(table, one.batch, one.reason)
    if table.row_count:
        yield table


def _scarce(plan: Plan) -> Iterator[RenderableType]:
    """The weeks in which one more tray would be worth most."""
    heads = ("space", "week of", "worth of one more tray")
    table = grid(*heads, right=heads[1:])
    telling = [s for s in plan.scarce if s.worth_per_tray >= LEAST_SHOWN]
    dearest = sorted(telling, key=lambda s: (-s.worth_per_tray, s.week, s.space))
    for one in sorted(dearest[:SCARCEST], key=lambda s: (s.week, s.space)):
        add(table, one.space, day_text(one.week), f"{one.worth_per_tray:.2f}")
    if table.row_count:
        yield table


def _not_placed(plan: Plan) -> Iterator[RenderableType]:
    table = grid("batch", "why")
    for one in plan.not_placed:
        add(table, one.batch, one.reason)
    if table.row_count:
        yield table


def _over(plan: Plan) -> Iterator[RenderableType]:
    table = grid("batch", "space", "half through by", right=("half through by",))
    for one in plan.standing_over:
        half = "later" if one.half_by is None else day_text(one.half_by)
        add(table, one.batch, one.space, half)
    if table.row_count:
        yield table


def _heat(plan: Plan, currency: str) -> Iterator[RenderableType]:
    if plan.heat:
        priceless = all(run.cost == 0 for run in plan.heat)
        heads = ("space", "from", "to", "kWh", "cost")
        table = grid(*heads, right=heads[1:])
        for run in plan.heat:
            add(
                table,
                run.space,
                day_text(run.start),
                day_text(run.end),
                f"{run.kwh:.0f}",
                "no price" if priceless else money(run.cost, currency),
            )
        yield table
    for bed in plan.hotbeds:
        yield Text(f"{clean(bed.space)}: make up on {day_text(bed.make_up)}")
