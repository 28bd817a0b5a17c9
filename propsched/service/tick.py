"""A job is done: what the daybook has to say for it, and saying it."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from propsched.advice.by_itself import ends_with
from propsched.advice.job import DUTIES, Job, JobKind
from propsched.domain.batch import Event, EventName
from propsched.domain.crop import UNSTARTED
from propsched.errors import PropschedError
from propsched.service.note_event import store
from propsched.service.noted import NoteAnswer, When, moment_of
from propsched.service.opened import Opened, open_season

OF_BATCH: Mapping[JobKind, EventName] = {
    "sow": "sown",
    "strike": "struck",
    "divide": "divided",
    "start": "started",
    "move": "moved",
    "prick out": "pricked-out",
    "pot up": "potted-up",
    "pot on": "potted-on",
    "harden off": "hardening",
    "plant out": "planted-out",
    "ready": "planted-out",
}
OF_SPACE: Mapping[JobKind, EventName] = {
    "make up bed": "bed-made-up",
    "heat on": "heat-on",
    "heat off": "heat-off",
    "cover on": "cover-on",
    "cover off": "cover-off",
}
BEGINNINGS: frozenset[JobKind] = frozenset({"sow", "strike", "divide", "start"})
Told = tuple[EventName, str, str, int | None]
"""Event, batch or space, the space a batch is in from then on, count."""


def event_of(job: Job, opened: Opened) -> Told | None:
    """
    Which event of the daybook says that a job is done.

    Returns
    -------
    Event, batch or, of what happens to a space, the space; the space it stands in from
    then on, blank where that stays; seeds, cuttings or pieces started. None: a standing
    duty, which is never done. What is only to be noted is done by noting it.
    """
    if job.kind in OF_SPACE:
        return OF_SPACE[job.kind], job.space, "", None
    crop = opened.crops.get(job.batch)
    if job.kind == "note" and crop is not None:
        return ends_with(crop), job.batch, "", None
    if job.kind not in OF_BATCH:
        return None
    name = OF_BATCH[job.kind]
    if name == "moved" and crop is not None and _comes_through(job, opened):
        name = ends_with(crop)
    where = "" if name == "planted-out" else job.space
    count = job.count if job.kind in BEGINNINGS else None
    state = opened.states.get(job.batch)
    if state is not None and state.standing and job.kind in BEGINNINGS:
        count = None  # out of the warmth or the cold: nobody has counted
    return name, job.batch, where, count


def _comes_through(job: Job, opened: Opened) -> bool:
    """Whether it is moved because its start is over: seedlings show, cuttings root."""
    state = opened.states.get(job.batch)
    if not job.stage or job.stage in UNSTARTED:
        return False
    return state is None or state.stage in UNSTARTED


def tick(
    folder: Path,
    job: Job,
    *,
    day: date | None = None,
    lost: int = 0,
    count: int | None = None,
    note: str = "",
    today: date | None = None,
) -> NoteAnswer:
    """
    Note that a job is done, and what was lost over it.

    Parameters
    ----------
    day : date, optional
        Day it was done; None: today.
    lost : int
        Seeds, cuttings or plants lost since they were last counted; before they were
        planted out, pricked out or potted, of a start after it.
    count : int, optional
        So many were started, pricked out …; None: as many as the job says, of what
        it does not say nothing is counted.

    Raises
    ------
    PropschedError
        Of a standing duty, a day to come, a batch or space that is not there.
    """
    opened = open_season(folder, today=today, need=frozenset())
    told = event_of(job, opened)
    if told is None:
        duty = "is a standing duty" if job.kind in DUTIES else "cannot be noted"
        raise PropschedError(f'"{job.what}" {duty}: there is nothing to tick off')
    if lost < 0 or (count is not None and count < 0):
        raise PropschedError("no number can be below zero")
    name, whom, where, number = told
    when = moment_of(opened.season, When(day=day), today)
    of_batch = job.kind not in OF_SPACE
    done = Event(
        time=when,
        batch=whom if of_batch else "",
        event=name,
        space=where if of_batch else whom,
        count=number if count is None else count,
        note=note,
    )
    rows = [done]
    if lost and of_batch:
        gone = Event(time=when, batch=whom, event="lost", count=lost)
        rows = [done, gone] if job.kind in BEGINNINGS else [gone, done]
    return store(opened.files, rows, exact=False)
