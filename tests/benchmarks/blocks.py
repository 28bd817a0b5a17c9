"""Blocks of days in which nothing can change, and places by what they need."""

import numpy as np
from benchmarks.single_tables import moving_days
from numpy.typing import NDArray

from propsched.optimise.problem import Problem

Ints = NDArray[np.int64]
SHUT, FREE = -2, -1
"""Of a place in a block: nothing may stand there, or anything that fits."""


def edges_of(problem: Problem) -> Ints:
    """First days of blocks in which nothing can change."""
    edge = np.zeros(problem.days, dtype=np.bool_)
    edge[0] = True
    edge[1:] |= (np.diff(problem.capacity, axis=1) != 0).any(axis=0)
    for period in problem.periods:
        for day in (period.first, period.end):
            if 0 <= day < problem.days:
                edge[day] = True
    for task in problem.tasks:
        for k in range(task.first_stage, len(task.area) + 1):
            edge[moving_days(problem, task, k)] = True
    return np.flatnonzero(edge)


def places_of(
    problem: Problem, edges: Ints, modes: dict[tuple[int, int], int]
) -> tuple[Ints, dict[int, tuple[int, Ints]]]:
    """Place of each variant; of each its space, and the mode it needs by block."""
    place_of = np.zeros(problem.space_of.size, dtype=np.int64)
    known: dict[tuple[int, bytes], int] = {}
    needs: dict[int, tuple[int, Ints]] = {}
    for v, space in enumerate(problem.space_of.tolist()):
        mine = np.full(problem.days, FREE, dtype=np.int64)
        for p, period in enumerate(problem.periods):
            if period.space != space:
                continue
            listing = [m for m, mode in enumerate(period.modes) if v in mode.variants]
            asked = modes[p, listing[0]] if listing else SHUT
            mine[max(0, period.first) : period.end] = asked
        g = known.setdefault((space, mine.tobytes()), len(known))
        place_of[v], needs[g] = g, (space, mine[edges])
    return place_of, needs
