"""The planner's routes written out as a plan in dates, plants and money."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from importlib.metadata import PackageNotFoundError, version

import numpy as np
from numpy.typing import NDArray

from propsched.advice.state import BatchState
from propsched.biology.development import rank_of
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.domain.container import TRAY_M2
from propsched.domain.plan import (
    BatchPlan,
    Placement,
    Scarce,
    StandingOver,
)
from propsched.domain.space import told
from propsched.optimise.explain import area_worth
from propsched.optimise.problem import (
    AREA_SCALE,
    WORTH_SCALE,
    Problem,
    Route,
    Stop,
    loss,
    over_loss,
)
from propsched.optimise.solution import Solution
from propsched.service.chosen import (
    MONEY_DIGITS,
    chosen_states,
    kwh_by_day,
    mode_cost,
)
from propsched.service.ground import Ground
from propsched.service.near import all_kept, change_cost, kept_value
from propsched.service.raised import Raised
from propsched.service.rehearse import Walk
from propsched.service.tasks import counted
from propsched.service.underway import through

MEDIAN = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What is needed to say in words what the solver decided."""

    ground: Ground
    problem: Problem
    solution: Solution
    raised: tuple[Raised, ...]
    """One for each task of the problem."""
    growths: Mapping[tuple[str, str, str], tuple[StageGrowth, ...]]
    states: Mapping[str, BatchState]
    """Batches under way."""
    walks: Mapping[int, Walk] = field(default_factory=dict)
    """Each task's way in every winter; without it dates are told as booked."""

    @property
    def first(self) -> date:
        return self.ground.season.start

    def date(self, day: int) -> date:
        return self.first + timedelta(days=int(day))

    def space(self, variant: int) -> str:
        return self.ground.zone.variants[variant].space.id

    def place(self, variant: int) -> str:
        """The space, with what of its state is worth telling: ``bench (heat on)``."""
        state = told(self.ground.zone.variants[variant].name)
        return f"{self.space(variant)} ({state})" if state else self.space(variant)


def placements(out: Written) -> tuple[Placement, ...]:
    """Every stage of every route, in order of day and batch."""
    found = []
    for route in out.solution.routes:
        one = out.raised[route.task]
        task = out.problem.tasks[route.task]
        for stop, begins, moved in _told_stops(route, one):
            needs = one.crop.stages[stop.stage]
            plants, _ = counted(one, out.states.get(one.batch.id))
            found.append(
                Placement(
                    batch=one.batch.id,
                    crop=one.crop.name,
                    method=one.crop.method,
                    stage=needs.stage,
                    space=out.space(stop.variant),
                    start=out.date(begins),
                    end=out.date(stop.end),
                    end_latest=out.date(_leaves(out, route, stop)),
                    root_mean_c=round(
                        _root_mean(out, stop.variant, begins, stop.end), 1
                    ),
                    area_m2=task.area[stop.stage] / AREA_SCALE,
                    containers=needs.container.number(plants[stop.stage]),
                    container=needs.container.name,
                    variant=out.ground.zone.variants[stop.variant].name,
                    moved=moved,
                )
            )
    return tuple(sorted(found, key=lambda p: (p.start, p.batch, p.end)))


def _told_stops(route: Route, one: Raised) -> Iterator[tuple[Stop, int, bool]]:
    """
    The stops with the day each begins, and whether it goes on with the stage before.

    A stage in two parts that is not moved after all is one stop.
    """
    begins = None
    for stop, after in zip(route.stops, (*route.stops[1:], None), strict=True):
        start = stop.start if begins is None else begins
        begins = None
        again = stop.stage > 0 and _same_stage(one, stop.stage - 1, stop.stage)
        moved = again and start == stop.start and stop is not route.stops[0]
        stays = after is not None and after.variant == stop.variant
        if after is not None and stays and _same_stage(one, stop.stage, after.stage):
            begins = start
            continue
        yield stop, start, moved


def _same_stage(one: Raised, stage: int, other: int) -> bool:
    return one.crop.stages[stage].stage == one.crop.stages[other].stage


def _root_mean(out: Written, variant: int, start: int, end: int) -> float:
    hours = slice(24 * (out.ground.offset + start), 24 * (out.ground.offset + end))
    return float(out.ground.zone.root_c[variant, :, hours].mean(dtype=np.float64))


def batches(out: Written, reasons: Mapping[int, str]) -> tuple[BatchPlan, ...]:
    """What becomes of each batch raised; ``reasons`` by task say why there."""
    cost, own = cost_by_task(out), dict[str, list[Route]]()
    for route in sorted(out.solution.routes, key=lambda r: r.task):
        own.setdefault(out.raised[route.task].batch.id, []).append(route)
    wanted = {r.batch.id: r.batch.wanted for r in out.raised if not r.part}
    found = []
    for name, routes in own.items():
        ends = [_ready(out, route) for route in routes if not route.over]
        of_half = "; " if len(routes) > 1 else ""
        one = out.raised[routes[0].task]
        found.append(
            BatchPlan(
                batch=name,
                ready=max(out.date(ready) for ready, _ in ends) if ends else None,
                ready_latest=max(out.date(last) for _, last in ends) if ends else None,
                wanted_by=one.batch.wanted_by,
                plants_expected=round(
                    sum(
                        out.raised[r.task].batch.wanted * share(out.problem, r)
                        for r in routes
                    ),
                    1,
                ),
                cost=round(sum(cost[r.task] for r in routes), MONEY_DIGITS),
                wanted=wanted[name],
                reason=of_half.join(reasons.get(r.task, "") for r in routes),
            )
        )
    return tuple(found)


