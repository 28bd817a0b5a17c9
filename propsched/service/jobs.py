"""The jobs of a span of days, from the plan in force and the daybook."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from propsched.advice.cautions import cautions_of_jobs
from propsched.advice.day_work import day_work
from propsched.advice.jobs import Job, jobs_between
from propsched.service.answers import JobsAnswer
from propsched.service.opened import Opened, open_season
from propsched.service.since_plan import older_plan


def jobs(
    folder: Path,
    *,
    today: date | None = None,
    days: int = 14,
    first: date | None = None,
    by_space: bool = False,
) -> JobsAnswer:
    """
    What is to be done in a span of days.

    Parameters
    ----------
    first : date, optional
        First day of the span; None: today, and what is overdue comes before it.
    by_space : bool
        Whether jobs go by the space in which they are done, and only then by day.

    Raises
    ------
    PropschedError
        If the season has not been planned yet, or plan.json is of another one.
    """
    opened = open_season(folder, today=today)
    return jobs_of(opened, days=days, first=first, by_space=by_space)


def jobs_of(
    opened: Opened,
    *,
    days: int = 14,
    first: date | None = None,
    by_space: bool = False,
) -> JobsAnswer:
    """The same of a season that is open; parameters and errors as for ``jobs``."""
    plan, season, crops = opened.in_force(), opened.season, opened.crops
    files = opened.files
    batches = tuple(one.batch for one in opened.whole)
    begins = opened.today if first is None else first
    rows = jobs_between(
        plan,
        season,
        crops,
        first=begins,
        today=opened.today,
        days=days,
        batches=batches,
        states=opened.states,
        sown=opened.sown,
        beds=opened.beds,
        heated=opened.heated,
        covered=opened.covered,
        noted=bool(files.daybook),
    )
    if by_space:
        rows = _by_space(rows, [space.id for space in season.spaces])
    notes = list(files.notes)
    if opened.outside:
        notes.append(opened.outside)
    if not files.daybook and any(p.start < opened.today for p in plan.placements):
        notes.append(
            "nothing is noted in daybook.csv: what was due before today counts as done"
        )
    if plan.assumed:
        notes.append(f"the plan in force supposes: {'; '.join(plan.assumed)}")
    notes += older_plan(opened)
    return JobsAnswer(
        today=opened.today,
        rows=rows,
        cautions=cautions_of_jobs(rows, season, batches, crops, plan=plan),
        notes=tuple(notes),
        first=begins,
        days=day_work(rows, season, opened.today),
        by_space=by_space,
    )


def _by_space(rows: Iterable[Job], spaces: list[str]) -> tuple[Job, ...]:
    """By where each is done; what concerns no one space comes last."""
    order = {space: number for number, space in enumerate(spaces)}

    def place(job: Job) -> int:
        return order.get(job.space or job.from_space, len(order))

    return tuple(sorted(rows, key=place))
