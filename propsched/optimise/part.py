"""A smaller problem: some tasks found anew, the others standing as they are."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.partial import NEVER, Plan, Ties
from propsched.optimise.problem import Link, Mode, Period, Problem, Route, Split, Task


@dataclass(frozen=True, slots=True)
class Part:
    """The smaller problem, and which tasks it has."""

    problem: Problem
    tasks: tuple[int, ...]
    """Of the whole problem, by task of the smaller one."""

    def inside(self, routes: Iterable[Route]) -> list[Route]:
        """Routes of the whole problem as routes of the smaller one, of its tasks."""
        number = {task: i for i, task in enumerate(self.tasks)}
        return [
            replace(route, task=number[route.task])
            for route in routes
            if route.task in number
        ]

    def outside(self, routes: Iterable[Route]) -> list[Route]:
        """Routes of the smaller problem as routes of the whole one."""
        return [replace(route, task=self.tasks[route.task]) for route in routes]


def together(ties: Ties, tasks: Iterable[int]) -> set[int]:
    """Tasks, and of batches that may be split the whole and all parts."""
    found = set(tasks)
    for task in list(found):
        for split in ties.splits.get(task, ()):
            found.update((split.whole, *split.parts))
    return found


def part_of(problem: Problem, ties: Ties, plan: Plan, free: set[int]) -> Part:
    """
    The problem of some tasks in the room that the others of a plan leave.

    Parameters
    ----------
    plan : Plan
        The routes of ``free`` are no part of it any more.
    free : set of int
        From ``together``.
    """
    tasks = tuple(sorted(free))
    number = {task: i for i, task in enumerate(tasks)}
    capacity, minutes = _room(problem, plan)
    return Part(
        replace(
            problem,
            capacity=capacity,
            minutes=minutes,
            tasks=tuple(_within(problem.tasks[b], b, ties, plan) for b in tasks),
            constant=0,
            periods=_periods(problem, plan),
            manure=None if problem.manure is None else plan.room.manure,
            links=tuple(
                Link(
                    earlier=number[link.earlier],
                    later=number[link.later],
                    days=link.days,
                )
                for link in problem.links
                if link.earlier in number and link.later in number
            ),
            splits=tuple(
                Split(
                    whole=number[split.whole],
                    parts=tuple(number[part] for part in split.parts),
                )
                for split in problem.splits
                if split.whole in number
            ),
        ),
        tasks,
    )


def run_as(problem: Problem, modes: tuple[int, ...]) -> Problem:
    """The problem with its spaces run in given modes, which are paid already."""
    return replace(
        problem,
        periods=tuple(
            _only(period, period.modes[mode])
            for period, mode in zip(problem.periods, modes, strict=True)
        ),
        manure=None,
    )


def _only(period: Period, mode: Mode) -> Period:
    return replace(period, modes=(Mode(name=mode.name, variants=mode.variants),))


def _room(problem: Problem, plan: Plan) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """What the routes of a plan leave, by day."""
    capacity, minutes = problem.capacity.copy(), problem.minutes.copy()
    for route in plan.routes.values():
        task = problem.tasks[route.task]
        for stop in route.stops:
            space = problem.space_of[stop.variant]
            capacity[space, stop.start : stop.end] -= task.area[stop.stage]
            if problem.work[stop.start] and not task.begun(stop.stage):
                minutes[stop.start] -= task.minutes[stop.stage]
        last = route.stops[-1]
        if not route.over and problem.work[last.end]:
            minutes[last.end] -= task.minutes[last.stage + 1]
    return capacity, minutes


def _within(task: Task, b: int, ties: Ties, plan: Plan) -> Task:
    """A task that starts no earlier and no later than those that stand let it."""
    window = ties.window(b, plan.routes)
    if window is None or window == NEVER:
        return task
    return replace(
        task,
        earliest=max(task.earliest, window[0]),
        latest=min(task.latest, window[1]),
    )


def _periods(problem: Problem, plan: Plan) -> tuple[Period, ...]:
    """Where a space is run in some way already, that is the only one and is paid."""
    room = plan.room
    found = []
    first_of = room.modes.first_of
    for p, period in enumerate(problem.periods):
        if room.chosen[p] >= 0:
            mode = period.modes[int(room.chosen[p] - first_of[p])]
            period = _only(period, mode)
        found.append(period)
    return tuple(found)
