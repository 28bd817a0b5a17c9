"""What a placed batch could do in another space, were there room in it."""

from dataclasses import dataclass, replace

import numpy as np

from propsched.optimise.explain import BOUNDLESS
from propsched.optimise.grid import make_grid
from propsched.optimise.lifting import best_in, room_left, with_task
from propsched.optimise.problem import Pinned, Problem, Route, Stop
from propsched.optimise.solution import Solution


@dataclass(frozen=True, slots=True)
class Crowded:
    """A space that would do for a stage if it had the room."""

    space: int
    loss: int
    """Worth that it would cost there."""
    too_small: bool
    """Even empty."""


def crowded(
    problem: Problem, solution: Solution, route: Route, stop: Stop
) -> Crowded | None:
    """
    The best other space for one stop, others' room no object; None: nothing suits.

    Before the day on which a space is there at all, nothing stands in it.
    """
    space = int(problem.space_of[stop.variant])
    others = tuple(int(v) for v in np.flatnonzero(problem.space_of != space))
    if not others:
        return None
    capacity = problem.capacity.copy()
    rest = [s for s in range(capacity.shape[0]) if s != space]
    there = capacity > 0
    capacity[rest] = np.where(there[rest], BOUNDLESS, 0)
    pins = problem.tasks[route.task].pins
    freed = replace(problem, capacity=capacity)
    freed = with_task(
        freed, route.task, pins=(*pins, Pinned(stage=stop.stage, variants=others))
    )
    grid = make_grid(problem)
    room = room_left(problem, grid, solution, but=route.task)
    all_through = np.logical_and.reduceat(there, grid.days, axis=1)
    room.area[rest] = np.where(all_through[rest], BOUNDLESS, room.area[rest])
    other = best_in(freed, route.task, room)
    if other is None:
        return None
    at = next((s for s in other.stops if s.stage == stop.stage), other.stops[-1])
    instead = int(problem.space_of[at.variant])
    most = int(problem.capacity[instead].max())
    return Crowded(
        space=instead,
        loss=max(0, route.value - other.value),
        too_small=problem.tasks[route.task].area[at.stage] > most,
    )
