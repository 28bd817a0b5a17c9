"""All that the app knows, as one value, and what becomes of it."""

from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from propsched.errors import InputProblem
from propsched.service.events import Failed, Finished, Improved, Outcome, Step

if TYPE_CHECKING:  # heavy, and the first picture is not to wait for it
    from propsched.service.answers import JobsAnswer, TempsAnswer
    from propsched.service.comparison import CompareAnswer
    from propsched.service.opened import Opened
    from propsched.service.replan import Replanned

PageName = Literal[
    "season", "warmth", "batches", "jobs", "reading", "compare", "cold", "problems"
]
Tone = Literal["note", "warning", "error"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Planning:
    """A run of the planner, as it goes."""

    busy: bool = False
    what: str = ""
    """In words: ``Planning``, ``Trying 8 °C colder``."""
    step: str = ""
    worth: float | None = None
    bound: float | None = None
    elapsed_s: float = 0.0
    stopping: bool = False

    @property
    def gap(self) -> float | None:
        """How near the best it is proven to be, a fraction; None: no plan yet."""
        if self.worth is None or self.bound is None:
            return None
        return (self.bound - self.worth) / max(1.0, abs(self.bound))


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What lies on the grower's desk."""

    folder: Path
    opened: "Opened | None" = None
    """None: not read yet, or it cannot be read; ``problems`` says why."""
    problems: tuple[InputProblem, ...] = ()
    jobs: "JobsAnswer | None" = None
    """Of the next fortnight; None without a plan."""
    temps: "TempsAnswer | None" = None
    """Of every space; None while it is being simulated."""
    outcome: Outcome | None = None
    """Of the last planning run in this sitting."""
    tried: "Replanned | None" = None
    """What the last try-out came to, not accepted yet."""
    compared: "CompareAnswer | None" = None
    planning: Planning = field(default_factory=Planning)
    run: int = 0
    """Counts planning runs: what an older one still says is not heard."""
    batch: str = ""
    """The batch the grower looks at, from page to page."""
    space: str = ""
    """The space the grower looks at, from page to page."""
    said: str = ""
    """The last thing worth saying, for the line at the bottom."""
    tone: Tone = "note"

    @property
    def today(self) -> date | None:
        return None if self.opened is None else self.opened.today


@dataclass(frozen=True, slots=True)
class Read:
    """The files were read."""

    opened: "Opened"
    jobs: "JobsAnswer | None"


@dataclass(frozen=True, slots=True)
class Faulty:
    """The files cannot be read as they are."""

    problems: tuple[InputProblem, ...]


@dataclass(frozen=True, slots=True)
class Warm:
    """The spaces were simulated."""

    temps: "TempsAnswer"


@dataclass(frozen=True, slots=True)
class Tried:
    """A try-out has come to its end."""

    answer: "Replanned"


@dataclass(frozen=True, slots=True)
class Compared:
    answer: "CompareAnswer"


@dataclass(frozen=True, slots=True)
class Begun:
    """A run of the planner begins."""

    what: str
    run: int


@dataclass(frozen=True, slots=True)
class Said:
    """Something to tell at the bottom of the screen."""

    text: str
    tone: Tone = "note"


@dataclass(frozen=True, slots=True)
class Chosen:
    """The grower looks at another batch or space; None leaves it as it is."""

    batch: str | None = None
    space: str | None = None


Happening: TypeAlias = (
    Read | Faulty | Warm | Tried | Compared | Begun | Said | Chosen
    | Step | Improved | Finished | Failed
)  # fmt: skip


def after(desk: Desk, happened: Happening) -> Desk:
    """The desk once that has happened."""
    match happened:
        case Read(opened, jobs):
            return _read(desk, opened, jobs)
        case Faulty(problems):
            return replace(desk, problems=problems)
        case Warm(temps):
            return replace(desk, temps=temps)
        case Compared(answer):
            return replace(desk, compared=answer)
        case Chosen() | Said():
            return _told(desk, happened)
        case _:
            return _planned(desk, happened)


def _told(desk: Desk, happened: Chosen | Said) -> Desk:
    if isinstance(happened, Said):
        return replace(desk, said=happened.text, tone=happened.tone)
    batch = desk.batch if happened.batch is None else happened.batch
    space = desk.space if happened.space is None else happened.space
    return replace(desk, batch=batch, space=space)


def _planned(
    desk: Desk, happened: Begun | Step | Improved | Finished | Failed | Tried
) -> Desk:
    going = desk.planning
    idle = replace(going, busy=False, step="", stopping=False)
    match happened:
        case Begun(what, run):
            return replace(desk, planning=Planning(busy=True, what=what), run=run)
        case Step(name):
            return replace(desk, planning=replace(going, step=name))
        case Improved(worth, bound, elapsed_s):
            better = replace(going, worth=worth, bound=bound, elapsed_s=elapsed_s)
            return replace(desk, planning=better)
        case Finished(outcome):
            return replace(desk, planning=idle, outcome=outcome)
        case Tried(answer):
            return replace(desk, planning=idle, tried=answer)
        case Failed(problems):
            return replace(desk, planning=idle, problems=problems)


def _read(desk: Desk, opened: "Opened", jobs: "JobsAnswer | None") -> Desk:
    """What was looked at stays so as long as it is there."""
    spaces = [space.id for space in opened.season.spaces]
    batches = [one.batch.id for one in opened.whole]
    return replace(
        desk,
        opened=opened,
        jobs=jobs,
        problems=(),
        space=_still(desk.space, spaces),
        batch=_still(desk.batch, batches),
    )


def _still(name: str, names: list[str]) -> str:
    if name in names:
        return name
    return names[0] if names else ""
