"""
The independent checker: every rule, every worth and the bound, worked out anew.

It shares nothing with the planner but the tables: plain loops over the stops, and
its own backward sums for the bound.
"""

from itertools import pairwise

import numpy as np

from propsched.optimise.check_bound import price_bound
from propsched.optimise.check_modes import mode_cost, mode_faults, tie_faults
from propsched.optimise.problem import NEVER, PPM, Problem, Route, Stop, Task
from propsched.optimise.solution import Solution


def check(problem: Problem, solution: Solution) -> tuple[str, ...]:
    """
    Faults of a solution, as sentences; empty when there is none.

    Parameters
    ----------
    problem : Problem
    solution : Solution
        From any method.
    """
    faults: list[str] = []
    sound: list[Route] = []
    seen: set[int] = set()
    for route in solution.routes:
        if not 0 <= route.task < len(problem.tasks):
            faults.append(f"Task {route.task} does not exist.")
            continue
        name = problem.tasks[route.task].name
        if route.task in seen:
            faults.append(f"{name} is placed twice.")
        seen.add(route.task)
        wrong = _route_faults(problem, route)
        faults += [f"{name}: {what}." for what in wrong]
        if not wrong:
            sound.append(route)
    for b, task in enumerate(problem.tasks):
        if task.must and b not in seen:
            faults.append(f"{task.name} must be placed and is not.")
    faults += _area_faults(problem, sound)
    faults += _minute_faults(problem, sound)
    faults += mode_faults(problem, solution, sound)
    faults += tie_faults(problem, sound)
    faults += _worth_faults(problem, solution)
    return tuple(faults)


def _route_faults(problem: Problem, route: Route) -> list[str]:
    task = problem.tasks[route.task]
    shape = _shape_fault(problem, task, route)
    if shape is not None:
        return [shape]
    faults = _start_faults(problem, task, route.stops[0])
    for stop, later in pairwise(route.stops):
        if later.start != stop.end:
            faults.append(
                f"stage {stop.stage} ends on another day than the next starts"
            )
    for i, stop in enumerate(route.stops):
        faults += _pin_faults(task, stop)
        last = i == len(route.stops) - 1
        if last and route.over:
            faults += _standing_faults(problem, task, stop)
        else:
            faults += _leaving_faults(problem, task, stop, last=last)
    if not faults and route.value != _value(problem, task, route):
        faults.append(f"is worth {_value(problem, task, route)}, not {route.value}")
    return faults


def _shape_fault(problem: Problem, task: Task, route: Route) -> str | None:
    """What makes the stops no way through the stages at all."""
    last = len(problem.stages(task)) - 1
    stages = [stop.stage for stop in route.stops]
    if not stages:
        return "has no stops"
    wanted = list(range(task.first_stage, task.first_stage + len(stages)))
    if stages != wanted or stages[-1] > last:
        return f"goes through stages {stages}, not one after the other from its first"
    if not route.over and stages[-1] != last:
        return "ends before its last stage and does not stand over"
    variants = len(problem.space_of)
    if any(not 0 <= stop.variant < variants for stop in route.stops):
        return "stands in a variant that does not exist"
    if any(not 0 <= stop.start < problem.days for stop in route.stops):
        return "starts a stage outside the season"
    return None


def _standing_faults(problem: Problem, task: Task, stop: Stop) -> list[str]:
    faults = []
    if stop.end != problem.days:
        faults.append("stands over but not to the season's end")
    if problem.stages(task)[stop.stage].over_success[stop.variant, stop.start] < 0:
        faults.append(f"may not stand over in stage {stop.stage} there then")
    return faults


def _start_faults(problem: Problem, task: Task, stop: Stop) -> list[str]:
    for pin in task.pins:
        if pin.stage == stop.stage and pin.start is not None:
            return []
    faults = []
    if not task.earliest <= stop.start <= task.latest:
        faults.append("starts on a day on which its material is not there")
    if not problem.work[stop.start]:
        faults.append("starts on a day that is no work day")
    return faults


def _pin_faults(task: Task, stop: Stop) -> list[str]:
    faults = []
    for pin in task.pins:
        if pin.stage != stop.stage:
            continue
        if pin.variants and stop.variant not in pin.variants:
            faults.append(f"stage {stop.stage} stands elsewhere than pinned")
        if pin.start is not None and stop.start != pin.start:
            faults.append(f"stage {stop.stage} starts on another day than pinned")
    return faults


