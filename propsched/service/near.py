"""Keep to the plan in force: what it placed, and what each difference costs."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from propsched.advice.parts import told_apart
from propsched.domain.plan import Placement, Plan, ways
from propsched.domain.season import Season
from propsched.optimise.problem import (
    WORTH_SCALE,
    Kept,
    Problem,
    Route,
    Task,
    kept_worth,
)
from propsched.optimise.solution import Solution
from propsched.service.raised import Raised

APART_D = 14
"""Days from the day planned on which a placement counts as another one; judgement."""


def keep_to(
    problem: Problem,
    plan: Plan,
    raised: Iterable[Raised],
    season: Season,
    *,
    today: date,
) -> Problem:
    """
    The problem in which each difference from a plan costs.

    What a plan placed and what is still to come is worth the weight ``change`` if it
    is kept, less with every day it is moved, and the constant is lowered by as much,
    so that the plan itself loses nothing and a batch given up pays for all its
    placements.  What stands already, is done, or would be in a space that is no more
    cannot be kept or given up, and counts for nothing.  What should have begun before
    today is kept by beginning on the next work day.  A batch that was split is kept by
    its halves, each as it was.

    Parameters
    ----------
    raised : iterable of Raised
        One for each task of the problem.
    """
    worth = round(season.weights.change * WORTH_SCALE)
    if worth <= 0:
        return problem
    now = max(0, season.horizon.day(today))
    work = np.flatnonzero(problem.work[now:])
    soonest = now + int(work[0]) if work.size else now
    placed = by_name(plan)
    tasks, total = [], 0
    for task, one in zip(problem.tasks, raised, strict=True):
        kept = []
        stages = [str(needs.stage) for needs in one.crop.stages]
        for stage, old in to_come(stages, placed.get(task.name, ()), task):
            if old.space not in problem.space_names:
                continue
            start = season.horizon.day(old.start)
            kept.append(
                Kept(
                    stage=stage,
                    space=problem.space_names.index(old.space),
                    start=start if start >= now else soonest,
                    worth=worth,
                    per_day=max(1, round(worth / APART_D)),
                )
            )
        stands = _where_it_stands(task, stages, kept, worth, problem)
        kept += stands
        total += worth * len(kept)
        tasks.append(replace(task, kept=tuple(kept)))
    return replace(problem, tasks=tuple(tasks), constant=problem.constant - total)


def _where_it_stands(
    task: Task, stages: list[str], known: list[Kept], worth: int, problem: Problem
) -> list[Kept]:
    """A stage that may be moved in the middle is kept by not being moved."""
    k = task.first_stage
    second = k + 1 < len(stages) and stages[k] == stages[k + 1]
    if not task.under_way or not second or any(kept.stage == k + 1 for kept in known):
        return []
    return [
        Kept(
            stage=k + 1,
            space=int(problem.space_of[pin.variants[0]]),
            start=pin.start + pin.length,
            worth=worth,
            per_day=max(1, round(worth / APART_D)),
        )
        for pin in task.pins
        if pin.stage == k and pin.variants and pin.start is not None and pin.length
    ]


def by_name(plan: Plan) -> Mapping[str, tuple[Placement, ...]]:
    """Placements of each batch, or half of one, in order of their days."""
    apart, _ = told_apart(plan)
    return {
        name: tuple(way) for name, own in ways(apart.placements).items() for way in own
    }


def to_come(
    stages: list[str], placements: Iterable[Placement], task: Task
) -> list[tuple[int, Placement]]:
    """The placements of stages that have not begun, with the index of the stage."""
    found, after = [], 0
    for one in placements:
        if one.stage not in stages[after:]:
            continue  # of a crop that went through other stages when it was planned
        stage = stages.index(one.stage, after)
        after = stage + 1
        if stage >= task.first_stage and not task.begun(stage):
            found.append((stage, one))
    return found


def all_kept(problem: Problem) -> int:
    """Worth that keeping to everything would bring, and that the constant lacks."""
    return sum(kept.worth for task in problem.tasks for kept in task.kept)


def kept_value(problem: Problem, route: Route) -> int:
    """What a route is worth for keeping to the plan in force."""
    task, gained = problem.tasks[route.task], 0
    for stop in route.stops:
        at = np.array([stop.variant]), np.array([stop.start])
        gained += int(kept_worth(problem, task, stop.stage, *at)[0])
    return gained


def change_cost(problem: Problem, solution: Solution) -> int:
    """Worth lost by the differences from the plan in force, at least 0."""
    gained = sum(kept_value(problem, route) for route in solution.routes)
    return all_kept(problem) - gained
