"""
Days and area as the routes see them: only days on which something may move.

Plants start and leave on few days (work days, and for some stages any day with
somebody there), so between two such days the same plants stand.  Area and its
price are therefore kept by block, from one moving day to the next; a period in
which a space may be run in several ways begins and ends with a block too.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.modes import NO_LIMIT, Modes, make_modes
from propsched.optimise.problem import Problem, Task

PACKINGS = 4
"""How many packing limits each block has."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The moving days of a problem and the room between them."""

    days: NDArray[np.int64]
    """Moving days, rising; the first is 0. Shape (N,)."""
    at_or_after: NDArray[np.int64]
    """Index of the first moving day ≥ a day; N when none. Shape (D + 1,)."""
    at_or_before: NDArray[np.int64]
    """Index of the last moving day ≤ a day. Shape (D + 1,)."""
    area: NDArray[np.int64]
    """Least free area of each block. [10 cm²] Shape (S, N)."""
    least_day: NDArray[np.int64]
    """The day of each block on which its area is least. Shape (S, N)."""
    minutes: NDArray[np.int64]
    """Work allowed on each moving day; ``NO_LIMIT`` off work days. (N,)"""
    modes: Modes
    """Ways of running spaces, by block."""


def packing_weight(
    area: NDArray[np.int64], room: NDArray[np.int64], k: int
) -> NDArray[np.int64]:
    """
    Weight of an area in the k-th packing limit of a block.

    At most k weights fit into any room at once: of areas over half the room one at
    a time, of areas over a third two, and so on.  In whole plans that follows from
    the area itself; for shares of routes it says more.

    Notes
    -----
    Chvátal–Gomory rounding of Σ area ≤ room by a factor just below (k + 1) ÷ room:
    Σ (⌈(k + 1) area ÷ room⌉ − 1) ≤ k.
    """
    return np.asarray(
        np.maximum(0, ((k + 1) * area - 1) // np.maximum(1, room)), dtype=np.int64
    )


def leaving_days(problem: Problem, task: Task, stage: int) -> NDArray[np.bool_]:
    """
    Days on which a task may leave a stage, waits aside. Shape (D,).

    A pinned start of the next stage is such a day whatever day it is.
    """
    table = problem.stages(task)[stage]
    days = ~problem.away if table.any_day else problem.work.copy()
    for pin in task.pins:
        if pin.stage == stage + 1 and pin.start is not None:
            days[pin.start] = True
    return np.asarray(days, dtype=np.bool_)


def make_grid(problem: Problem) -> Grid:
    """Lay out the moving days of ``problem``."""
    days = problem.days
    moving = problem.work.copy()
    if any(table.any_day for profile in problem.profiles for table in profile):
        moving |= ~problem.away
    moving[0] = True
    for task in problem.tasks:
        for pin in task.pins:
            if pin.start is not None:
                moving[pin.start] = True
    for period in problem.periods:
        for day in (period.first, period.end):
            if 0 <= day < days:
                moving[day] = True
    moves = np.flatnonzero(moving)
    ends = np.append(moves[1:], days)
    spaces = problem.capacity.shape[0]
    least = np.empty((spaces, moves.size), dtype=np.int64)
    for j, (first, end) in enumerate(zip(moves, ends, strict=True)):
        least[:, j] = first + np.argmin(problem.capacity[:, first:end], axis=1)
    every = np.arange(days + 1)
    at_or_after = np.searchsorted(moves, every, side="left").astype(np.int64)
    return Grid(
        days=moves.astype(np.int64),
        at_or_after=at_or_after,
        at_or_before=(np.searchsorted(moves, every, side="right") - 1).astype(np.int64),
        area=np.maximum(0, np.take_along_axis(problem.capacity, least, axis=1)).astype(
            np.int64
        ),
        least_day=least,
        minutes=np.where(problem.work[moves], problem.minutes[moves], NO_LIMIT).astype(
            np.int64
        ),
        modes=make_modes(problem, at_or_after, moves.size),
    )


def room_beside(problem: Problem, grid: Grid) -> list[NDArray[np.int64]]:
    """
    Area that each task may find at most: what others stand on already is not free.

    A task under way that must be placed keeps its pinned space until it is through,
    whatever is planned.  In whole plans that follows from the area; for shares of
    routes, and for routes taken one by one, it says more.

    Returns
    -------
    Arrays of shape (S, N), by task.
    """
    total = np.zeros_like(grid.area)
    own: dict[int, NDArray[np.int64]] = {}
    for b, task in enumerate(problem.tasks):
        if not (task.must and task.under_way):
            continue
        mine = own[b] = np.zeros_like(total)
        for pin in task.pins:
            if pin.stage != task.first_stage or pin.start is None:
                continue
            variants = list(pin.variants)
            spaces = np.unique(problem.space_of[variants])
            if spaces.size != 1:
                continue
            length = pin.length
            if length is None:
                lengths = problem.stages(task)[pin.stage].length[variants, pin.start]
                length = int(lengths.min())
            end = min(problem.days, pin.start + max(1, length))
            part = slice(grid.at_or_after[pin.start], grid.at_or_after[end])
            mine[spaces[0], part] = task.area[pin.stage]
            break
        total += mine
    beside = grid.area - total
    return [beside + own[b] if b in own else beside for b in range(len(problem.tasks))]