def _leaving_faults(
    problem: Problem, task: Task, stop: Stop, *, last: bool
) -> list[str]:
    table = problem.stages(task)[stop.stage]
    length = int(table.length[stop.variant, stop.start])
    for pin in task.pins:
        here = pin.stage == stop.stage and pin.start == stop.start
        if here and pin.length is not None:
            length = pin.length
    if length >= NEVER:
        return [f"stage {stop.stage} may not start there then"]
    if not stop.start < stop.end < problem.days:
        return [f"stage {stop.stage} leaves on no day of the season after its start"]
    faults = []
    if stop.end < stop.start + length:
        faults.append(f"stage {stop.stage} leaves before it is through")
    if stop.end > stop.start + length + table.wait:
        faults.append(f"stage {stop.stage} waits too long")
    nexts = [pin.start for pin in task.pins if pin.stage == stop.stage + 1]
    barred = problem.away if table.any_day else ~problem.work
    if barred[stop.end] and (last or stop.end not in nexts):
        why = (
            "while nobody is there" if table.any_day else "on a day that is no work day"
        )
        faults.append(f"stage {stop.stage} leaves {why}")
    if last and stop.end < task.gate:
        faults.append("is out before its gate opens")
    return faults


def _value(problem: Problem, task: Task, route: Route) -> int:
    tables = problem.stages(task)
    weight = value = task.over_weight if route.over else task.weight
    for i, stop in enumerate(route.stops):
        table = tables[stop.stage]
        stands = route.over and i == len(route.stops) - 1
        share = (table.over_success if stands else table.success)[
            stop.variant, stop.start
        ]
        # Of the plants wanted; spare ones only make up for what is lost.
        through = min(PPM, task.share[stop.stage] * int(share) // PPM)
        value -= weight * (PPM - through) // PPM
        value += _kept(problem, task, stop)
    out = route.stops[-1].end
    if not route.over:
        if task.wanted_by is not None:
            value -= task.late_per_day * max(0, out - task.wanted_by)
        if task.wanted_from is not None:
            value -= task.early_per_day * max(0, task.wanted_from - out)
    spaces = [int(problem.space_of[stop.variant]) for stop in route.stops]
    moves = sum(a != b for a, b in pairwise(spaces))
    return value - problem.move_cost * moves


def _kept(problem: Problem, task: Task, stop: Stop) -> int:
    """Worth of keeping to the plan in force."""
    space = int(problem.space_of[stop.variant])
    return sum(
        max(0, kept.worth - kept.per_day * abs(stop.start - kept.start))
        for kept in task.kept
        if (kept.stage, kept.space) == (stop.stage, space)
    )


def _area_faults(problem: Problem, routes: list[Route]) -> list[str]:
    used = np.zeros(problem.capacity.shape, dtype=np.int64)
    for route in routes:
        task = problem.tasks[route.task]
        for stop in route.stops:
            space = problem.space_of[stop.variant]
            used[space, stop.start : stop.end] += task.area[stop.stage]
    faults = []
    too_much = (used > problem.capacity) & (used > 0)
    for space, days in enumerate(too_much):
        over = np.flatnonzero(days)
        if over.size:
            name = problem.space_names[space] if problem.space_names else f"{space}"
            faults.append(f"Space {name} is overfull on day {over[0]}.")
    return faults


def _minute_faults(problem: Problem, routes: list[Route]) -> list[str]:
    used = np.zeros(problem.days, dtype=np.int64)
    for route in routes:
        task = problem.tasks[route.task]
        for stop in route.stops:
            if problem.work[stop.start] and not (
                task.under_way and stop.stage == task.first_stage
            ):
                used[stop.start] += task.minutes[stop.stage]
        last = route.stops[-1]
        if not route.over and problem.work[last.end]:
            used[last.end] += task.minutes[last.stage + 1]
    over = np.flatnonzero(problem.work & (used > problem.minutes) & (used > 0))
    return [f"Day {day} asks for more work than it allows." for day in over[:1]]


def _worth_faults(problem: Problem, solution: Solution) -> list[str]:
    faults = []
    total = sum(route.value for route in solution.routes) + problem.constant
    total -= mode_cost(problem, solution)
    if total != solution.worth:
        faults.append(f"The worth is {total}, not {solution.worth}.")
    if solution.worth > solution.bound:
        faults.append("The worth is above its bound.")
    if (solution.status == "optimal") != (
        solution.worth == solution.bound and bool(problem.tasks)
    ):
        faults.append("The status does not say what worth and bound say.")
    known = ("optimal", "within gap", "time limit", "stopped", "nothing to plan")
    if solution.status not in known:
        faults.append(f"There is no status {solution.status}.")
    proven = price_bound(problem, solution)
    if isinstance(proven, str):
        return [*faults, proven]
    if solution.proof == "prices" and solution.bound != proven:
        faults.append(f"The prices prove a bound of {proven}, not {solution.bound}.")
    if solution.proof == "every route" and solution.bound > proven:
        faults.append("The bound is above what the prices prove.")
    if solution.proof not in ("prices", "every route"):
        faults.append(f"There is no proof by {solution.proof}.")
    return faults
