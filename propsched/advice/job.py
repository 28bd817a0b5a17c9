"""One thing to do, and how it reads."""

import datetime
from dataclasses import dataclass
from typing import Literal, get_args

JobKind = Literal[
    "make up bed", "heat on", "heat off", "cover off", "sow", "strike", "divide",
    "start", "move", "prick out", "pot up", "pot on", "harden off", "plant out",
    "ready", "cover on", "look daily", "night mat", "ventilate", "note",
    "take readings",
]  # fmt: skip
KINDS: tuple[JobKind, ...] = get_args(JobKind)
"""In the order in which they are named on one day."""
DUTIES: frozenset[JobKind] = frozenset(
    {"look daily", "night mat", "ventilate", "note", "take readings"}
)
"""Small standing duties, apart from the work days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One thing to do."""

    date: datetime.date
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
    minutes: int = 0
    """As the planner counts them; 0 for small daily duties."""
    caution: str = ""
    until: datetime.date | None = None
    """Last day of a standing duty; None: a job of one day."""
    stage: str = ""
    """Stage that a batch comes into; blank at its end, and for a space."""
    overdue: bool = False
    """Was due on an earlier day, and the daybook does not have it as done."""
    compost: str = ""
    """What the containers are filled with; blank: nothing, or the ground."""
    compost_l: float = 0.0
    """So much of it. [l]"""
    label: tuple[str, ...] = ()
    """Lines of a plant label for what is newly filled."""


def containers_text(number: int, container: str) -> str:
    """``3 × tray``; plants in the row are counted as they are."""
    return f"{number} in the row" if container == "row" else f"{number} × {container}"
