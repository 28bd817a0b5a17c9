"""The planner's routes written out as a plan in dates, plants and money."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from importlib.metadata import PackageNotFoundError, version

import numpy as np
from numpy.typing import NDArray

from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.domain.container import TRAY_M2
from propsched.domain.plan import (
    BatchPlan,
    HeatRun,
    HotbedRun,
    Placement,
    Scarce,
    StandingOver,
)
from propsched.optimise.explain import area_worth
from propsched.optimise.problem import (
    AREA_SCALE,
    WORTH_SCALE,
    Problem,
    Route,
    Solution,
    Task,
    loss,
    over_loss,
)
from propsched.service.ground import Ground, heat_cost_per_day
from propsched.service.raised import Raised

MONEY_DIGITS = 2
ENERGY_DIGITS = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What is needed to say in words what the solver decided."""

    ground: Ground
    problem: Problem
    solution: Solution
    raised: tuple[Raised, ...]
    """One for each task of the problem."""
    growths: Mapping[tuple[str, str, str], tuple[StageGrowth, ...]]

    @property
    def first(self) -> date:
        return self.ground.season.start

    def date(self, day: int) -> date:
        return self.first + timedelta(days=int(day))

    def space(self, variant: int) -> str:
        return self.ground.zone.variants[variant].space.id


def placements(out: Written) -> tuple[Placement, ...]:
    """Every stage of every route, in order of day and batch."""
    found = []
    for route in out.solution.routes:
        one = out.raised[route.task]
        task = out.problem.tasks[route.task]
        for stop in route.stops:
            needs = one.crop.stages[stop.stage]
            plants = one.plants(stop.stage)
            growth = out.growths[one.profile][stop.stage]
            at = out.ground.offset + stop.start
            booked = int(growth.booked[stop.variant, at])
            pinned = [p.length for p in task.pins if p.stage == stop.stage and p.length]
            latest = stop.start + (pinned[0] if pinned else booked)
            if stop.end < out.problem.days or latest <= stop.end:
                latest = min(latest, stop.end)
            found.append(
                Placement(
                    batch=one.batch.id,
                    crop=one.crop.name,
                    method=one.crop.method,
                    stage=needs.stage,
                    space=out.space(stop.variant),
                    start=out.date(stop.start),
                    end=out.date(stop.end),
                    end_latest=out.date(latest if latest < NOT_THROUGH else stop.end),
                    root_mean_c=round(
                        _root_mean(out, stop.variant, stop.start, stop.end), 1
                    ),
                    area_m2=task.area[stop.stage] / AREA_SCALE,
                    containers=needs.container.number(plants),
                    container=needs.container.name,
                    variant=out.ground.zone.variants[stop.variant].name,
                )
            )
    return tuple(sorted(found, key=lambda p: (p.start, p.batch, p.end)))


def _root_mean(out: Written, variant: int, start: int, end: int) -> float:
    hours = slice(24 * (out.ground.offset + start), 24 * (out.ground.offset + end))
    return float(out.ground.zone.root_c[variant, :, hours].mean(dtype=np.float64))


def batches(out: Written, reasons: Mapping[int, str]) -> tuple[BatchPlan, ...]:
    """What becomes of each batch raised; ``reasons`` by task say why there."""
    cost = cost_by_task(out)
    found = []
    for route in sorted(out.solution.routes, key=lambda r: r.task):
        one, task = out.raised[route.task], out.problem.tasks[route.task]
        last = route.stops[-1]
        ready = ready_latest = None
        if not route.over:
            ready_latest = last.end
            median = _median_through(out, one, task, route)
            ready = min(max(median, task.gate), last.end)
        found.append(
            BatchPlan(
                batch=one.batch.id,
                ready=None if ready is None else out.date(ready),
                ready_latest=None if ready_latest is None else out.date(ready_latest),
                wanted_by=one.batch.wanted_by,
                plants_expected=round(one.batch.wanted * share(out.problem, route), 1),
                cost=round(cost[route.task], MONEY_DIGITS),
                reason=reasons.get(route.task, ""),
            )
        )
    return tuple(found)


def _median_through(out: Written, one: Raised, task: Task, route: Route) -> int:
    last = route.stops[-1]
    growth = out.growths[one.profile][last.stage]
    median = int(growth.median[last.variant, out.ground.offset + last.start])
    return last.end if median == NOT_THROUGH else last.start + median


def share(problem: Problem, route: Route) -> float:
    """Plants expected ÷ plants wanted. 0..1"""
    task = problem.tasks[route.task]
    tables = problem.stages(task)
    lost = 0
    for stop in route.stops:
        table = tables[stop.stage]
        at = (stop.variant, stop.start)
        if route.over and stop is route.stops[-1]:
            lost += int(over_loss(task, stop.stage, table.over_success[at]))
        elif route.over:
            lost += int(over_loss(task, stop.stage, table.success[at]))
        else:
            lost += int(loss(task, stop.stage, table.success[at]))
    whole = task.over_weight if route.over else task.weight
    return max(0.0, 1 - lost / whole) if whole else 0.0


