"""
A careful grower without a computer: the rule of thumb.

In the order of wanted dates each batch goes, stage by stage, into the warmest
suitable space that is free, and is moved on the first day it can be.  What is under
way or pinned comes first.  Batches are started either on the first day that serves
or on the last day from which they are still ready by the wanted date; the better of
the two whole plans counts.  What finds no way to be ready may stand over.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from benchmarks.valued import valued
from numpy.typing import NDArray

from propsched.optimise.problem import (
    NEVER,
    Mode,
    Period,
    Pinned,
    Problem,
    Route,
    Stop,
    Task,
)

TRIES = 200
"""Spaces a grower thinks through for one start before giving up."""


@dataclass
class Bench:
    """Area and minutes left, by day."""

    problem: Problem
    modes: tuple[int, ...]
    """Of each period the mode chosen."""
    open: NDArray[np.bool_] = field(init=False)
    """Where the modes let something stand. (V, D)"""
    area: NDArray[np.int64] = field(init=False)
    minutes: NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        self.open = np.ones(
            (self.problem.space_of.size, self.problem.days), dtype=np.bool_
        )
        for period, mode in zip(self.problem.periods, self.modes, strict=True):
            days = slice(period.first, period.end)
            self.open[self.problem.space_of == period.space, days] = False
            self.open[list(period.modes[mode].variants), days] = True
        self.area = self.problem.capacity.copy()
        self.minutes = np.where(self.problem.work, self.problem.minutes, 10**9)

    def holds(self, stop: Stop, task: Task) -> bool:
        space = self.problem.space_of[stop.variant]
        free = self.area[space, stop.start : stop.end]
        stands = self.open[stop.variant, stop.start : stop.end]
        return bool((free >= task.area[stop.stage]).all() and stands.all())

    def take(self, task: Task, route: Route) -> None:
        for stop in route.stops:
            space = self.problem.space_of[stop.variant]
            self.area[space, stop.start : stop.end] -= task.area[stop.stage]
            if not task.begun(stop.stage):
                self.minutes[stop.start] -= task.minutes[stop.stage]
        if not route.over:
            self.minutes[route.stops[-1].end] -= task.minutes[-1]


def rule_of_thumb(
    problem: Problem, warmth: NDArray[np.float64], modes: tuple[int, ...] = ()
) -> tuple[Route, ...]:
    """
    The better of two whole plans by the rule of thumb.

    Parameters
    ----------
    warmth : array of shape (V, D)
        Root-zone temperature by variant and day. [°C]
    modes : tuple of int
        How each space is run in each period; see ``usual_modes``.
    """
    return max(
        (_grower(problem, warmth, modes, late=late) for late in (False, True)),
        key=lambda routes: sum(route.value for route in routes),
    )


def usual_modes(problem: Problem, warmth: NDArray[np.float64]) -> tuple[int, ...]:
    """
    How a grower runs spaces: heat always on, the bed made up when most can use it.

    Of the modes of a period the warmest; where modes differ by when they begin to
    serve, as a bed's do, the one whose first usable day lies in the sowing time of
    most batches, of several the earliest.
    """
    return tuple(
        max(
            range(len(period.modes)),
            key=lambda m: _liked(problem, warmth, period, period.modes[m]),
        )
        for period in problem.periods
    )


def _liked(
    problem: Problem, warmth: NDArray[np.float64], period: Period, mode: Mode
) -> tuple[float, ...]:
    if not mode.variants:
        return (-1.0, 0.0, 0.0)
    days = slice(period.first, period.end)
    begins = min(_first_used(problem, v, period) for v in mode.variants)
    in_time = sum(
        task.earliest <= begins <= task.latest and not task.under_way
        for task in problem.tasks
    )
    warm = float(warmth[list(mode.variants), days].mean(axis=1).max())
    if begins == period.first:
        return (float(len(problem.tasks)), warm, 0.0)
    return (float(in_time), -float(begins), warm)


def _first_used(problem: Problem, v: int, period: Period) -> int:
    """First day of a period on which any stage of any crop may start there."""
    lengths = np.array(
        [
            table.length[v, period.first : period.end] < NEVER
            for stages in problem.profiles
            for table in stages
        ]
    )
    used = np.flatnonzero(lengths.any(axis=0))
    return period.first + int(used[0]) if used.size else problem.days


def lit(
    problem: Problem, routes: tuple[Route, ...], modes: tuple[int, ...]
) -> tuple[int, ...]:
    """The same, with the cheapest mode wherever nothing stood in a period."""
    found = []
    for period, mode in zip(problem.periods, modes, strict=True):
        used = any(
            problem.space_of[stop.variant] == period.space
            and stop.start < period.end
            and period.first < stop.end
            for route in routes
            for stop in route.stops
        )
        costs = [one.cost for one in period.modes]
        found.append(mode if used else costs.index(min(costs)))
    return tuple(found)


def _grower(
    problem: Problem,
    warmth: NDArray[np.float64],
    modes: tuple[int, ...],
    *,
    late: bool,
) -> tuple[Route, ...]:
    bench, routes = Bench(problem, modes), []
    tasks = problem.tasks
    order = sorted(
        range(len(tasks)),
        key=lambda b: (not tasks[b].must, tasks[b].wanted_by or problem.days, b),
    )
    for b in order:
        route = _place(problem, bench, b, warmth, late=late)
        if route is not None and (route.value > 0 or tasks[b].must):
            bench.take(tasks[b], route)
            routes.append(route)
    return tuple(routes)


def _place(
    problem: Problem, bench: Bench, b: int, warmth: NDArray[np.float64], *, late: bool
) -> Route | None:
    task = problem.tasks[b]
    days = list(_start_days(problem, task))
    found = [_walk(problem, bench, b, d, warmth, over=False) for d in days]
    ready = [route for route in found if route is not None]
    if ready:
        wanted = problem.days if task.wanted_by is None else task.wanted_by
        timely = [route for route in ready if route.stops[-1].end <= wanted]
        return timely[-1] if late and timely else ready[0]
    standing = (_walk(problem, bench, b, d, warmth, over=True) for d in days)
    return next((route for route in standing if route is not None), None)


def _start_days(problem: Problem, task: Task) -> Iterable[int]:
    fixed = [p.start for p in _pins(task, task.first_stage) if p.start is not None]
    if fixed:
        return fixed[:1]
    last = min(task.latest, problem.days - 1)
    return (d for d in range(max(0, task.earliest), last + 1) if problem.work[d])


def _pins(task: Task, stage: int) -> tuple[Pinned, ...]:
    return tuple(pin for pin in task.pins if pin.stage == stage)


def _walk(
    problem: Problem,
    bench: Bench,
    b: int,
    d: int,
    warmth: NDArray[np.float64],
    *,
    over: bool,
) -> Route | None:
    """The warmest free space from which it can go on; over: the last one stays."""
    task, tries = problem.tasks[b], [TRIES]

    def onward(stage: int, day: int, stops: list[Stop]) -> list[Stop] | None:
        tries[0] -= 1
        if tries[0] < 0:
            return None
        if stage == len(task.area):
            return stops if bench.minutes[day] >= task.minutes[-1] else None
        if bench.minutes[day] < task.minutes[stage] and not task.begun(stage):
            return None
        for stop in _choices(problem, bench, task, stage, day, warmth):
            way = onward(stage + 1, stop.end, [*stops, stop])
            if way is not None:
                return way
        last = _stand(problem, bench, task, stage, day, warmth) if over else None
        return None if last is None else [*stops, last]

    way = onward(task.first_stage, d, [])
    if way is None:
        return None
    return valued(problem, b, way, over=way[-1].end == problem.days)


def _choices(
    problem: Problem,
    bench: Bench,
    task: Task,
    stage: int,
    d: int,
    warmth: NDArray[np.float64],
) -> Iterable[Stop]:
    """Spaces from warm to cold, left on the first day it can be, else the last."""
    for v in _by_warmth(task, stage, d, warmth):
        ends = _leaving(problem, task, stage, v, d)
        for end in dict.fromkeys([*ends[:1], *ends[-1:]]):
            stop = Stop(stage, v, d, end)
            if bench.holds(stop, task):
                yield stop


def _stand(
    problem: Problem,
    bench: Bench,
    task: Task,
    stage: int,
    d: int,
    warmth: NDArray[np.float64],
) -> Stop | None:
    table = problem.stages(task)[stage]
    for v in _by_warmth(task, stage, d, warmth):
        stop = Stop(stage, v, d, problem.days)
        if table.over_success[v, d] >= 0 and bench.holds(stop, task):
            return stop
    return None


def _by_warmth(
    task: Task, stage: int, d: int, warmth: NDArray[np.float64]
) -> Iterable[int]:
    allowed = [set(pin.variants) for pin in _pins(task, stage) if pin.variants]
    for v in np.argsort(-warmth[:, d], kind="stable"):
        if all(int(v) in some for some in allowed):
            yield int(v)


def _leaving(problem: Problem, task: Task, stage: int, v: int, d: int) -> list[int]:
    table = problem.stages(task)[stage]
    known = [p.length for p in _pins(task, stage) if p.length is not None]
    length = known[0] if known else int(table.length[v, d])
    if length >= NEVER:
        return []
    free = ~problem.away if table.any_day else problem.work
    gate = task.gate if stage == len(problem.stages(task)) - 1 else 0
    first = max(d + length, gate)
    stop = min(problem.days, d + length + table.wait + 1)
    return [e for e in range(first, stop) if free[e]]
