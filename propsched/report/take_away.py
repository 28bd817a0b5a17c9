"""A season's files to take away: names and contents, written by whoever asks."""

import re
from collections.abc import Iterator
from dataclasses import fields
from datetime import date
from itertools import groupby

from propsched.domain.plan import BatchPlan, Plan
from propsched.domain.season import Season
from propsched.report.figures import Form, drawn, timeline_figure, warmth_figure
from propsched.report.machine import as_csv, jobs_csv, plan_csv, record, temps_csv
from propsched.service.answers import JobsAnswer, TempsAnswer

BATCH_KEYS = tuple(f.name for f in fields(BatchPlan))


def tables(
    plan: Plan, jobs: JobsAnswer, warmth: TempsAnswer
) -> Iterator[tuple[str, bytes]]:
    """CSV: jobs, placements, batches, temperatures."""
    batches = as_csv(BATCH_KEYS, (record(BATCH_KEYS, one) for one in plan.batches))
    yield "jobs.csv", jobs_csv(jobs).encode()
    yield "placements.csv", plan_csv(plan).encode()
    yield "batches.csv", batches.encode()
    yield "temps.csv", temps_csv(warmth).encode()


def pictures(
    plan: Plan, season: Season, warmth: TempsAnswer, today: date, form: Form
) -> Iterator[tuple[str, bytes]]:
    """The timeline, and the warmth of each space."""
    yield f"timeline.{form}", drawn(timeline_figure(plan, season, today), form)
    taken: set[str] = set()
    for space, rows in groupby(warmth.rows, key=lambda row: row.space):
        name = _file_name(space, taken)
        figure = warmth_figure(list(rows), season, today)
        yield f"warmth-{name}.{form}", drawn(figure, form)


def _file_name(space: str, taken: set[str]) -> str:
    """Letters, figures and dashes of a space's name; nothing that leads elsewhere."""
    plain = re.sub(r"[^\w-]+", "-", space).strip("-")[:60] or "space"
    name, k = plain, 1
    while name.casefold() in taken:
        k += 1
        name = f"{plain}-{k}"
    taken.add(name.casefold())
    return name
