"""What development hands on: how long a stage takes, and what comes through."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

NOT_THROUGH = 32_767
"""Length of a stage that is not through within the days simulated."""

NO_STAND, DARK, COLD, HOT, FLOOR, ENDLESS, OPEN_AIR, WRONG_AIR = (
    1 << i for i in range(8)
)
"""Bits of ``StageGrowth.why``. WRONG_AIR: not close, or not dry, enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageGrowth:
    """
    One stage of one crop in every variant, by day of its start.

    V variants, N days of the simulation.
    """

    stage: str
    median: NDArray[np.int16]
    """Days until half (of the winters) are through, or NOT_THROUGH. (V, N)"""
    booked: NDArray[np.int16]
    """Days until the booked share of the winters is through. (V, N)"""
    success: NDArray[np.float32]
    """Mean over the winters of the share of plants that come through, relative
    to the crop's best. 0..1 (V, N)"""
    over_success: NDArray[np.float32]
    """The same if it stands to the season's end, unfinished; NaN where it may
    not. (V, N)"""
    why: NDArray[np.uint8]
    """Bits that stand against a start. (V, N)"""
