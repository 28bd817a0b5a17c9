"""Clock times as loggers write them, into the site's clock time."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Kind = Literal["moment", "date", "clock", "epoch", ""]

_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august",
    "september", "october", "november", "december",
)  # fmt: skip
_DATE = re.compile(
    r"(?:[^\W\d]{2,9}\.?,? )?(?:"
    r"(?P<a>\d{1,4}) ?(?P<sep>[-/.]) ?(?P<b>\d{1,2}) ?(?P=sep) ?(?P<c>\d{1,4})\.?"
    r"|(?P<whole>(?:19|20)\d{6})"
    r"|(?P<d>\d{1,2})\.?[-/ ]?(?P<name>[A-Za-z]{3,9})\.?[-/, ]{1,2}(?P<y>\d{4}|\d{2})"
    r"|(?P<name2>[A-Za-z]{3,9})\.? (?P<d2>\d{1,2}),? (?P<y2>\d{4}))"
)
_CLOCK = re.compile(
    r"(?P<h>\d{1,2})(?P<sep>[:.h])(?P<m>\d{2})(?:[:.](?P<s>\d{2})(?:[.,]\d{1,9})?)?"
    r"(?: ?(?P<half>[aApP])\.?[mM]\.?)?"
    r"(?: ?(?:(?P<utc>Z|UTC|GMT)|(?P<off>[+-]\d{2}:?\d{2})))?"
)
_BOTH = re.compile(r"(.*\d{2,4}\.?)(?:T|,? |, ?)(\d{1,2}[:.h]\d{2}.*)")
_EPOCH = re.compile(r"(\d{10})(?:\.\d+|\d{3})?")
_ZONE = re.compile(r"\b(?:UTC|GMT)(?: ?([+-])(\d{1,2})(?::?(\d{2}))?)?\b")
_NONE = -1


@dataclass(frozen=True, slots=True)
class Stamps:
    """Times of a column, and how they were read."""

    times: NDArray[np.datetime64]
    """The site's clock time in seconds; NaT where it cannot be read."""
    order: str
    """Such as "day before month"; blank where there was nothing to decide."""


class CannotTellError(Exception):
    """The column can be read in more than one way; the text says which."""


@dataclass(frozen=True, slots=True)
class _Date:
    first: int
    second: int
    third: int
    known: bool
    """Whether it is year, month, day; else two of them may be either."""
    short: bool = False
    """Whether the year has two digits."""


def kind_of(cell: str) -> Kind:
    """What a cell holds."""
    if _clock(cell) is not None and ":" in cell:
        return "clock"
    if _date(cell) is not None:
        return "date"
    date, clock = _parted(cell)
    if date is not None and clock is not None:
        return "moment"
    return "epoch" if _EPOCH.fullmatch(cell) else ""


def read_stamps(
    cells: Sequence[str],
    clocks: Sequence[str] | None,
    *,
    day_first: bool | None,
    zone: ZoneInfo,
    ahead: int | None = None,
) -> Stamps:
    """
    Read a column of times; day and month are told apart by the whole column.

    Parameters
    ----------
    clocks : sequence of str or None
        The column of clock times where ``cells`` are days.
    day_first : bool or None
        Of 5/11/2026; None decides by the column.
    ahead : int, optional
        Minutes ahead of UTC of cells that do not say so themselves; None is the
        site's clock.

    Raises
    ------
    CannotTellError
        When the column does not decide.
    """
    if cells and all(_EPOCH.fullmatch(cell) for cell in cells if cell):
        return Stamps(_from_epoch(cells, zone), "seconds since 1970 UTC")
    if clocks is None:
        parted = [_parted(cell) for cell in cells]
    else:
        pairs = zip(cells, clocks, strict=True)
        parted = [(_date(day), _clock(clock)) for day, clock in pairs]
    # a row that lacks either is no row
    dates = [date if clock else None for date, clock in parted]
    years, months, days, order = _ordered(dates, day_first)
    seconds = np.array([c[0] if c else 0 for _, c in parted], dtype=np.int64)
    times = _days(years, months, days) + seconds.astype("timedelta64[s]")
    own = [clock[1] if clock else None for _, clock in parted]
    offsets = [ahead if offset is None else offset for offset in own]
    if any(offset is not None for offset in offsets):
        times = _to_site(times, offsets, zone)
    return Stamps(times, order)


@lru_cache(maxsize=20_000)
def _date(cell: str) -> _Date | None:
    match = _DATE.fullmatch(cell)
    if not match:
        return None
    part = match.groupdict()
    if part["whole"]:
        text = part["whole"]
        return _Date(int(text[:4]), int(text[4:6]), int(text[6:]), known=True)
    if part["a"]:
        return _numeric(part["a"], part["b"], part["c"])
    named = (part["name"] or part["name2"]).casefold()
    found = [at for at, name in enumerate(_MONTHS, 1) if name.startswith(named)]
    if len(found) != 1:
        return None
    year = int(part["y"] or part["y2"])
    year += 2000 if year < 100 else 0
    return _Date(year, found[0], int(part["d"] or part["d2"]), known=True)


