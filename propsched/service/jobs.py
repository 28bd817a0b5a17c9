"""The jobs of a span of days, from the plan in force and the daybook."""

from datetime import date
from pathlib import Path

from propsched.advice.cautions import cautions_of_jobs
from propsched.advice.jobs import jobs_between
from propsched.errors import PropschedError
from propsched.service.answers import JobsAnswer
from propsched.service.opened import open_season


def jobs(folder: Path, *, today: date | None = None, days: int = 14) -> JobsAnswer:
    """
    What is to be done from today on.

    Raises
    ------
    PropschedError
        If the season has not been planned yet.
    """
    opened = open_season(folder, today=today)
    plan, season, crops = opened.plan, opened.season, opened.crops
    if plan is None:
        raise PropschedError(
            f"{folder}: no plan yet – make one with: propsched plan {folder}"
        )
    files = opened.files
    batches = tuple(one.batch for one in opened.whole)
    rows = jobs_between(
        plan,
        season,
        crops,
        first=opened.today,
        days=days,
        batches=batches,
        states=opened.states,
        sown=opened.sown,
        beds=opened.beds,
        heated=opened.heated,
        noted=bool(files.daybook),
    )
    notes = list(files.notes)
    if not files.daybook and any(p.start < opened.today for p in plan.placements):
        notes.append(
            "nothing is noted in daybook.csv: what was due before today counts as done"
        )
    if plan.assumed:
        notes.append(f"the plan in force supposes: {'; '.join(plan.assumed)}")
    if opened.changed:
        notes.append(
            f"{', '.join(opened.changed)} changed since the plan of {plan.today} "
            "was made: plan again"
        )
    return JobsAnswer(
        today=opened.today,
        rows=rows,
        cautions=cautions_of_jobs(rows, season, batches, crops, plan=plan),
        notes=tuple(notes),
    )
