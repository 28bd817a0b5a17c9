"""One stage of every chain that goes through it, laid out flat."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Level:
    """One stage of every chain that goes through it. Arrays by chain or by node."""

    chains: Ints
    """Index of each chain, rising. (c,)"""
    stage: Ints
    """Its stage here. (c,)"""
    area: Floats
    """(c,)"""
    before: Ints
    """Position of each chain in the next level, which is one stage later; empty at
    the last stage. (c,)"""
    row: Ints
    """Position of each node's chain in this level. (n,) – rising"""
    variant: Ints
    place: Ints
    j: Ints
    """Index of the moving day it starts. (n,)"""
    gain: Floats
    """Worth of keeping to the plan in force, minus the worth lost in the stage if it
    goes on. (n,)"""
    over: Floats
    """Worth if it stands over from here; −inf where it may not. (n,)"""
    minutes: Ints
    """Work on the day it starts. (n,)"""
    low: Ints
    """First and last moving day it may leave, as indices; low > high: it may not
    go on. (n,)"""
    high: Ints
    at: NDArray[np.int32]
    """Node of each chain × variant × moving day, or −1. (c, V, N)"""


@dataclass(slots=True)
class Piece:
    """Nodes of one stage of one chain, before they are put together."""

    chain: int
    stage: int
    area: int
    variant: Ints
    j: Ints
    gain: Floats
    over: Floats
    minutes: Ints
    low: Ints
    high: Ints


def join(
    parts: list[Piece],
    later: Ints,
    place_of: Ints,
    variants: int,
    n: int,
) -> Level:
    chains = np.array([part.chain for part in parts], dtype=np.int64)
    row = np.repeat(np.arange(len(parts)), [part.j.size for part in parts])
    variant = np.concatenate([part.variant for part in parts])
    j = np.concatenate([part.j for part in parts])
    at = np.full((len(parts), variants, n), -1, dtype=np.int32)
    at[row, variant, j] = np.arange(row.size)
    return Level(
        chains=chains,
        stage=np.array([part.stage for part in parts], dtype=np.int64),
        area=np.array([part.area for part in parts], dtype=np.float64),
        before=np.searchsorted(later, chains) if later.size else later,
        row=row,
        variant=variant,
        place=place_of[variant],
        j=j,
        gain=np.concatenate([part.gain for part in parts]),
        over=np.concatenate([part.over for part in parts]),
        minutes=np.concatenate([part.minutes for part in parts]),
        low=np.concatenate([part.low for part in parts]),
        high=np.concatenate([part.high for part in parts]),
        at=at,
    )
