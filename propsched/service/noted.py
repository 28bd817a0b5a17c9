"""What noting a reading and noting an event share: answer, names, the clock."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from pandas import DataFrame

from propsched.domain.batch import Event
from propsched.domain.crop import Crop
from propsched.domain.season import Probe, Season
from propsched.domain.space import Space
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.read import read_season
from propsched.files.source import one_of

DEEPEST_CM = 300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteAnswer:
    """What was understood and stored."""

    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()
    """What somebody may want to look at again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a reading was taken, and with what."""

    space: str
    depth_cm: float | None = None
    """None: the space's."""
    probe: str | None = None
    """None: the season's only one, if there is one."""

    def __post_init__(self) -> None:
        if self.depth_cm is not None and not 0 <= self.depth_cm <= DEEPEST_CM:
            what = f"depth {self.depth_cm:g} cm"
            raise PropschedError(f"{what} – must be 0 to {DEEPEST_CM:g} cm")


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """What was said of the time, on the site's clock."""

    day: date | None = None
    """None: today."""
    clock: time | None = None
    """None: now; of another day, midnight stands for the day."""


NOW = When()


def only_season(folder: Path) -> Season:
    """The season alone: a fault elsewhere must not keep a reading from being noted."""
    return read_season(folder, need=frozenset(), only=frozenset()).season


def named_space(season: Season, name: str) -> Space:
    """Find a space by its id."""
    known = {space.id: space for space in season.spaces}
    found = known.get(name) or known.get("-".join(name.casefold().split()))
    if found is None:
        raise UnknownNameError(f'no space "{name}" – {one_of(name, known)}')
    return found


def named_probe(season: Season, name: str | None) -> Probe | None:
    if name is None:
        return season.probes[0] if len(season.probes) == 1 else None
    known = {probe.id: probe for probe in season.probes}
    if name and name not in known:
        right = one_of(name, known) or "season.toml has no [[probe]]"
        raise UnknownNameError(f'no probe "{name}" – {right}')
    return known.get(name)


def stored_readings(folder: Path, *, with_undone: bool = False) -> DataFrame:
    """
    The readings that stand.

    Parameters
    ----------
    with_undone : bool
        Those that were taken back, and the rows that say so, too.
    """
    only = frozenset({"readings"})
    files = read_season(folder, need=frozenset(), only=only)
    return files.noted_readings if with_undone else files.readings


def latest_moment(season: Season, today: date | None) -> datetime:
    """Now at the site; of a day that is replayed its last moment."""
    if today is not None:
        return datetime.combine(today, time(23, 59, 59))
    zone = ZoneInfo(season.site.timezone)
    return datetime.now(UTC).astimezone(zone).replace(tzinfo=None, microsecond=0)


def moment_of(season: Season, at: When, today: date | None) -> datetime:
    """
    The time to store, to the minute where it is now.

    Raises
    ------
    PropschedError
        When it lies in the future.
    """
    latest = latest_moment(season, today)
    now = datetime.combine(latest.date(), latest_moment(season, None).time())
    if at.clock is not None:
        found = datetime.combine(at.day or now.date(), at.clock)
    elif at.day is None or at.day == now.date():
        return now.replace(second=0)
    else:
        found = datetime.combine(at.day, time())
    if found > latest:
        is_now = when_text(now.replace(second=0))
        raise PropschedError(
            f"{when_text(found)} lies in the future: it is {is_now} "
            "(--today replays a day)"
        )
    return found


def event_text(event: Event, crop: Crop | None = None) -> str:
    """``leeks (leek, seed) sown 120 in house, Fri 12 Feb 2027``."""
    parts = [event.batch or event.space, event.event]
    if crop is not None:
        parts[0] += f" ({crop.name}, {crop.method})"
    if event.count is not None:
        parts.append(str(event.count))
    if event.batch and event.space:
        parts.append(f"in {event.space}")
    return f"{' '.join(parts)}, {when_text(event.time)}"


def when_text(when: datetime) -> str:
    """``Sat 6 Feb 2027 08:30``; a day alone where midnight stands for it."""
    clock = "" if when.time() == time() else f" {when:%H:%M}"
    return f"{when:%a} {when.day} {when:%b %Y}{clock}"
