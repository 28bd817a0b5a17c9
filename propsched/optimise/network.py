"""
All ways of some tasks through stages, variants and days, laid out flat.

A *chain* is one task with one outcome (ready, or standing over).  A *node* is
one stage of a chain that starts in one variant on one moving day.  Nodes are
grouped in *levels* counted from the last stage, so that one pass over the levels
finds the best way of every chain at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid, leaving_days, room_beside
from propsched.optimise.levels import Floats, Ints, Level, Piece, join
from propsched.optimise.modes import CLOSED, Modes
from propsched.optimise.problem import (
    NEVER,
    Link,
    Problem,
    Task,
    kept_worth,
    loss,
    over_loss,
)


@dataclass(frozen=True, slots=True)
class Network:
    """Levels from the last stage (0) to the first, and the way out."""

    tasks: tuple[int, ...]
    task_of: Ints
    """Task of each chain. (C,)"""
    over: NDArray[np.bool_]
    """Whether the chain stands over. (C,)"""
    first_level: Ints
    """Level of the first stage of each chain. (C,)"""
    levels: tuple[Level, ...]
    way_out: Floats
    """Worth of being ready on a moving day; −inf where it may not. Rows as the
    chains of level 0. (c, N)"""
    minutes_out: Ints
    """Work on that day. (c, N)"""
    move_cost: int
    modes: Modes
    links: tuple[Link, ...]
    room: Ints
    """Least free area of each space in each block. (S, N)"""
    days: Ints
    """Moving days. (N,)"""

    @property
    def place_of(self) -> Ints:
        """Place of each variant. (V,)"""
        return self.modes.place_of

    def floor(self, variant: int) -> int:
        """Space of a variant."""
        return int(self.modes.floor_of[self.modes.place_of[variant]])


def make_network(
    problem: Problem,
    grid: Grid,
    tasks: tuple[int, ...],
    beside: list[Ints] | None = None,
) -> Network:
    """
    Lay out every way of ``tasks``; a task without any has no chain.

    Parameters
    ----------
    beside : list of array, optional
        From ``room_beside``, where that is known already.
    """
    if beside is None:
        beside = room_beside(problem, grid)
    pieces: list[list[Piece]] = []
    task_of: list[int] = []
    over_of: list[bool] = []
    first: list[int] = []
    outs: dict[int, tuple[Floats, Ints]] = {}
    for b in tasks:
        task = problem.tasks[b]
        for over in (False, True):
            chain = len(task_of)
            found = _chain(problem, grid, task, chain, beside[b], over=over)
            if found is None:
                continue
            for level, piece in enumerate(reversed(found)):
                if level == len(pieces):
                    pieces.append([])
                pieces[level].append(piece)
            outs[chain] = _way_out(problem, grid, task, over=over)
            task_of.append(b)
            over_of.append(over)
            first.append(len(found) - 1)
    variants = problem.space_of.size
    levels: list[Level] = []
    for level, parts in enumerate(pieces):
        later = levels[-1].chains if level else np.empty(0, dtype=np.int64)
        places = grid.modes.place_of
        levels.append(join(parts, later, places, variants, grid.days.size))
    n = grid.days.size
    zero = levels[0].chains if levels else ()
    return Network(
        tasks=tasks,
        task_of=np.array(task_of, dtype=np.int64),
        over=np.array(over_of, dtype=np.bool_),
        first_level=np.array(first, dtype=np.int64),
        levels=tuple(levels),
        way_out=np.array([outs[int(c)][0] for c in zero]).reshape(-1, n),
        minutes_out=np.array([outs[int(c)][1] for c in zero], dtype=np.int64).reshape(
            -1, n
        ),
        move_cost=problem.move_cost,
        modes=grid.modes,
        links=problem.links,
        room=grid.area,
        days=grid.days,
    )


def _chain(
    problem: Problem, grid: Grid, task: Task, chain: int, room: Ints, *, over: bool
) -> list[Piece] | None:
    """Its pieces in order of stages, or None when it can have no such outcome."""
    tables = problem.stages(task)
    n = grid.days.size
    reached = _first_days(problem, grid, task)
    pieces = []
    may_end = not over
    for k in range(task.first_stage, len(tables)):
        length, starts = _starts(problem, grid, task, k, reached)
        leave = leaving_days(problem, task, k)[grid.days]
        d = grid.days[None, :]
        goes = starts & (length < NEVER)
        first = np.maximum(d + length, d + 1)
        last = np.minimum(d + length + tables[k].wait, problem.days - 1)
        goes &= first <= last
        # Where the space beside what stands is too small, nothing can at any price.
        reach = reach_of(_by_place(grid, room), task.area[k])[grid.modes.place_of]
        if not task.begun(k):
            starts &= (task.minutes[k] <= grid.minutes) | ~problem.work[grid.days]
        low = grid.at_or_after[np.where(goes, first, 0)]
        high = np.minimum(grid.at_or_before[np.where(goes, last, 0)], reach)
        goes &= starts
        goes &= low <= high
        ends = np.zeros_like(goes)
        if over:
            ends = starts & (tables[k].over_success[:, grid.days] >= 0) & (reach == n)
            may_end = may_end or bool(ends.any())
            if k == len(tables) - 1:
                goes[:] = False
        piece = _piece(problem, grid, task, k, goes, ends, over=over)
        piece.chain = chain
        piece.low = np.where(goes, low, 1)[piece.variant, piece.j]
        piece.high = np.where(goes, high, 0)[piece.variant, piece.j]
        pieces.append(piece)
        opens = np.zeros(n + 1, dtype=np.int64)
        np.add.at(opens, low[goes], 1)
        np.add.at(opens, high[goes] + 1, -1)
        reached = (np.cumsum(opens)[:n] > 0) & leave
    return pieces if may_end and pieces and pieces[0].j.size else None


def _by_place(grid: Grid, room: Ints) -> Ints:
    """Area of each place; −1 where no mode ever opens it. (P, N)"""
    modes = grid.modes
    return np.where(modes.at == CLOSED, -1, room[modes.floor_of])


def _first_days(problem: Problem, grid: Grid, task: Task) -> NDArray[np.bool_]:
    for pin in task.pins:
        if pin.stage == task.first_stage and pin.start is not None:
            return np.ones(grid.days.size, dtype=np.bool_)
    inside = (grid.days >= task.earliest) & (grid.days <= task.latest)
    return np.asarray(inside & problem.work[grid.days], dtype=np.bool_)


def _starts(
    problem: Problem, grid: Grid, task: Task, stage: int, reached: NDArray[np.bool_]
) -> tuple[Ints, NDArray[np.bool_]]:
    """Lengths, and where and when the stage may start. Both (V, N)."""
    length = problem.stages(task)[stage].length[:, grid.days].astype(np.int64)
    starts = np.repeat(reached[None, :], length.shape[0], axis=0)
    for pin in task.pins:
        if pin.stage != stage:
            continue
        if pin.variants:
            other = np.ones(length.shape[0], dtype=np.bool_)
            other[list(pin.variants)] = False
            starts[other] = False
        if pin.start is not None:
            starts &= grid.days == pin.start
            if pin.length is not None:
                length[:, grid.days == pin.start] = pin.length
    return length, starts


def reach_of(room: Ints, area: int) -> Ints:
    """Block in which an area standing from a block on first lacks room. (S, N)"""
    n = room.shape[1]
    full = np.where(room < area, np.arange(n), n)
    return np.asarray(np.minimum.accumulate(full[:, ::-1], axis=1)[:, ::-1])


def _piece(
    problem: Problem,
    grid: Grid,
    task: Task,
    stage: int,
    goes: NDArray[np.bool_],
    ends: NDArray[np.bool_],
    *,
    over: bool,
) -> Piece:
    table = problem.stages(task)[stage]
    v, j = np.nonzero(goes | ends)
    day = grid.days[j]
    minutes = np.where(problem.work[day], task.minutes[stage], 0)
    if task.begun(stage):
        minutes = np.zeros_like(minutes)
    kept = kept_worth(problem, task, stage, v, day)
    standing = np.full(v.size, -np.inf)
    if over:
        lost = over_loss(task, stage, table.over_success[v, day]) - kept
        standing = np.where(ends[v, j], task.over_weight - lost, -np.inf)
    lost = (over_loss if over else loss)(task, stage, table.success[v, day]) - kept
    return Piece(
        chain=-1,
        stage=stage,
        area=task.area[stage],
        variant=v,
        j=j,
        gain=-lost.astype(np.float64),
        over=standing,
        minutes=minutes.astype(np.int64),
        low=j,
        high=j,
    )


def _way_out(
    problem: Problem, grid: Grid, task: Task, *, over: bool
) -> tuple[Floats, Ints]:
    """Worth and work of being ready, by moving day. Both (N,)."""
    day = grid.days
    last = len(problem.stages(task)) - 1
    minutes = np.where(problem.work[day], task.minutes[last + 1], 0).astype(np.int64)
    if over:
        return np.full(day.size, -np.inf), minutes
    worth = np.full(day.size, float(task.weight))
    if task.wanted_by is not None:
        worth -= task.late_per_day * np.maximum(0, day - task.wanted_by)
    if task.wanted_from is not None:
        worth -= task.early_per_day * np.maximum(0, task.wanted_from - day)
    worth[(day < task.gate) | ~leaving_days(problem, task, last)[day]] = -np.inf
    worth[minutes > grid.minutes] = -np.inf
    return worth, minutes
