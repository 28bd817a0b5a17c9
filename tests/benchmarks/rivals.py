"""Other ways to plan the same tables: a grower's rule of thumb, and a plain MIP."""

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from optimise.mip import solve_mip

from propsched.optimise.problem import (
    NEVER,
    Problem,
    Route,
    Stop,
    Task,
    loss,
)


@dataclass(frozen=True)
class RivalPlan:
    """What a rival came to."""

    worth: float | None
    bound: float | None
    seconds: float
    routes: tuple[Route, ...] = ()


def highs(problem: Problem, time_limit_s: float, gap: float, threads: int) -> RivalPlan:
    """The time-indexed programme in HiGHS; writing it down counts."""
    began = time.perf_counter()
    answer = solve_mip(problem, time_limit_s, gap, threads)
    return RivalPlan(answer.worth, answer.bound, time.perf_counter() - began)


class _Bench:
    """Area and minutes left, by day."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.area = problem.capacity.copy()
        self.minutes = np.where(problem.work, problem.minutes, 10**9)

    def holds(self, space: int, first: int, end: int, area: int) -> bool:
        return bool((self.area[space, first:end] >= area).all())

    def take(self, task: Task, stops: list[Stop]) -> None:
        for stop in stops:
            space = self.problem.space_of[stop.variant]
            self.area[space, stop.start : stop.end] -= task.area[stop.stage]
            self.minutes[stop.start] -= task.minutes[stop.stage]
        if stops[-1].end < self.problem.days:
            self.minutes[stops[-1].end] -= task.minutes[stops[-1].stage + 1]


def rule_of_thumb(problem: Problem, warmth: NDArray[np.float64]) -> RivalPlan:
    """
    A careful grower without a computer.

    In the order of wanted dates, each batch is started on the first day that has
    room, always in the warmest suitable space that is free for the stage, and moved
    on the first day it can be; if the gate is not open yet, it is started so much
    later.  No pins, no standing over.

    Parameters
    ----------
    warmth : (V, D) array
        Root-zone temperature by variant and day. [°C]
    """
    began = time.perf_counter()
    bench = _Bench(problem)
    routes = []
    order = sorted(
        range(len(problem.tasks)),
        key=lambda b: (problem.tasks[b].wanted_by or problem.days, b),
    )
    for b in order:
        task = problem.tasks[b]
        for d in range(task.earliest, min(task.latest, problem.days - 1) + 1):
            if not problem.work[d]:
                continue
            stops = _walk(problem, bench, task, d, warmth)
            if stops is None:
                continue
            value = _value(problem, task, stops)
            if value > 0:
                bench.take(task, stops)
                routes.append(Route(b, tuple(stops), False, value))
                break
    worth = sum(route.value for route in routes) + problem.constant
    seconds = time.perf_counter() - began
    return RivalPlan(float(worth), None, seconds, tuple(routes))


def _walk(
    problem: Problem, bench: _Bench, task: Task, d: int, warmth: NDArray[np.float64]
) -> list[Stop] | None:
    """Through all stages from day ``d``, each in the warmest space that is free."""
    stops: list[Stop] = []
    tables = problem.stages(task)
    for stage in range(task.first_stage, len(tables)):
        if bench.minutes[d] < task.minutes[stage]:
            return None
        last = stage == len(tables) - 1
        for v in np.argsort(-warmth[:, d], kind="stable"):
            end = _first_leave(problem, task, stage, int(v), d, last=last)
            if end is None:
                continue
            space = int(problem.space_of[v])
            if bench.holds(space, d, end, task.area[stage]):
                stops.append(Stop(stage, int(v), d, end))
                d = end
                break
        else:
            return None
    return stops if bench.minutes[d] >= task.minutes[-1] else None


def _first_leave(
    problem: Problem, task: Task, stage: int, v: int, d: int, *, last: bool
) -> int | None:
    table = problem.stages(task)[stage]
    length = int(table.length[v, d])
    if length >= NEVER:
        return None
    for e in range(d + length, min(problem.days, d + length + table.wait + 1)):
        free = not problem.away[e] if table.any_day else problem.work[e]
        if free and not (last and e < task.gate):
            return e
    return None


def _value(problem: Problem, task: Task, stops: list[Stop]) -> int:
    tables = problem.stages(task)
    value = task.weight
    for i, stop in enumerate(stops):
        success = tables[stop.stage].success[stop.variant, stop.start]
        value -= int(loss(task, stop.stage, success))
        if (
            i
            and problem.space_of[stop.variant] != problem.space_of[stops[i - 1].variant]
        ):
            value -= problem.move_cost
    out = stops[-1].end
    if task.wanted_by is not None:
        value -= task.late_per_day * max(0, out - task.wanted_by)
    if task.wanted_from is not None:
        value -= task.early_per_day * max(0, task.wanted_from - out)
    return value
