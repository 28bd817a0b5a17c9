"""
Ways of running spaces, laid out by block.

A *place* is a space together with one of its ways of being run: all variants that
the same modes allow.  They share a floor, which is the space itself; a mode opens
some of its places for the blocks of its period.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import Problem

Ints = NDArray[np.int64]

FREE, CLOSED = -1, -2
"""Of a place in a block: open however spaces are run; never open."""
NO_LIMIT = 2**62
"""Minutes of a day, or manure, where none are counted."""


@dataclass(frozen=True, slots=True)
class Modes:
    """M modes of all periods, P places."""

    place_of: Ints
    """Place of each variant. (V,)"""
    floor_of: Ints
    """Space of each place. (P,)"""
    at: Ints
    """The mode that opens a place in a block, or FREE, or CLOSED. (P, N)"""
    period: Ints
    """(M,) – rising"""
    space: Ints
    """(M,)"""
    first: Ints
    """Its first block, and the block after its last. (M,)"""
    end: Ints
    extra: Ints
    """Cost above the cheapest mode of its period. (M,)"""
    manure: Ints
    """(M,)"""
    usual: Ints
    """The mode of each period when nothing calls for another: the cheapest of those
    without manure. (periods,)"""
    base: int
    """Cost of the cheapest modes."""
    limit: int
    """Manure to be had."""

    @property
    def first_of(self) -> Ints:
        """The first mode of each period. (periods,)"""
        return np.searchsorted(self.period, np.arange(self.usual.size)).astype(np.int64)

    def places(self, mode: int) -> Ints:
        """Places that a mode opens."""
        return np.flatnonzero(self.at[:, self.first[mode]] == mode)


def make_modes(problem: Problem, at_or_after: Ints, blocks: int) -> Modes:
    """
    Lay out the modes of ``problem``.

    Parameters
    ----------
    at_or_after : array
        Block that begins on or after a day; every period begins and ends with one.

    Raises
    ------
    ValueError
        Where manure is limited and a cheapest mode of some period cannot do without.
    """
    by_variant = np.full((problem.space_of.size, blocks), FREE, dtype=np.int64)
    period: list[int] = []
    rows: list[tuple[int, int, int, int, int]] = []
    usual: list[int] = []
    base = 0
    for p, one in enumerate(problem.periods):
        part = slice(
            int(at_or_after[max(0, one.first)]),
            int(at_or_after[min(one.end, problem.days)]),
        )
        by_variant[problem.space_of == one.space, part] = CLOSED
        cheapest = min(
            (mode.cost, mode.manure, len(rows) + i) for i, mode in enumerate(one.modes)
        )
        if problem.manure is not None and cheapest[1]:
            raise ValueError("a cheapest way of running a space needs manure")
        usual.append(cheapest[2])
        base += cheapest[0]
        for mode in one.modes:
            by_variant[list(mode.variants), part] = len(rows)
            more = mode.cost - cheapest[0]
            rows.append((one.space, part.start, part.stop, more, mode.manure))
            period.append(p)
    space, first, end, extra, manure = np.array(rows, dtype=np.int64).reshape(-1, 5).T
    place_of, floor_of, at = _places(problem, by_variant)
    return Modes(
        place_of=place_of,
        floor_of=floor_of,
        at=at,
        period=np.array(period, dtype=np.int64),
        space=space,
        first=first,
        end=end,
        extra=extra,
        manure=manure,
        usual=np.array(usual, dtype=np.int64),
        base=base,
        limit=NO_LIMIT if problem.manure is None else problem.manure,
    )


def _places(problem: Problem, by_variant: Ints) -> tuple[Ints, Ints, Ints]:
    """Variants of one space that the same modes allow, put together."""
    spaces = problem.capacity.shape[0]
    # Each space has a place first, so that without periods places are spaces.
    keys: dict[tuple[int, bytes], int] = {}
    floor: list[int] = []
    rows: list[Ints] = []
    place_of = np.zeros(problem.space_of.size, dtype=np.int64)
    for s in range(spaces):
        mine = np.flatnonzero(problem.space_of == s)
        if not mine.size:
            floor.append(s)
            rows.append(np.full(by_variant.shape[1], FREE, dtype=np.int64))
        for v in mine:
            key = (s, by_variant[v].tobytes())
            if key not in keys:
                keys[key] = len(floor)
                floor.append(s)
                rows.append(by_variant[v])
            place_of[v] = keys[key]
    at = np.array(rows, dtype=np.int64).reshape(len(floor), by_variant.shape[1])
    return place_of, np.array(floor, dtype=np.int64), at
