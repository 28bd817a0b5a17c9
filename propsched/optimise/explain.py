"""
Why a task is not placed, what else a placed one could do, and what is scarce.

A task that is left out is put to the room the others leave, with one kind of limit
lifted at a time; the limit that has to give least is the reason.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid, make_grid
from propsched.optimise.lifting import best_in, lifted, room_left, with_task
from propsched.optimise.modes import NO_LIMIT
from propsched.optimise.problem import NEVER, WHY, Pinned, Problem, Route
from propsched.optimise.reason import EFFORT, Reason
from propsched.optimise.room import Room
from propsched.optimise.solution import Solution
from propsched.optimise.stays import use_of

__all__ = [
    "Elsewhere",
    "Reason",
    "area_worth",
    "best_elsewhere",
    "why_not",
]


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """The best a placed task could do without the same space in one stage."""

    stage: int
    route: Route | None
    loss: int
    """Worth that it would cost."""


def why_not(
    problem: Problem, solution: Solution, task_index: int, today: int = 0
) -> Reason:
    """
    Why a task is not placed.

    Parameters
    ----------
    today : int
        No day before it is proposed.

    Raises
    ------
    ValueError
        It is placed.
    """
    if any(route.task == task_index for route in solution.routes):
        raise ValueError(f"{problem.tasks[task_index].name} is placed")
    grid = make_grid(problem)
    room = room_left(problem, grid, solution)
    if (route := best_in(problem, task_index, room)) is not None:
        if route.value > 0:
            return Reason(kind="search", text="it would fit", gain=route.value)
        return Reason(
            kind="worth",
            text="too late or too weak to be worth its place",
            gain=route.value,
        )
    too_small = _size(problem, task_index)
    if too_small is not None:
        return too_small
    reasons = [
        *_short_of_room(problem, grid, room, task_index),
        *lifted(problem, solution, task_index, today),
    ]
    good = [reason for reason in reasons if reason.gain > 0]
    if good:
        # Of what brings about as much, the limit that has to give least.
        most = max(reason.gain for reason in good)
        worth_it = [reason for reason in good if 2 * reason.gain >= most]
        return min(
            worth_it,
            key=lambda reason: (EFFORT[reason.kind], reason.short, -reason.gain),
        )
    return _everywhere(problem, grid, room, task_index) or _tables(problem, task_index)


BOUNDLESS = 2**40
"""Area of a space whose limit is lifted. [10 cm²]"""


def _short_of_room(
    problem: Problem, grid: Grid, room: Room, task: int
) -> Iterator[Reason]:
    """Each space in turn without limit, then work without limit."""
    names = problem.space_names or tuple(f"space {s}" for s in range(len(room.area)))
    ends = np.append(grid.days[1:], problem.days)
    spaces: list[int | None] = [*range(len(names)), None]
    for space in spaces:
        wide = room.copy()
        if space is None:
            wide.minutes[:] = NO_LIMIT
            freed = replace(problem, minutes=np.full_like(problem.minutes, NO_LIMIT))
        else:
            wide.area[space] = BOUNDLESS
            capacity = problem.capacity.copy()
            capacity[space] = BOUNDLESS
            freed = replace(problem, capacity=capacity)
        route = best_in(freed, task, wide)
        if route is None:
            continue
        if space is None:
            use = use_of(problem, grid, route)
            lacking = [(j, m - int(room.minutes[j])) for j, m in use.work]
            short = [(j, m) for j, m in lacking if m > 0]
            if short:
                yield Reason(
                    kind="work",
                    text="more minutes of work on some days",
                    first_day=int(grid.days[short[0][0]]),
                    last_day=int(grid.days[short[-1][0]]),
                    short=max(m for _, m in short),
                    gain=route.value,
                )
            continue
        for stop in route.stops:
            first, end = grid.at_or_after[stop.start], grid.at_or_after[stop.end]
            area = problem.tasks[task].area[stop.stage]
            lack = area - room.area[space, first:end]
            if problem.space_of[stop.variant] != space or lack.max() <= 0:
                continue
            at = np.flatnonzero(lack > 0) + first
            yield Reason(
                kind="area",
                text=f"more room in {names[space]}",
                space=space,
                stage=stop.stage,
                first_day=int(grid.days[at[0]]),
                last_day=int(ends[at[-1]]) - 1,
                short=int(lack.max()),
                gain=route.value,
            )
            break


def _everywhere(problem: Problem, grid: Grid, room: Room, task: int) -> Reason | None:
    """What lacks on its best way with all the room and time there could be."""
    wide = room.copy()
    wide.area[:], wide.minutes[:] = BOUNDLESS, NO_LIMIT
    freed = replace(
        problem,
        capacity=np.full_like(problem.capacity, BOUNDLESS),
        minutes=np.full_like(problem.minutes, NO_LIMIT),
    )
    route = best_in(freed, task, wide)
    if route is None or route.value <= 0:
        return None
    lacking, days = dict[str, None](), list[int]()
    for stop in route.stops:
        first, end = grid.at_or_after[stop.start], grid.at_or_after[stop.end]
        space, area = problem.space_of[stop.variant], problem.tasks[task].area
        if (room.area[space, first:end] < area[stop.stage]).any():
            lacking[problem.space_names[space]] = None
            days += [stop.start, stop.end - 1]
    work = use_of(problem, grid, route).work
    if any(minutes > int(room.minutes[j]) for j, minutes in work):
        lacking["the days of work"] = None
    if not lacking:
        return None
    return Reason(
        kind="areas",
        text="more room in several spaces",
        first_day=min(days, default=route.stops[0].start),
        last_day=max(days, default=route.stops[-1].end - 1),
        gain=route.value,
        why=tuple(lacking),
    )


def _size(problem: Problem, task: int) -> Reason | None:
    """The first stage too large for every space in which it may stand."""
    mine = problem.tasks[task]
    most = problem.capacity.max(axis=1)
    for stage in range(mine.first_stage, len(problem.stages(mine))):
        table = problem.stages(mine)[stage]
        stands = ((table.length < NEVER) | (table.over_success >= 0)).any(axis=1)
        spaces = np.unique(problem.space_of[stands])
        if not spaces.size:
            return None
        space = int(spaces[np.argmax(most[spaces])])
        if mine.area[stage] > most[space]:
            return Reason(
                kind="size",
                text=f"a space large enough for its stage {table.name}",
                space=space,
                stage=stage,
                short=int(mine.area[stage] - most[space]),
                needed=mine.area[stage],
                largest=int(most[space]),
            )
    return None


def _tables(problem: Problem, task: int) -> Reason:
    """What stands against each stage's starts, from the tables' own bits."""
    mine = problem.tasks[task]
    for stage in range(mine.first_stage, len(problem.stages(mine))):
        table = problem.stages(mine)[stage]
        if (table.length < NEVER).any():
            continue
        counts = [int(((table.why >> bit) & 1).sum()) for bit in range(len(WHY))]
        order = sorted(range(len(WHY)), key=lambda bit: -counts[bit])
        why = tuple(WHY[bit] for bit in order if counts[bit])
        text = f"a place for its stage {table.name}"
        return Reason(kind="tables", text=text, stage=stage, why=why)
    bits = np.zeros(len(WHY), dtype=np.int64)
    for table in problem.stages(mine)[mine.first_stage :]:
        bits += [int(((table.why >> bit) & 1).sum()) for bit in range(len(WHY))]
    why = tuple(WHY[int(bit)] for bit in np.argsort(-bits, kind="stable") if bits[bit])
    return Reason(kind="tables", text="a way through its stages in time", why=why)


def best_elsewhere(
    problem: Problem, solution: Solution, route: Route
) -> tuple[Elsewhere, ...]:
    """For each stop: the best route that does not use its space in that stage."""
    grid = make_grid(problem)
    room = room_left(problem, grid, solution, but=route.task)
    found = []
    for stop in route.stops:
        space = problem.space_of[stop.variant]
        others = tuple(int(v) for v in np.flatnonzero(problem.space_of != space))
        other = None
        if others:
            pins = problem.tasks[route.task].pins
            pin = Pinned(stage=stop.stage, variants=others)
            freed = with_task(problem, route.task, pins=(*pins, pin))
            other = best_in(freed, route.task, room, grid)  # no day is pinned
        value = other.value if other is not None else 0
        # what must stand somewhere may be worth less than nothing
        found.append(Elsewhere(stop.stage, other, max(0, route.value - value)))
    return tuple(found)


def area_worth(problem: Problem, solution: Solution) -> NDArray[np.float64]:
    """
    What one more unit of area would be worth on a day. Shape (S, D).

    Where whole places are priced, as in a space that holds only one of several
    large batches, their worth is spread over the area.
    """
    price = solution.area_price.copy()
    for period, by_mode, mode in zip(
        problem.periods, solution.mode_price, solution.modes, strict=False
    ):
        price[period.space] += by_mode[mode]
    for k, places in enumerate(solution.packing_price, start=1):
        price += k * places / np.maximum(1, problem.capacity)
    return price