def _numeric(first: str, second: str, third: str) -> _Date | None:
    """Three numbers, of which one end may be a year of four digits."""
    ends = len(first), len(third)
    short = max(ends) < 3
    if 3 in ends or ends == (4, 4) or (short and ends[1] < 2):
        return None
    numbers = int(first), int(second), int(third)
    return _Date(*numbers, known=ends[0] == 4, short=short)


@lru_cache(maxsize=100_000)
def _clock(cell: str) -> tuple[int, int | None] | None:
    """Seconds of the day, and minutes ahead of UTC where the cell says so."""
    match = _CLOCK.fullmatch(cell)
    if not match:
        return None
    hour, minute, second = int(match["h"]), int(match["m"]), int(match["s"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match["half"] in "pP" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    ahead = 0 if match["utc"] else None
    if match["off"]:
        digits = match["off"].replace(":", "")
        ahead = int(digits[1:3]) * 60 + int(digits[3:])
        ahead = -ahead if digits[0] == "-" else ahead
    return hour * 3600 + minute * 60 + second, ahead


def _parted(cell: str) -> tuple[_Date | None, tuple[int, int | None] | None]:
    match = _BOTH.fullmatch(cell)
    if not match:
        return None, None
    return _date(match[1]), _clock(match[2])


def ahead_of_utc(head: str) -> int | None:
    """Minutes ahead of UTC that a header names, such as ``Time (UTC+01:00)``."""
    match = _ZONE.search(head)
    if not match:
        return None
    minutes = int(match[2] or 0) * 60 + int(match[3] or 0)
    return -minutes if match[1] == "-" else minutes


def _ordered(
    dates: Sequence[_Date | None], day_first: bool | None
) -> tuple[Ints, Ints, Ints, str]:
    """Years, months and days, ``_NONE`` where there is no date; and how."""
    open_ones = {date for date in dates if date and not date.known}
    year_first = bool(open_ones) and day_first is None and _year_first(open_ones)
    order = ""
    if open_ones and not year_first:
        decided = day_first if day_first is not None else _day_first(open_ones)
        order = "day before month" if decided else "month before day"
    elif year_first:
        order = "year first"

    @cache
    def turned(date: _Date | None) -> tuple[int, int, int]:
        if date is None:
            return _NONE, _NONE, _NONE
        a, b, c = date.first, date.second, date.third
        if not date.known and not year_first:
            a, b, c = (c, b, a) if order.startswith("day") else (c, a, b)
        return (a + 2000 if a < 100 else a), b, c

    columns = np.array([turned(date) for date in dates], dtype=np.int64).reshape(-1, 3)
    return columns[:, 0], columns[:, 1], columns[:, 2], order


def _year_first(dates: Collection[_Date]) -> bool:
    """Whether two-digit years stand in front: what changes least is the year."""
    if not all(date.short for date in dates):
        return False
    first, third = {d.first for d in dates}, {d.third for d in dates}
    if any(d.second > 12 or d.third > 31 for d in dates):
        return False
    if any(number > 31 for number in first) or len(first) < len(third):
        return True
    if len(first) == len(third):
        raise CannotTellError("years of two digits, first or last")
    return False


def _day_first(dates: Collection[_Date]) -> bool:
    if any(date.first > 12 for date in dates):
        if any(date.second > 12 for date in dates):
            raise CannotTellError("days first in some rows and months in others")
        return True
    if any(date.second > 12 for date in dates):
        return False
    if all(date.first == date.second for date in dates):
        return True
    raise CannotTellError("day or month first")


def _days(years: Ints, months: Ints, days: Ints) -> NDArray[np.datetime64]:
    """Midnights, NaT where the calendar has no such day."""
    fit = (years >= 1800) & (years <= 2200) & (months >= 1) & (months <= 12)
    fit &= (days >= 1) & (days <= 31)
    month = (np.where(fit, years, 1970) - 1970) * 12 + np.where(fit, months, 1) - 1
    start = month.astype("datetime64[M]")
    day = start.astype("datetime64[D]") + np.where(fit, days - 1, 0)
    fit &= day.astype("datetime64[M]") == start
    return np.where(fit, day, np.datetime64("NaT")).astype("datetime64[s]")


def _to_site(
    times: NDArray[np.datetime64], ahead: Sequence[int | None], zone: ZoneInfo
) -> NDArray[np.datetime64]:
    """Turn the times that carry an offset into the site's clock time."""
    minutes = np.array([0 if a is None else a for a in ahead], dtype="timedelta64[m]")
    told = np.array([a is not None for a in ahead])
    return np.where(told, _local(times - minutes, zone), times)


def _from_epoch(cells: Sequence[str], zone: ZoneInfo) -> NDArray[np.datetime64]:
    seconds = np.array([int(cell[:10] or 0) for cell in cells], dtype="datetime64[s]")
    blank = np.array([not cell for cell in cells], dtype=bool)
    return np.where(blank, np.datetime64("NaT"), _local(seconds, zone))


def _local(utc: NDArray[np.datetime64], zone: ZoneInfo) -> NDArray[np.datetime64]:
    index = pd.DatetimeIndex(utc).tz_localize("UTC").tz_convert(zone)
    return index.tz_localize(None).to_numpy().astype("datetime64[s]")
