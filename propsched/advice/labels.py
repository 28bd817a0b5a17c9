"""What to write on a plant label."""

from collections.abc import Mapping
from datetime import date
from textwrap import wrap

from propsched.advice.job import Job, JobKind

LINE_CHARS = 24
"""Letters of a hand that go on the 11 cm above the point of a 13 cm label
(common practice)."""

DONE: Mapping[JobKind, str] = {
    "sow": "sown",
    "strike": "struck",
    "divide": "divided",
    "start": "started",
    "prick out": "pricked out",
    "pot up": "potted up",
    "pot on": "potted on",
}
"""How a label says of each job that it was done; others need no new label."""


def label_of(job: Job, variety: str, method: str, on: date) -> tuple[str, ...]:
    """
    The lines of the label; none for a job that fills nothing new.

    Parameters
    ----------
    on : date
        Day it is done.
    """
    if job.kind not in DONE:
        return ()
    name = f"{job.crop} {variety}".strip()
    texts = (
        [name] if len(name) <= LINE_CHARS else [job.crop, variety],
        [f"{job.batch}, {method}" if method else job.batch],
        [f"{DONE[job.kind]} {on.day} {on:%b} {on.year}"],
    )
    return tuple(
        line for text in texts for part in text for line in wrap(part, LINE_CHARS)
    )
