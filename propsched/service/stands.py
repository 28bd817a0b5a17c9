"""What stands already stands: room for it, whatever the areas say."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import timedelta

import numpy as np

from propsched.domain.season import Season
from propsched.optimise.problem import AREA_SCALE, NEVER, Pinned, Problem, Task


def make_room(
    problem: Problem, season: Season, *, today: int = 0
) -> tuple[Problem, tuple[str, ...]]:
    """
    Widen spaces that hold more than their area until the first day it can move on.

    Returns
    -------
    problem, and a sentence for each space that is overfull today or later.
    """
    held = np.zeros_like(problem.capacity)
    for task in problem.tasks:
        at = under_way(task)
        if at is None or len(at.variants) == 0 or at.start is None:
            continue
        space = problem.space_of[at.variants[0]]
        end = _leaves(problem, task, at)
        held[space, at.start : end] += task.area[at.stage]
    over = held > problem.capacity
    if not over.any():
        return problem, ()
    found = []
    for space in np.flatnonzero(over.any(axis=1)):
        days = today + np.flatnonzero(over[space, today:])
        if not days.size:  # it only was, and what is done can leave today
            continue
        short = int((held - problem.capacity)[space, days].max())
        last = season.start + timedelta(days=int(days[-1]))
        found.append(
            f"{problem.space_names[space]} holds {short / AREA_SCALE:.2f} m² more "
            f"than its area until {last.day} {last:%B}: plant out, move or take off "
            "what is done, and note it"
        )
    return replace(problem, capacity=np.maximum(problem.capacity, held)), tuple(found)


def keep_room(
    problem: Problem,
    season: Season,
    closed: Iterable[tuple[str, int, int]],
    staying: Collection[str],
) -> tuple[Problem, tuple[str, ...]]:
    """
    Room in spaces out of use for batches there that have nowhere else to go.

    Parameters
    ----------
    closed : iterable of (space, first day, first day after)
    staying : collection of str
        Names of such batches.

    Returns
    -------
    problem, and a sentence for each space that is not cleared.
    """
    capacity, found = problem.capacity.copy(), []
    for space, first, end in closed:
        s, names, area = problem.space_names.index(space), list[str](), 0
        for task in problem.tasks:
            at = under_way(task)
            if at is None or task.name not in staying or not at.variants:
                continue
            if problem.space_of[at.variants[0]] == s:
                names.append(task.name)
                area += task.area[at.stage]
        if names:
            capacity[s, first:end] = np.maximum(capacity[s, first:end], area)
            last = season.start + timedelta(days=end - 1)
            found.append(
                f"{space} cannot be cleared: no other space takes {', '.join(names)}; "
                f"planned as if it stayed there (out of use to {last.day} {last:%B})"
            )
    return replace(problem, capacity=capacity), tuple(found)


def under_way(task: Task) -> Pinned | None:
    """Where and since when a batch stands, if it is under way."""
    for pin in task.pins:
        if task.under_way and pin.stage == task.first_stage:
            return pin
    return None


def _leaves(problem: Problem, task: Task, at: Pinned) -> int:
    """First day on which it can leave; the end if it has to stand over."""
    if at.start is None:
        return problem.days
    table = problem.stages(task)[at.stage]
    length = at.length
    if (
        length is None and len(at.variants) > 1
    ):  # by the state its space is run in, if it comes through
        known = table.length[list(at.variants), at.start]
        length = int(known[known < NEVER].max(initial=0))
    if not length:
        return problem.days
    free = ~problem.away if table.any_day else problem.work
    first = at.start + length
    if at.stage + 1 < len(problem.stages(task)):
        rest = problem.stages(task)[at.stage + 1]
        if rest.name == table.name:  # the same stage, from the day it may be moved
            v = at.variants[0]
            left = int(rest.length[v, first])
            if left >= NEVER:  # to the end, unless it may not stay at all
                return problem.days if rest.over_success[v, first] >= 0 else first
            first, table = first + left, rest
    days = np.flatnonzero(free[first : first + table.wait + 1])
    return int(first + days[0]) if days.size else problem.days


def leave_standing(problem: Problem, tasks: list[int]) -> Problem:
    """
    The same problem with these batches free to stand where they are to the end.

    Nothing is expected of them then; their room is kept.  The problem itself if
    they were free to stand already.
    """
    profiles, new = list(problem.profiles), list(problem.tasks)
    capacity = problem.capacity.copy()
    changed = False
    for b in tasks:
        task = problem.tasks[b]
        at = under_way(task)
        if at is None or at.start is None or not at.variants:
            continue
        tables = list(problem.stages(task))
        table = tables[at.stage]
        v, here = at.variants[0], (list(at.variants), at.start)
        # of several states each has a length of its own, which no pin replaces
        free = len(at.variants) == 1 or (table.length[here] == NEVER).all()
        if (table.over_success[here] >= 0).all() and at.length is None and free:
            continue
        over, length = table.over_success.copy(), table.length.copy()
        over[here] = np.maximum(over[here], 0)
        length[here] = NEVER
        tables[at.stage] = replace(table, over_success=over, length=length)
        new[b] = replace(
            task,
            profile=len(profiles),
            pins=tuple(
                replace(pin, length=None) if pin is at else pin for pin in task.pins
            ),
        )
        profiles.append(tuple(tables))
        capacity[problem.space_of[v], at.start :] += task.area[at.stage]
        changed = True
    if not changed:
        return problem
    return replace(
        problem, profiles=tuple(profiles), tasks=tuple(new), capacity=capacity
    )
