"""The jobs as a calendar file (RFC 5545) that any calendar program reads."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256

from icalendar import Calendar, Event

from propsched import __version__
from propsched.advice.job import DUTIES, Job, containers_text
from propsched.domain.season import Season
from propsched.report.words import clean

ID_CHARACTERS = 32


def calendar(season: Season, jobs: Iterable[Job], *, today: date) -> bytes:
    """
    One all-day event a job; standing duties reach over their days.

    The identifier of an event says which job it is, not when: imported again after
    another plan, a batch's events move rather than double (RFC 5545, 3.8.4.7).
    ``SEQUENCE`` and the stamp go up with the day on which the file was made, so that a
    calendar takes the later one.

    Returns
    -------
    The file, lines folded and ended as the standard asks.
    """
    found = Calendar()
    found.add("prodid", f"-//propsched//propsched {__version__}//EN")
    found.add("version", "2.0")
    found.add("calscale", "GREGORIAN")
    found.add("method", "PUBLISH")
    found.add("name", clean(season.name))  # RFC 7986, 5.1
    stamp = datetime.combine(today, time(), tzinfo=UTC)
    sequence = max(0, (today - season.start).days)
    seen: dict[str, int] = {}
    for job in jobs:
        key = _key(season, job)
        seen[key] = seen.get(key, 0) + 1
        found.add_component(_event(job, f"{key}-{seen[key]}", stamp, sequence))
    return bytes(found.to_ical())


def _key(season: Season, job: Job) -> str:
    """
    Which job it is: what happens to which batch at which stage, wherever and whenever.

    What concerns a space comes again and again, so its day belongs to it.
    """
    own = (job.batch, job.stage) if job.batch else (job.space, str(job.date))
    parts = (season.name, str(season.start), job.kind, *own)
    return sha256("\0".join(parts).encode()).hexdigest()[:ID_CHARACTERS]


def _event(job: Job, key: str, stamp: datetime, sequence: int) -> Event:
    event = Event()
    event.add("uid", f"{key}@propsched")
    event.add("dtstamp", stamp)
    event.add("sequence", sequence)
    event.add("summary", clean(job.what))
    event.add("dtstart", job.date)
    event.add("dtend", (job.until or job.date) + timedelta(days=1))
    event.add("transp", "TRANSPARENT")  # a day with jobs is not a busy day
    event.add("categories", ["small duty" if job.kind in DUTIES else job.kind])
    if job.space:
        event.add("location", clean(job.space))
    told = "\n".join(_told(job))
    if told:
        event.add("description", told)
    return event


def _told(job: Job) -> Iterable[str]:
    if job.batch:
        yield f"Batch: {clean(job.batch)}"
    if job.containers:
        yield f"Containers: {containers_text(job.containers, job.container)}"
    if job.compost:
        litres = f"{job.compost_l:g} l " if job.compost_l else ""
        yield f"Fill with: {litres}{job.compost}"
    if job.label:
        yield f"Label: {clean(' / '.join(job.label))}"
    if job.minutes:
        yield f"About {job.minutes} min"
    if job.caution:
        yield f"Take care: {clean(job.caution)}"
