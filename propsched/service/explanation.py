"""What ``temps --explain`` answers."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from propsched.thermal.assumptions import Assumption
from propsched.thermal.bed_outlook import BedOutlook
from propsched.thermal.heap_outlook import HeapOutlook


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """One thing that warms or cools a space on a day."""

    term: str
    """A name of ``thermal.balance.TERMS``, or ``storage``."""
    words: str
    w_m2: float
    """Mean of the 24 hours into the space, below 0 out of it. [W/m² of floor]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceExplained:
    space: str
    on: date
    kind: Literal["observed", "forecast", "outlook"]
    """Where that day's weather comes from."""
    winters: int
    """So many were averaged; 1 for a day whose weather is known."""
    root_mean_c: float
    """By the model alone, with the figures that readings speak for."""
    corrected_mean_c: float
    """The same as readings correct it."""
    outdoor_mean_c: float
    sentence: str
    flows: tuple[Flow, ...]
    """Those that are there, greatest gain first."""
    storage: Flow
    """What the layers take up: the sum of the flows."""
    assumptions: tuple[Assumption, ...]
    bed: BedOutlook | None = None
    heap: HeapOutlook | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainAnswer:
    spaces: tuple[SpaceExplained, ...]
    notes: tuple[str, ...] = ()