def _ready(out: Written, route: Route) -> tuple[int, int]:
    """Days on which half of the winters, and the share booked, have it ready."""
    walk, booked = out.walks.get(route.task), out.ground.season.weights.quantile
    if walk is not None:
        half, most = (_by_rank(out, walk.ready, rank) for rank in (MEDIAN, booked))
        return half, most
    task, last = out.problem.tasks[route.task], route.stops[-1]
    median = _through(out, route, last, quantile=MEDIAN)
    return min(max(median, task.gate, out.ground.today_day), last.end), last.end


def _leaves(out: Written, route: Route, stop: Stop) -> int:
    """Day by which the share booked of the winters has it moved on."""
    walk, last = out.walks.get(route.task), stop is route.stops[-1]
    if walk is None or (route.over and last):
        return stop.end
    days = walk.leaves[route.stops.index(stop)]
    return max(stop.end, _by_rank(out, days, out.ground.season.weights.quantile))


def _by_rank(out: Written, days: NDArray[np.int64], quantile: float) -> int:
    """The day, no later than the last that is simulated."""
    known = out.ground.zone.horizon.days - out.ground.offset
    return min(int(np.sort(days)[rank_of(quantile, days.size)]), known)


def _through(out: Written, route: Route, stop: Stop, *, quantile: float) -> int:
    """Day of the season a share of the winters is through; NOT_THROUGH."""
    one = out.raised[route.task]
    growth = out.growths[one.profile][stop.stage]
    state = out.states.get(one.batch.id)
    if state is not None and state.space and stop is route.stops[0]:
        return through(
            one, state, growth, out.ground, quantile=quantile, then=stop.variant
        )
    lengths = growth.median if quantile == MEDIAN else growth.booked
    length = int(lengths[stop.variant, out.ground.offset + stop.start])
    return NOT_THROUGH if length == NOT_THROUGH else stop.start + length


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
    states = chosen_states(out.ground, out.problem, out.solution)
    price = out.ground.season.heat.price_per_kwh
    per_day, area = kwh_by_day(out.ground, states) * price, used(out)
    cost = dict.fromkeys(range(len(out.problem.tasks)), 0.0)
    for route in out.solution.routes:
        task = out.problem.tasks[route.task]
        for stop in route.stops:
            s = out.problem.space_of[stop.variant]
            days = slice(stop.start, stop.end)
            part = task.area[stop.stage] / np.maximum(area[s, days], 1)
            cost[route.task] += float((part * per_day[s, days]).sum())
    return cost


def standing_over(out: Written) -> tuple[StandingOver, ...]:
    """Batches unfinished at the season's end, with the day half will be through."""
    found = []
    for route in sorted(out.solution.routes, key=lambda r: r.task):
        if not route.over:
            continue
        one, last = out.raised[route.task], route.stops[-1]
        median = _through(out, route, last, quantile=MEDIAN)
        half = None if median == NOT_THROUGH else out.date(median)
        found.append(
            StandingOver(
                batch=one.batch.id, space=out.space(last.variant), half_by=half
            )
        )
    return tuple(found)


def scarce(out: Written) -> tuple[Scarce, ...]:
    """Worth of one more standard tray for a week, where it is worth anything."""
    price = area_worth(out.problem, out.solution)
    tray = TRAY_M2 * AREA_SCALE / WORTH_SCALE
    found = []
    for s, space in enumerate(out.problem.space_names):
        for monday in range(-out.first.weekday(), out.problem.days, 7):
            week = price[s, max(0, monday) : monday + 7]
            worth = round(float(week.sum()) * tray, 3)
            if worth > 0:
                found.append(
                    Scarce(space=space, week=out.date(monday), worth_per_tray=worth)
                )
    return tuple(found)


def terms(out: Written) -> dict[str, float]:
    """The worth of the plan, term by term; they add up to it."""
    names = (
        "plants", "standing_over", "lateness", "earliness", "moves", "heat", "changes",
    )  # fmt: skip
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
        sums[name] -= kept_value(out.problem, route)
    sums["changes"] = -change_cost(out.problem, out.solution)
    sums["heat"] = out.problem.constant + all_kept(out.problem)
    sums["heat"] -= mode_cost(out.problem, out.solution)
    return {name: value / WORTH_SCALE for name, value in sums.items()}


def versions() -> dict[str, str]:
    """Of what decides the result."""
    found = {}
    for name in ("propsched", "numpy", "highspy", "ortools"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    return found


def whole(value: float) -> float:
    """Worth as people see it."""
    return value / WORTH_SCALE
