"""
The time-indexed programme in HiGHS, from a plan that is known, telling how it goes.

A plan given is passed as values of all columns; better ones are told by HiGHS's
callback, the last one is turned back into routes.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass

import highspy
import numpy as np
from benchmarks.indexed_model import Indexed
from benchmarks.valued import Plan, valued
from numpy.typing import NDArray

from propsched.optimise.problem import Problem, Stop

Floats = NDArray[np.float64]
PROBING = 1 << 15
"""The rule of HiGHS's presolve that took most of the time there is: without it 60x8w
came to its first bound in 22 s and not 40."""


@dataclass(frozen=True)
class Answer:
    plan: Plan | None
    bound: float | None
    note: str


def solve_indexed(
    problem: Problem,
    *,
    time_limit_s: float,
    gap: float,
    threads: int = 2,
    start: Plan | None = None,
    tell: Callable[[Plan, float], None] | None = None,
    note: Callable[[str], None] | None = None,
) -> Answer:
    """The best plan by the programme; writing it down counts as time."""
    began = time.perf_counter()
    programme = Indexed(problem)
    model = programme.rows.model()
    built = time.perf_counter() - began
    rows = programme.rows
    size = (
        f"{rows.width:,} columns and {rows.height:,} rows written down in {built:.1f} s"
    )
    if note is not None:
        note(size)
    if start is not None:
        known = highspy.HighsSolution()
        known.col_value = values_of(programme, start)
        known.value_valid = True
        model.setSolution(known)

    def better(event: object) -> None:
        if tell is not None:
            chosen = np.array(event.data_out.mip_solution) > 0.5
            tell(read_plan(programme, chosen), time.perf_counter() - began)

    model.cbMipImprovingSolution += better
    model.setOptionValue("mip_rel_gap", gap)
    model.setOptionValue("mip_abs_gap", 1e-6 if gap == 0.0 else 0.0)
    left = time_limit_s - (time.perf_counter() - began)
    model.setOptionValue("time_limit", max(0.1, left))
    model.setOptionValue("threads", threads)
    model.setOptionValue("presolve_rule_off", PROBING)
    # The crew of whoever solved before in this process may be of another size.
    highspy.Highs.resetGlobalScheduler(True)
    model.run()
    status = model.modelStatusToString(model.getModelStatus()).lower()
    info = model.getInfo()
    bound = float(info.mip_dual_bound) + problem.constant
    plan = None
    if info.primal_solution_status == 2:
        chosen = np.array(model.getSolution().col_value) > 0.5
        plan = read_plan(programme, chosen)
    return Answer(plan, bound if np.isfinite(bound) else None, f"{status}, {size}")


def read_plan(programme: Indexed, chosen: NDArray[np.bool_]) -> Plan:
    """The plan that chosen columns stand for."""
    routes = []
    for way in programme.ways:
        starts = [
            (k, some.variant[i], some.day[i])
            for k, some in way.starts.items()
            for i in np.flatnonzero(chosen[np.array(some.column, dtype=np.int64)])
        ]
        if not starts:
            continue
        left = [day for day, column in way.leave.items() if chosen[column]]
        ends = [day for _, _, day in starts[1:]] + (left or [programme.problem.days])
        stops = [
            Stop(k, v, day, end) for (k, v, day), end in zip(starts, ends, strict=True)
        ]
        routes.append(valued(programme.problem, way.task, stops, over=way.over))
    modes = tuple(m for (_, m), y in programme.modes.items() if chosen[y])
    return Plan(tuple(routes), modes)


def values_of(programme: Indexed, plan: Plan) -> Floats:
    """Of all columns the values that stand for a plan."""
    values = np.zeros(programme.rows.width)
    by_task = {route.task: route for route in plan.routes}
    for way in programme.ways:
        route = by_task.get(way.task)
        if route is None or route.over != way.over:
            continue
        for stop in route.stops:
            starts = way.starts[stop.stage]
            stays = stop.end == programme.problem.days
            found = zip(
                starts.column, starts.variant, starts.day, starts.through, strict=True
            )
            for column, v, day, through in found:
                same = (v, day) == (stop.variant, stop.start)
                if same and (through >= programme.problem.days) == stays:
                    values[column] = 1.0
        if not way.over:
            values[way.leave[route.stops[-1].end]] = 1.0
    for (p, m), y in programme.modes.items():
        values[y] = float(plan.modes[p] == m)
    for follow in programme.derived:
        follow(values)
    return values
