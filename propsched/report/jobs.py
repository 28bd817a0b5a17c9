"""Jobs in the terminal: by day or by space, with minutes, compost and labels."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import groupby

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from propsched.advice.compost import total_l
from propsched.advice.day_work import DayWork
from propsched.advice.job import DUTIES, Job, containers_text
from propsched.report.layout import add, grid, heading, points
from propsched.report.words import clean, day_text
from propsched.service.answers import JobsAnswer

LATE = "! "
"""Before the day of a job that is overdue."""


def jobs_report(answer: JobsAnswer) -> Group:
    """The jobs of a span, what they take in all, and the labels to write."""
    care = not answer.cautions
    listed = _spaces if answer.by_space else job_list
    parts: list[RenderableType] = list(listed(answer.rows, care=care, days=answer.days))
    if not answer.rows:
        first = answer.first or answer.today
        day = f"{day_text(first)} {first.year}"
        parts.append(Text(f"Nothing to do in these days from {day} on."))
    litres = total_l(answer.rows)
    if len(answer.days) > 1 and litres:
        parts += [Text(""), Text(f"In all {_compost(litres)}.")]
    parts += _labels(answer.rows)
    if answer.cautions:
        parts += [heading("Take care"), *points(answer.cautions, "!")]
    return Group(*parts)


def job_list(
    jobs: Iterable[Job], *, care: bool = True, days: Sequence[DayWork] = ()
) -> Iterator[RenderableType]:
    """
    Jobs by day with their minutes, then the small standing duties.

    Parameters
    ----------
    care : bool
        Whether each has what to be careful of; it may stand below instead.
    days : sequence of DayWork
        What to sum up under each day.
    """
    jobs = tuple(jobs)
    due = [j for j in jobs if j.kind not in DUTIES]
    if due:
        yield _table(due, care=care, days={one.date: one for one in days})
        if any(job.overdue for job in due):
            yield Text("!: overdue, not noted as done")
    duties = [j for j in jobs if j.kind in DUTIES]
    if duties:
        if due:
            yield Text("")
        yield Text("Small duties, any day", style="dim")
        yield _duties(duties)


def _spaces(
    jobs: Iterable[Job], *, care: bool, days: Sequence[DayWork]
) -> Iterator[RenderableType]:
    """The jobs of each space under its name; what each day takes comes last."""
    jobs = tuple(jobs)
    for space, group in groupby(jobs, key=lambda j: j.space or j.from_space):
        yield heading(clean(space) if space else "All over")
        yield from job_list(group, care=care)
    if days:
        yield heading("Work of each day")
        table = grid("day", "work")
        for one in days:
            add(table, f"{one.date:%a} {day_text(one.date)}", _sum(one))
        yield table


def _table(
    jobs: Sequence[Job], *, care: bool, days: Mapping[date, DayWork]
) -> RenderableType:
    table = grid("day", "job", "batch", "min", right=("min",))
    left = dict(days)
    before = None
    for job in jobs:
        if before is not None and job.date != before:
            _sums(table, left, before, job.date)
        minutes = f"{job.minutes}" if job.minutes else ""
        what = job.what
        if care and job.caution:
            what += f" – {job.caution.rstrip('.')}"
        mark = LATE if job.overdue else ""
        day = f"{mark}{job.date:%a} {day_text(job.date)}"
        add(table, "" if before == job.date else day, what, job.batch, minutes)
        before = job.date
    _sums(table, left, before, None)
    return table


def _sums(
    table: Table, left: dict[date, DayWork], last: date | None, then: date | None
) -> None:
    """What the days that are over now take; of a day without jobs under its name."""
    for day in [d for d in left if then is None or d < then]:
        name = "" if day == last else f"{day:%a} {day_text(day)}"
        add(table, name, _sum(left.pop(day)), "", "")


def _sum(day: DayWork) -> str:
    """``→ 95 of 230 min, and 40 overdue; seed compost 8 l``."""
    parts = f"→ {day.minutes}"
    if day.of_minutes is not None:
        parts += f" of {day.of_minutes}"
    parts += " min"
    if day.overdue_minutes:
        parts += f", and {day.overdue_minutes} overdue"
    if day.too_much:
        parts += ": more than there is time for"
    if day.compost_l:
        parts += f"; {_compost(day.compost_l)}"
    return parts


def _compost(litres: Mapping[str, float]) -> str:
    """``seed compost 8 l, cutting mix 2.5 l``."""
    return ", ".join(f"{kind} {amount:g} l" for kind, amount in litres.items())


def _labels(jobs: Iterable[Job]) -> Iterator[RenderableType]:
    """What to write on each label, its lines beside one another."""
    table = grid("label", "for")
    for job in jobs:
        if job.label:
            many = containers_text(job.containers, job.container)
            add(table, " / ".join(job.label), many)
    if table.row_count:
        yield heading("Labels")
        yield table


def _duties(duties: Iterable[Job]) -> RenderableType:
    table = grid("days", "duty")
    for job in duties:
        span = day_text(job.date)
        if job.until is not None and job.until > job.date:
            span += f" – {day_text(job.until)}"
        add(table, span, job.what)
    return table
