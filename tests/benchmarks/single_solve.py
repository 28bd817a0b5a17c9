"""The one CP-SAT model, solved from a plan that is known, telling how it goes."""

import time
from collections.abc import Callable
from dataclasses import dataclass

from benchmarks.single import Single
from benchmarks.single_draft import Chain, Values
from benchmarks.valued import Plan, valued
from ortools.sat.python import cp_model

from propsched.optimise.problem import Problem, Stop

Tell = Callable[[Plan, float], None]
"""Told of each better plan, and the seconds since the start."""


@dataclass(frozen=True)
class Answer:
    plan: Plan | None
    bound: float | None
    status: str
    built_s: float


class _Listener(cp_model.CpSolverSolutionCallback):
    def __init__(self, single: Single, began: float, tell: Tell) -> None:
        super().__init__()
        self.single, self.began, self.tell = single, began, tell

    def on_solution_callback(self) -> None:
        plan = read_plan(self.single, self.value)
        self.tell(plan, time.perf_counter() - self.began)


def solve_single(
    problem: Problem,
    *,
    time_limit_s: float,
    gap: float,
    threads: int = 2,
    start: Plan | None = None,
    tell: Tell | None = None,
    note: Callable[[str], None] | None = None,
    seed: int = 0,
) -> Answer:
    """
    The best plan by the one model; writing it down counts as time.

    Parameters
    ----------
    start : Plan, optional
        Given as a hint, complete.
    """
    began = time.perf_counter()
    single = Single(problem)
    if start is not None:
        hint(single, start)
    built = time.perf_counter() - began
    if note is not None:
        note(f"model written down in {built:.1f} s")
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.1, time_limit_s - built)
    solver.parameters.num_workers = threads
    solver.parameters.relative_gap_limit = gap
    solver.parameters.random_seed = seed
    # Presolve as usual takes longer than all there is; with less of it better plans
    # were found than with none, on the sizes that were tried (20x6, 60x8).
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    solver.parameters.max_presolve_iterations = 1
    listener = _Listener(single, began, tell or (lambda _plan, _seconds: None))
    status = solver.solve(single.cp, listener)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Answer(
        read_plan(single, solver.value) if found else None,
        solver.best_objective_bound if found else None,
        solver.status_name(status),
        built,
    )


def read_plan(single: Single, value: Callable[[cp_model.IntVar], int]) -> Plan:
    """The plan that values of the variables stand for."""
    routes = []
    for chain in single.chains:
        if value(chain.present):
            stops = list(_stops(single, chain, value))
            routes.append(valued(single.problem, chain.task, stops, over=chain.over))
    modes = tuple(m for (_, m), y in single.modes.items() if value(y))
    return Plan(tuple(routes), modes)


def _stops(
    single: Single, chain: Chain, value: Callable[[cp_model.IntVar], int]
) -> list[Stop]:
    stops = []
    for k in chain.here:
        for (i, v), x in chain.on.items():
            if i == k and value(x):
                end = value(chain.days[k + 1])
                stops.append(Stop(k, v, value(chain.days[k]), end))
        for (i, v), x in chain.stays.items():
            if i == k and value(x):
                end = single.problem.days
                stops.append(Stop(k, v, value(chain.days[k]), end))
    return stops


def hint(single: Single, plan: Plan) -> None:
    """Tell the model a whole plan: every variable has its value."""
    values: Values = {}
    by_task = {route.task: route for route in plan.routes}
    for chain in single.chains:
        route = by_task.get(chain.task)
        mine = route is not None and route.over == chain.over
        values[chain.present.index] = int(mine)
        for day in chain.days.values():
            values[day.index] = single.domain[day.index][0]
        for x in (*chain.on.values(), *chain.stays.values()):
            values[x.index] = 0
        if route is None or not mine:
            continue
        for stop in route.stops:
            stays = route.over and stop is route.stops[-1]
            values[chain.days[stop.stage].index] = stop.start
            if not stays:
                values[chain.days[stop.stage + 1].index] = stop.end
            kind = chain.stays if stays else chain.on
            values[kind[stop.stage, stop.variant].index] = 1
    for (p, m), y in single.modes.items():
        values[y.index] = int(plan.modes[p] == m)
    for variable, follow in single.derived:
        values[variable.index] = follow(values)
    for index, value in values.items():
        single.cp.proto.solution_hint.vars.append(index)
        single.cp.proto.solution_hint.values.append(value)
