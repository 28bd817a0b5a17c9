"""The planner's answer: routes, modes, and the proof of how good they are."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from propsched.domain.plan import Status
from propsched.optimise.problem import Route


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPrice:
    """Price of one task's standing in a mode on a day, whatever its area."""

    task: int
    period: int
    mode: int
    day: int
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Routes and modes chosen, with the proof of how good they are."""

    routes: tuple[Route, ...]
    worth: int
    """Sum of route values and the constant, less the cost of the modes."""
    bound: int
    """No plan is worth more."""
    status: Status
    area_price: NDArray[np.float64]
    """Worth of one unit of area for one day. Shape (S, D)."""
    minute_price: NDArray[np.float64]
    """Worth of one minute. Shape (D,)."""
    seconds: dict[str, float] = field(default_factory=dict)
    packing_price: NDArray[np.float64] = field(
        default_factory=lambda: np.zeros((0, 0, 0))
    )
    """Worth of one more place, of k places into which areas over 1 ÷ (k + 1) of a
    space have to share on a day, by k − 1; may
    be empty. Shape (4, S, D)."""
    modes: tuple[int, ...] = ()
    """Of each period the mode chosen."""
    mode_price: tuple[NDArray[np.float64], ...] = ()
    """Worth of one unit of area for one day in each mode, area in a mode being that
    of its space if it is chosen and else none. One array a period, (modes, D), 0
    outside its days; may be empty."""
    own_price: tuple[OwnPrice, ...] = ()
    """Worth of one task's being let into a mode for a day."""
    link_price: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 0)))
    """Worth of one of a link's two tasks starting regardless of the other, by day t:
    the later may not start by t if the earlier starts after t − days. (links, D)"""
    manure_price: float = 0.0
    """Worth of one litre of manure."""
    proof: str = "prices"
    """What ``bound`` rests on: the prices given here, or "every route": CP-SAT over
    every route that a better plan could hold."""