def used(out: Written) -> NDArray[np.int64]:
    """Standing area in use. [10 cm²] (S, D)"""
    total = np.zeros(out.problem.capacity.shape, dtype=np.int64)
    for route in out.solution.routes:
        task = out.problem.tasks[route.task]
        for stop in route.stops:
            s = out.problem.space_of[stop.variant]
            total[s, stop.start : stop.end] += task.area[stop.stage]
    return total


def cost_by_task(out: Written) -> dict[int, float]:
    """Heat shared among what stands in its space that day, by area."""
    per_day = heat_cost_per_day(out.ground)
    area = used(out)
    cost = dict.fromkeys(range(len(out.problem.tasks)), 0.0)
    for route in out.solution.routes:
        task = out.problem.tasks[route.task]
        for stop in route.stops:
            s = out.problem.space_of[stop.variant]
            days = slice(stop.start, stop.end)
            part = task.area[stop.stage] / np.maximum(area[s, days], 1)
            cost[route.task] += float((part * per_day[stop.variant, days]).sum())
    return cost


def standing_over(out: Written) -> tuple[StandingOver, ...]:
    """Batches unfinished at the season's end, with the day half will be through."""
    found = []
    for route in sorted(out.solution.routes, key=lambda r: r.task):
        if not route.over:
            continue
        one, last = out.raised[route.task], route.stops[-1]
        growth = out.growths[one.profile][last.stage]
        median = int(growth.median[last.variant, out.ground.offset + last.start])
        half = None if median == NOT_THROUGH else out.date(last.start + median)
        found.append(
            StandingOver(
                batch=one.batch.id, space=out.space(last.variant), half_by=half
            )
        )
    return tuple(found)


def heat(ground: Ground) -> tuple[HeatRun, ...]:
    """Runs of days on which a space draws current, mean over the winters."""
    kwh = ground.zone.kwh.mean(axis=1, dtype=np.float64)
    kwh = kwh[:, ground.offset : ground.offset + ground.days]
    price = ground.season.heat.price_per_kwh
    found = []
    for v, variant in enumerate(ground.zone.variants):
        on = np.flatnonzero(kwh[v] > 0)
        if on.size == 0:
            continue
        first, last = int(on[0]), int(on[-1])
        total = float(kwh[v].sum())
        found.append(
            HeatRun(
                space=variant.space.id,
                start=ground.season.horizon.date(first),
                end=ground.season.horizon.date(last),
                kwh=round(total, ENERGY_DIGITS),
                cost=round(total * price, MONEY_DIGITS),
            )
        )
    return tuple(found)


def hotbeds(ground: Ground) -> tuple[HotbedRun, ...]:
    return tuple(
        HotbedRun(space=s.id, make_up=s.make_up)
        for s in ground.season.spaces
        if s.kind == "hotbed" and s.make_up is not None
    )


def scarce(out: Written) -> tuple[Scarce, ...]:
    """Worth of one more standard tray for a week, where it is worth anything."""
    price = area_worth(out.problem, out.solution)
    tray = TRAY_M2 * AREA_SCALE / WORTH_SCALE
    found = []
    for s, space in enumerate(out.problem.space_names):
        for day in range(0, out.problem.days, 7):
            monday = out.date(day) - timedelta(days=out.date(day).weekday())
            first = max(0, (monday - out.first).days)
            worth = round(float(price[s, first : first + 7].sum()) * tray, 3)
            if worth > 0:
                found.append(Scarce(space=space, week=monday, worth_per_tray=worth))
    return tuple(found)


def terms(out: Written) -> dict[str, float]:
    """The worth of the plan, term by term; they add up to it."""
    names = ("plants", "standing_over", "lateness", "earliness", "moves", "heat")
    sums = dict.fromkeys(names, 0)
    for route in out.solution.routes:
        task = out.problem.tasks[route.task]
        moved = sum(
            int(out.problem.space_of[a.variant] != out.problem.space_of[b.variant])
            for a, b in zip(route.stops, route.stops[1:], strict=False)
        )
        ready = route.stops[-1].end
        late = early = 0
        if not route.over:
            if task.wanted_by is not None:
                late = task.late_per_day * max(0, ready - task.wanted_by)
            if task.wanted_from is not None:
                early = task.early_per_day * max(0, task.wanted_from - ready)
        sums["moves"] -= moved * out.problem.move_cost
        sums["lateness"] -= late
        sums["earliness"] -= early
        name = "standing_over" if route.over else "plants"
        sums[name] += route.value + late + early + moved * out.problem.move_cost
    sums["heat"] = out.problem.constant
    return {name: value / WORTH_SCALE for name, value in sums.items()}


def versions() -> dict[str, str]:
    """Of what decides the result."""
    found = {}
    for name in ("propsched", "numpy", "ortools"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    return found


def whole(value: float) -> float:
    """Worth as people see it."""
    return value / WORTH_SCALE
