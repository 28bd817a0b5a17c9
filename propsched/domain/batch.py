"""What is to be raised, what happened to it, and what the grower has decided."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal, get_args

from annotated_types import Ge, Le

from propsched.domain.container import Container
from propsched.domain.crop import Method, StageName
from propsched.domain.quantities import STRICT, Count, Share

EventName = Literal[
    "sown", "struck", "divided", "started", "emerged", "rooted", "established",
    "pricked-out", "potted-up", "potted-on", "moved", "hardening", "planted-out",
    "lost", "bed-made-up", "heat-on", "heat-off", "cover-on", "cover-off", "undone",
]  # fmt: skip
EVENTS: tuple[EventName, ...] = tuple(e for e in get_args(EventName) if e != "undone")
"""What can happen; ``undone`` says that it has not (``domain.undone``)."""
SPACE_EVENTS: frozenset[EventName] = frozenset(
    {"bed-made-up", "heat-on", "heat-off", "cover-on", "cover-off"}
)
"""What happens to a space, not to a batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeat:
    """Sowings one after another: ``every 14 days × 4``."""

    every_days: Annotated[int, Ge(1), Le(365)]
    times: Annotated[int, Ge(1), Le(60)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A number of one crop by one method."""

    __pydantic_config__ = STRICT

    id: str
    crop: str
    """Name as in the crop table."""
    method: Method
    wanted: Count
    """Plants wanted."""
    variety: str = ""
    sown: Count | None = None
    """Seeds, cuttings or pieces; None: as many as the wanted plants call for."""
    container: Container | None = None
    """Container of the start stage; None: the crop table's."""
    available_from: date | None = None
    """First day the material exists; None: the season's start."""
    available_to: date | None = None
    """Last day it can be started; None: the season's end."""
    wanted_from: date | None = None
    wanted_by: date | None = None
    """None: any day will do, and standing over is no worse than planned."""
    priority: Annotated[int, Ge(1), Le(5)] = 3
    repeat: Repeat | None = None
    seed_year: Annotated[int, Ge(1900), Le(2200)] | None = None
    germination_pct: Annotated[float, Ge(1), Le(100)] | None = None
    """As the packet says; None: 100."""
    split: bool = False
    """Whether it may be raised in two halves, each going its own way."""
    portion: Share = 1.0
    """Share of the plants of its row; one half of a row has about one half."""
    note: str = ""


def part_name(batch: str, part: int) -> str:
    """Name of one half of a batch: ``leek (1 of 2)``."""
    return f"{batch} ({part} of 2)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One row of the daybook."""

    __pydantic_config__ = STRICT

    time: datetime
    """Local clock time of the site."""
    batch: str = ""
    """Blank for what happens to a space (bed made up, heat, cover)."""
    event: EventName
    space: str = ""
    count: Annotated[int, Ge(0)] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """What the grower has decided; the planner keeps to it."""

    __pydantic_config__ = STRICT

    batch: str
    stage: StageName
    space: str = ""
    """Blank: any space."""
    start: date | None = None
    """None: any day."""
