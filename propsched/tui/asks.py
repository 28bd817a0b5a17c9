"""What a page asks of the app; pages change nothing by themselves."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from textual.message import Message

from propsched.advice.job import Job
from propsched.domain.batch import EventName, Pin
from propsched.tui.desk import PageName

if TYPE_CHECKING:
    from propsched.service.change import Change


class Ask(Message):
    """Base of all; the app hears it wherever it comes from."""

    bubble = True


@dataclass
class Go(Ask):
    """To another page."""

    page: PageName
    opened: bool = False
    """Whether it is to open what was chosen."""


@dataclass
class Choose(Ask):
    """Look at a batch or a space, on all pages; None leaves it as it is."""

    batch: str | None = None
    space: str | None = None


@dataclass
class NoteReading(Ask):
    """Store a reading: one value, the mean of several, or where they settle."""

    space: str
    temps_c: tuple[float, ...]
    minutes: tuple[float, ...] = ()
    """When each was taken, from the first on; with ``settling``. [min]"""
    settling: bool = False
    probe: str | None = None
    depth_cm: float | None = None
    note: str = ""


@dataclass
class Settle(Ask):
    """Say where readings of a probe that still creeps will end; nothing is stored."""

    temps_c: tuple[float, ...]
    minutes: tuple[float, ...]
    """When each was taken, from the first on. [min]"""
    probe: str | None = None


@dataclass
class NoteEvent(Ask):
    """Store what happened, in the words of ``propsched note``."""

    event: EventName
    words: tuple[str, ...]
    space: str = ""
    day: date | None = None
    note: str = ""


@dataclass
class Tick(Ask):
    """A job is done."""

    job: Job
    day: date | None = None
    """None: today."""
    lost: int = 0
    count: int | None = None


@dataclass
class Undo(Ask):
    """Take back what was noted last; of a batch or space, if one is named."""

    what: str = ""
    changes: bool = False
    """Whether a pin or a changed row counts too, if it was the last thing done."""


@dataclass
class SetPin(Ask):
    """Decide where (and when) a stage of a batch stands; replaces its pin."""

    pin: Pin


@dataclass
class DropPin(Ask):
    batch: str
    stage: str


@dataclass
class SetBatch(Ask):
    """Change one cell of batches.csv."""

    batch: str
    column: str
    value: str


@dataclass
class PlanNow(Ask):
    """Plan near the plan in force; from nothing where there is none, or afresh."""

    afresh: bool = False


@dataclass
class StopPlanning(Ask):
    """Keep the best so far."""


@dataclass
class TryOut(Ask):
    """Plan with something supposed; nothing is saved."""

    change: "Change"
    what: str
    """In words: ``8 °C colder for 6 days from 12 Jan``."""


@dataclass
class Accept(Ask):
    """Put the plan that was tried in force."""


@dataclass
class Forget(Ask):
    """Forget what was tried."""


@dataclass
class CompareSpaces(Ask):
    first: str
    second: str


@dataclass
class LookBack(Ask):
    """Look back over the season, to ``desk.looked``."""


@dataclass
class ShowLines(Ask):
    """Lines of a file round one of them, to ``desk.excerpt``."""

    path: str
    line: int


@dataclass
class Reload(Ask):
    """Read the files again."""
