"""The jobs of a span of days, from the plan in force and the daybook."""

from datetime import date
from pathlib import Path

from propsched.advice.cautions import cautions_of_jobs
from propsched.advice.jobs import jobs_between
from propsched.advice.state import beds_made_up, heat_noted, standing
from propsched.domain.repeats import expand
from propsched.errors import PropschedError
from propsched.files.write import read_plan
from propsched.service.answers import JobsAnswer
from propsched.service.climate import PLANNING, load
from propsched.service.raised import raised


def jobs(folder: Path, *, today: date | None = None, days: int = 14) -> JobsAnswer:
    """
    What is to be done from today on.

    Raises
    ------
    PropschedError
        If the season has not been planned yet.
    """
    loaded = load(folder, today, PLANNING)
    plan = read_plan(folder)
    if plan is None:
        raise PropschedError(
            f"{folder}: no plan yet – make one with: propsched plan {folder}"
        )
    files, season = loaded.files, loaded.season
    whole = tuple(
        raised(batch, files.crops.get(batch.crop, batch.method))
        for batch in expand(files.batches)
    )
    batches = tuple(one.batch for one in whole)
    crops = {one.batch.id: one.crop for one in whole}
    sown = {one.batch.id: one.sown for one in whole}
    rows = jobs_between(
        plan,
        season,
        crops,
        first=loaded.today,
        days=days,
        batches=batches,
        states=standing(
            files.daybook,
            season,
            crops,
            today=loaded.today,
            sown=sown,
            wanted={one.batch.id: one.batch.wanted for one in whole},
        ),
        sown=sown,
        beds=beds_made_up(files.daybook, today=loaded.today),
        heated=heat_noted(files.daybook, today=loaded.today),
        noted=bool(files.daybook),
    )
    notes = list(files.notes)
    if not files.daybook and any(p.start < loaded.today for p in plan.placements):
        notes.append(
            "nothing is noted in daybook.csv: what was due before today counts as done"
        )
    if plan.assumed:
        notes.append(f"the plan in force supposes: {'; '.join(plan.assumed)}")
    changed = [
        name
        for name in {*files.digests, *plan.inputs} - {"readings.csv"}
        if plan.inputs.get(name) != files.digests.get(name)
    ]
    if changed:
        notes.append(
            f"{', '.join(sorted(changed))} changed since the plan of {plan.today} "
            "was made: plan again"
        )
    return JobsAnswer(
        today=loaded.today,
        rows=rows,
        cautions=cautions_of_jobs(rows, season, batches, crops, plan=plan),
        notes=tuple(notes),
    )
