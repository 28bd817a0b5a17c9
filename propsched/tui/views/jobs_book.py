"""The jobs of some days, by work day, with those that were just ticked off."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, TypeAlias

from propsched.advice.job import DUTIES, Job
from propsched.advice.whole import in_order
from propsched.report.words import clean, day_text

if TYPE_CHECKING:
    from propsched.advice.day_work import DayWork
    from propsched.service.answers import JobsAnswer
    from propsched.tui.desk import Desk

SPANS = (7, 14, 28)
"""Days that can be looked ahead."""
FORTNIGHT = 14
Key: TypeAlias = tuple[date, str, str, str, str]
_REPLAN, _BY_KEY = ": propsched replan plans again, near it", ": p plans again"
"""What a note says of a plan that is older, and what it is here."""
_COMMAND = ": propsched note"
"""From here on a job tells how to note it without the app."""


@dataclass(frozen=True, slots=True)
class Ticked:
    """A job that was ticked off while the page was open."""

    job: Job
    day: date | None = None
    """None: today."""
    lost: int = 0
    before: object = field(default=None, compare=False, repr=False)
    """The season as it was read before."""


@dataclass(frozen=True, slots=True)
class Row:
    """One job on the page."""

    job: Job
    done: Ticked | None = None

    @property
    def key(self) -> Key:
        return key_of(self.job)

    @property
    def ticks(self) -> bool:
        """Whether it can be ticked off; a standing duty is never done."""
        return self.done is None and (
            self.job.kind == "note" or self.job.kind not in DUTIES
        )


@dataclass(frozen=True, slots=True)
class Group:
    """Jobs under one heading."""

    title: str
    beside: str
    """How much work that is."""
    rows: tuple[Row, ...]
    too_much: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsBook:
    today: date
    days: int
    groups: tuple[Group, ...]
    next: Job | None
    """The first one after these days, where there is nothing to do on them."""
    cautions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def due(self) -> int:
        """Jobs left to do, standing duties aside."""
        return sum(row.ticks and row.job.kind not in DUTIES for row in self.rows)

    def at(self, key: Key | None) -> int:
        """Place of a job; -1: it is not there."""
        return next((i for i, row in enumerate(self.rows) if row.key == key), -1)


def key_of(job: Job) -> Key:
    """By which a job is known again once the files were read anew."""
    return job.date, job.kind, job.batch, job.space, job.stage


def jobs_book(
    desk: "Desk", days: int = FORTNIGHT, ticked: tuple[Ticked, ...] = ()
) -> JobsBook | None:
    """The jobs from today on; None where there is no plan to take them from."""
    opened = desk.opened
    if opened is None or opened.plan is None:
        return None
    answer = _answer(desk, days)
    if answer is None:
        return None
    open_jobs = {key_of(job): job for job in answer.rows}
    done = {}
    for one in ticked:  # what was taken back is to be done again
        key = key_of(one.job)
        if key not in open_jobs or one.before is opened:
            done[key] = one
    jobs = {**{key: one.job for key, one in done.items()}, **open_jobs}
    rows = tuple(
        Row(job, done.get(key_of(job))) for job in sorted(jobs.values(), key=in_order)
    )
    later = None
    if not any(row.job.kind not in DUTIES for row in rows):
        later = _next(desk)
    return JobsBook(
        today=opened.today,
        days=days,
        groups=tuple(_groups(rows, answer, opened.today)),
        next=later,
        cautions=tuple(clean(one) for one in answer.cautions),
        notes=tuple(
            clean(one).replace(_REPLAN, ": p plans again") for one in answer.notes
        ),
    )


def _answer(desk: "Desk", days: int) -> "JobsAnswer | None":
    if days == FORTNIGHT and desk.jobs is not None:
        return desk.jobs
    from propsched.service.jobs import jobs_of

    return None if desk.opened is None else jobs_of(desk.opened, days=days)


def _next(desk: "Desk") -> Job | None:
    """The first job at all."""
    assert desk.opened is not None
    days = (desk.opened.season.end - desk.opened.today).days + 1
    answer = _answer(desk, max(days, 1))
    rows = () if answer is None else answer.rows
    return next((job for job in rows if job.kind not in DUTIES), None)


def _groups(
    rows: tuple[Row, ...], answer: "JobsAnswer", today: date
) -> Iterable[Group]:
    due = [row for row in rows if row.job.kind not in DUTIES]
    late = tuple(row for row in due if row.job.overdue)
    if late:
        left = [row for row in late if row.done is None]
        beside = _minutes(sum(row.job.minutes for row in left))
        yield Group(f"Overdue, {_many(len(left))}", beside, late)
    work = {one.date: one for one in answer.days}
    by_day: dict[date, list[Row]] = {}
    for row in due:
        if not row.job.overdue:
            by_day.setdefault(row.job.date, []).append(row)
    for day, own in sorted(by_day.items()):
        yield Group(
            day_title(day, today),
            _beside(own, work.get(day)),
            tuple(own),
            too_much=day in work and work[day].too_much,
        )
    duties = tuple(row for row in rows if row.job.kind in DUTIES)
    if duties:
        yield Group("Besides, on any day", "", duties)


def day_title(day: date, today: date) -> str:
    """``Sat 6 Mar, today``."""
    title = f"{day:%a} {day_text(day)}"
    if day == today:
        return f"{title}, today"
    return f"{title}, tomorrow" if day == today + timedelta(days=1) else title


def _beside(rows: list[Row], work: "DayWork | None") -> str:
    """``32 min of 140``, with what of it is left and what is overdue besides."""
    left = sum(row.job.minutes for row in rows if row.done is None)
    if work is None:
        return _minutes(left)
    told = _minutes(left)
    if work.of_minutes is not None:
        told = f"{told or '0 min'} of {work.of_minutes}"
    else:
        told = ", ".join(part for part in (told, "no work day") if part)
    if work.overdue_minutes:
        told += f", {work.overdue_minutes} overdue besides"
    if work.too_much:
        told += " – too much for the day"
    litres = [f"{clean(kind)} {_litres(n)}" for kind, n in work.compost_l.items() if n]
    return "; ".join([told, *litres[:2]])


def _minutes(minutes: int) -> str:
    return f"{minutes} min" if minutes else ""


def _litres(litres: float) -> str:
    return f"{litres:.1f} l" if litres < 1 else f"{litres:.0f} l"


def _many(jobs: int) -> str:
    return f"{jobs} job{'' if jobs == 1 else 's'}"


def plain_what(job: Job) -> str:
    """What to do, without what other columns say."""
    what, _, _ = clean(job.what).partition(_COMMAND)
    return what.partition(" (was due ")[0]


def when_text(row: Row, today: date) -> str:
    """What stands at the right of a job: when, how long, whether it is done."""
    job, done = row.job, row.done
    if done is not None:
        day = "" if done.day in (None, today) else f" {day_text(done.day)}"
        return f"done{day}" + (f", {done.lost} lost" if done.lost else "")
    if job.kind in DUTIES:
        until = job.until
        if until is None or until == job.date:
            return "" if job.kind == "note" else day_text(job.date)
        first = "" if job.date <= today else f"{day_text(job.date)} – "
        return f"{first or 'to '}{day_text(until)}"
    late = f"overdue {day_text(job.date)}" if job.overdue else ""
    return ", ".join(part for part in (late, _minutes(job.minutes)) if part)


def details(row: Row, today: date) -> tuple[str, ...]:
    """All that is to be known to do it, a paragraph each."""
    job = row.job
    said = [f"{plain_what(job)}."]
    if job.overdue and row.done is None:
        said.append(f"Overdue: was due {job.date.day} {job.date:%B}.")
    if job.from_space and job.from_space not in said[0]:
        said.append(f"Stands in {clean(job.from_space)} now.")
    if job.count is not None and f"{job.count} " not in said[0]:
        said.append(f"{job.count} of them.")
    if job.compost:
        said.append(f"Fill with {clean(job.compost)}, {_litres(job.compost_l)}.")
    if job.label:
        said.append("Label: " + " / ".join(clean(one) for one in job.label) + ".")
    if job.caution:
        said.append(f"Take care: {clean(job.caution).rstrip('.')}.")
    return tuple(said)


def last_tick(ticked: tuple[Ticked, ...], book: JobsBook) -> Ticked | None:
    """The tick made last that still stands."""
    stand = {row.key for row in book.rows if row.done is not None}
    return next((one for one in reversed(ticked) if key_of(one.job) in stand), None)
