"""A plan and the daybook into what is to be done, day by day."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

JobKind = Literal[
    "make up bed", "heat on", "heat off", "sow", "strike", "divide", "start", "move",
    "prick out", "pot up", "pot on", "harden off", "plant out", "ready",
    "look daily", "night mat", "ventilate", "take readings",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One thing to do."""

    date: date
    """Day it is due; a standing duty has the first day it holds."""
    kind: JobKind
    batch: str = ""
    """Blank for what concerns a space."""
    crop: str = ""
    what: str
    """The job in a sentence."""
    from_space: str = ""
    """Where it stands now; blank for a start, or where it stays."""
    space: str = ""
    count: int | None = None
    """Seeds, cuttings or plants, where known."""
    containers: int = 0
    container: str = ""
    minutes: float = 0.0
    """As the planner counts them; 0 for small daily duties."""
    caution: str = ""
    until: date | None = None
    """Last day of a standing duty; None: a job of one day."""
