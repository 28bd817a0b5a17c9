"""A job with all that goes with it: whether it is late, what it takes, its label."""

from dataclasses import replace
from datetime import date

from propsched.advice.basis import Basis
from propsched.advice.compost import compost_of
from propsched.advice.job import DUTIES, KINDS, Job
from propsched.advice.labels import label_of


def whole(ground: Basis, job: Job) -> Job:
    """The job with what follows from its kind, its day and its batch."""
    batch, crop = ground.batches.get(job.batch), ground.crops.get(job.batch)
    compost, litres = compost_of(job, crop)
    label: tuple[str, ...] = ()
    if compost or crop is None or job.stage == crop.stages[0].stage:
        variety = batch.variety if batch else ""
        method = crop.method if crop else ""
        label = label_of(job, variety, method, max(job.date, ground.today))
    return replace(
        job,
        overdue=ground.late(job.date) and job.kind not in DUTIES,
        compost=compost,
        compost_l=litres,
        label=label,
    )


def in_order(job: Job) -> tuple[bool, date, int, str, str]:
    """What is overdue first, then day by day."""
    return not job.overdue, job.date, KINDS.index(job.kind), job.batch, job.space
