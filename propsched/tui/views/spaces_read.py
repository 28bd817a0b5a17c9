"""Spaces to be read: by which key, when last, and what is expected there today."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from string import ascii_lowercase, ascii_uppercase
from typing import TYPE_CHECKING

from propsched.report.words import clean, day_text
from propsched.tui.views.sitting import Expected, shown, tenths

if TYPE_CHECKING:
    from propsched.service.answers import TempsAnswer
    from propsched.service.opened import Opened
    from propsched.tui.desk import Desk

PAGE_KEYS = "swbjrctxpuqy"
"""Letters that the app has everywhere."""
OWN_KEYS = "dno"
"""Depth, note, other probe."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceRead:
    """One space of the list."""

    space: str
    letter: str
    """Blank where there are more spaces than letters."""
    depth_cm: float
    last_c: float | None = None
    """As the probe showed it; None: never read. [°C]"""
    last_on: date | None = None
    days_ago: int | None = None
    expected: Expected | None = None
    """None while it is being simulated, or without weather."""

    @property
    def last_text(self) -> str:
        if self.last_c is None or self.last_on is None:
            return "never read"
        return f"{shown(self.last_c)} °C {self.ago_text}"

    @property
    def ago_text(self) -> str:
        if self.days_ago is None or self.days_ago < 0:
            return f"on {day_text(self.last_on)}"
        if self.days_ago < 2:
            return "yesterday" if self.days_ago else "today"
        return f"{self.days_ago} days ago"

    @property
    def expected_text(self) -> str:
        one = self.expected
        if one is None:
            return "–"
        mean, low, high = map(tenths, (one.mean_c, one.low_c, one.high_c))
        return f"{mean} °C, {low} to {high}"


def letters_of(
    names: Sequence[str], busy: str = PAGE_KEYS + OWN_KEYS
) -> dict[str, str]:
    """
    A letter for each name that stays the same from day to day.

    One out of the name if there is one left, the first of its words before others;
    then any other; capitals where small ones are used up.
    """
    free = [letter for letter in ascii_lowercase if letter not in busy]
    found: dict[str, str] = {}
    for name in names:
        words = name.casefold().split("-")
        wished = [word[:1] for word in words] + list(name.casefold())
        letter = next((one for one in wished if one in free), "")
        if letter:
            free.remove(letter)
        found[name] = letter
    free += list(ascii_uppercase)
    for name, letter in found.items():
        if not letter and free:
            found[name] = free.pop(0)
    return found


def spaces_read(desk: "Desk") -> tuple[SpaceRead, ...]:
    """All spaces, longest unread first, after them those that never were."""
    opened = desk.opened
    if opened is None:
        return ()
    spaces = opened.season.spaces
    letters = letters_of([space.id for space in spaces])
    last = _last(opened)
    expected = _expected(desk.temps, opened.today)
    found = []
    for space in spaces:
        temp, on = last.get(space.id, (None, None))
        found.append(
            SpaceRead(
                space=clean(space.id),
                letter=letters[space.id],
                depth_cm=space.depth_cm,
                last_c=temp,
                last_on=on,
                days_ago=None if on is None else (opened.today - on).days,
                expected=expected.get(space.id),
            )
        )
    return tuple(sorted(found, key=lambda one: one.last_on or date.max))


def _last(opened: "Opened") -> Mapping[str, tuple[float, date]]:
    """Temperature and day of each space's last reading up to today."""
    readings = opened.files.readings
    if not len(readings):
        return {}
    rows = readings.groupby("space", sort=False).tail(1)
    return {
        str(space): (float(temp), time.date())
        for space, temp, time in zip(
            rows["space"], rows["temp_c"], rows["time"], strict=True
        )
    }


def _expected(temps: "TempsAnswer | None", today: date) -> Mapping[str, Expected]:
    rows = () if temps is None else temps.rows
    return {
        row.space: Expected(
            row.root_mean_c,
            min(row.root_min_c, row.low_c),
            max(row.root_max_c, row.high_c),
        )
        for row in rows
        if row.date == today
    }


def in_order(
    spaces: Iterable[SpaceRead], order: Sequence[str]
) -> tuple[SpaceRead, ...]:
    """As they were when the page was opened, so that no row moves under the finger."""
    place = {name: i for i, name in enumerate(order)}
    return tuple(sorted(spaces, key=lambda one: place.get(one.space, len(place))))


def usual_probe(desk: "Desk", now: str = "") -> str:
    """The one in use, else that of the last reading, else the season's first."""
    opened = desk.opened
    known = [] if opened is None else [probe.id for probe in opened.season.probes]
    if opened is None or now in known:
        return now
    used = [str(name) for name in opened.files.readings["probe"].tail(1)]
    return next((name for name in (*used, *known) if name in known), "")
