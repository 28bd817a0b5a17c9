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
    from propsched.service.looked_back import LookBack
    from propsched.service.opened import Opened
    from propsched.service.replan import Replanned
    from propsched.service.settling import SoFar
    from propsched.service.tonight import TonightAnswer

PageName = Literal[
    "season", "warmth", "batches", "jobs", "reading", "compare", "cold", "year",
    "problems",
]  # fmt: skip
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


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Some lines of a file as they are; it happens when they were read."""

    path: str
    line: int
    """The line that was asked for; 0: the file as a whole."""
    rows: tuple[tuple[int, str], ...]
    """Number and text."""


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
    accepted: "Replanned | None" = None
    """The try-out that was put in force last, until the next one."""
    compared: "CompareAnswer | None" = None
    settles: "SoFar | None" = None
    """What the readings of a probe that still creeps say so far."""
    nights: "TonightAnswer | None" = None
    """What is at risk on the next nights; None while it is being reckoned."""
    looked: "LookBack | None" = None
    """The season looked back on; None until it is asked for."""
    excerpt: "Excerpt | None" = None
    """Lines of a file round a fault, last asked for."""
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
class Accepted:
    """What was tried is in force."""

    answer: "Replanned"


@dataclass(frozen=True, slots=True)
class Left:
    """What was tried is forgotten."""


@dataclass(frozen=True, slots=True)
class Settles:
    """The readings of a probe that still creeps were looked at."""

    so_far: "SoFar"


@dataclass(frozen=True, slots=True)
class Nights:
    """The next nights were reckoned."""

    answer: "TonightAnswer"


@dataclass(frozen=True, slots=True)
class Compared:
    answer: "CompareAnswer"


@dataclass(frozen=True, slots=True)
class LookedBack:
    """The season was looked back on."""

    answer: "LookBack"


@dataclass(frozen=True, slots=True)
class Begun:
    """A run of the planner begins."""

    what: str
    run: int


@dataclass(frozen=True, slots=True)
class Stopping:
    """The planner was told to come to an end."""


@dataclass(frozen=True, slots=True)
class Ended:
    """The planner has come to an end without a plan."""


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
    Read | Faulty | Warm | Nights | Tried | Accepted | Left | Settles | Compared
    | LookedBack | Excerpt | Begun | Stopping | Ended | Said | Chosen
    | Step | Improved | Finished | Failed
)  # fmt: skip


def after(desk: Desk, happened: Happening) -> Desk:
    """The desk once that has happened."""
    match happened:
        case Read(opened, jobs):
            return _read(desk, opened, jobs)
        case Faulty(problems):
            return replace(desk, problems=problems)
        case Warm() | Nights() | Compared() | Settles() | LookedBack() | Excerpt():
            return _answered(desk, happened)
        case Accepted() | Left() | Chosen() | Said():
            return _told(desk, happened)
        case _:
            return _planned(desk, happened)


def _answered(
    desk: Desk, happened: Warm | Nights | Compared | Settles | LookedBack | Excerpt
) -> Desk:
    match happened:
        case Warm(temps):
            return replace(desk, temps=temps)
        case Nights(nights):
            return replace(desk, nights=nights)
        case Compared(compared):
            return replace(desk, compared=compared)
        case Settles(so_far):
            return replace(desk, settles=so_far)
        case LookedBack(answer):
            return replace(desk, looked=answer)
        case Excerpt():
            return replace(desk, excerpt=happened)


def _told(desk: Desk, happened: Accepted | Left | Chosen | Said) -> Desk:
    match happened:
        case Accepted(tried):
            return replace(desk, tried=None, accepted=tried)
        case Left():
            return replace(desk, tried=None, accepted=None)
        case Said(text, tone):
            return replace(desk, said=text, tone=tone)
        case Chosen(batch, space):
            return replace(
                desk,
                batch=desk.batch if batch is None else batch,
                space=desk.space if space is None else space,
            )


def _planned(
    desk: Desk,
    happened: Begun | Stopping | Ended | Step | Improved | Finished | Failed | Tried,
) -> Desk:
    going = desk.planning
    idle = replace(going, busy=False, step="", stopping=False)
    match happened:
        case Begun(what, run):
            return replace(
                desk, planning=Planning(busy=True, what=what), run=run, said=""
            )
        case Step() | Stopping() | Ended():
            return replace(desk, planning=_going_on(going, happened))
        case Improved(worth, bound, elapsed_s):
            better = replace(going, worth=worth, bound=bound, elapsed_s=elapsed_s)
            return replace(desk, planning=better)
        case Finished(outcome):
            return replace(desk, planning=idle, outcome=outcome, tried=None)
        case Tried(answer):
            return replace(desk, planning=idle, tried=answer, accepted=None)
        case Failed(problems):
            return replace(desk, planning=idle, problems=problems)


def _going_on(going: Planning, happened: Step | Stopping | Ended) -> Planning:
    match happened:
        case Step(name):
            return replace(going, step=name)
        case Stopping():
            return replace(going, stopping=True)
        case Ended():
            return replace(going, busy=False, step="", stopping=False)


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
