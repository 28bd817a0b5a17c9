"""A forecast pasted from anywhere: a day, its lowest and its highest temperature."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from propsched.errors import InputProblem, InvalidInputError
from propsched.files.cells import CellError, day
from propsched.files.station_days import StationDays, celsius

MOST_C = 45.0
"""A maximum above it that names no unit may be in °F."""
_NUMBER = re.compile(
    r"([+\-−]?\d{1,3}(?:[.,]\d{1,2})?)\s*(?:°|º|deg\.?)?\s*([CcFf](?![a-z]))?"
)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_NUMERIC = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})")
_MONTHS = (
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
)  # fmt: skip
_MONTH = f"({'|'.join(_MONTHS)})[a-z]{{0,6}}"
_NAMED = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th)?\.? ?{_MONTH}\.?(?:,? ?(\d{{4}}))?"
    rf"|{_MONTH}\.? ?(\d{{1,2}})(?:,? ?(\d{{4}}))?(?!\d)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PastedTold:
    """What the user says of the text; None: find out."""

    fahrenheit: bool | None = None
    day_first: bool | None = None


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    when: date
    values: tuple[float, float]


def read_pasted(
    text: str, name: str, told: PastedTold, *, today: date
) -> tuple[StationDays, str]:
    """
    Read lines of a day and two temperatures, parted by anything.

    Parameters
    ----------
    name : str
        Of the source, for the faults.
    today : date
        Gives the year of days that have none: the next such day.

    Returns
    -------
    StationDays, str
        The days, and how they were understood.

    Raises
    ------
    InvalidInputError
        When nothing is such a line, or unit or order of dates are left open.
    """
    found = StationDays(layout="pasted forecast")
    rows: list[_Row] = []
    units: set[str] = set()
    first = told.day_first
    if first is None:
        first = _day_first(text, name)
    for line, content in enumerate(text.splitlines(), start=1):
        if not content.strip() or content.lstrip().startswith("#"):
            continue
        row = _row(line, content, first, today, units)
        if isinstance(row, str):
            found.odd.append((line, row))
        else:
            rows.append(row)
    units |= _unit_of_heading(text)
    if not rows:
        right = "a line is such as 2026-11-12 3.5 9.0: day, lowest, highest"
        line, why = found.odd[0] if found.odd else (0, "it is empty")
        what = f"holds no forecast ({why})"
        raise InvalidInputError([InputProblem(name, line, what, right)])
    fahrenheit = _in_fahrenheit(rows, units, told, name)
    turned = all(one > other for one, other in (row.values for row in rows))
    for row in rows:
        low, high = row.values[::-1] if turned else row.values
        if fahrenheit:
            low, high = celsius(low), celsius(high)
        found.put(row.line, row.when, "tmin_c", low)
        found.put(row.line, row.when, "tmax_c", high)
    found.close()
    how = f"in {'°F' if fahrenheit else '°C'}" + ("" if units else ", taken to be so")
    order = "highest before lowest" if turned else "lowest before highest"
    return found, f"temperatures {how}, {order}"


def _row(
    line: int, content: str, day_first: bool | None, today: date, units: set[str]
) -> _Row | str:
    """The row of a line, or why it is none."""
    try:
        when, rest = _when(content, day_first, today)
    except CellError as error:
        return f"day {error.what}"
    except ValueError:
        return "has no day that the calendar has"
    # a slash or a bar between two temperatures parts them, and so does a comma if
    # one comes after the day
    parted = rest.replace("/", " ").replace("|", " ")
    cells = _NUMBER.findall(parted)
    if rest.lstrip().startswith(","):
        by_commas = _NUMBER.findall(parted.replace(",", " "))
        cells = by_commas if len(by_commas) == 2 else cells
    units.update(unit.upper() for _, unit in cells if unit)
    if len(cells) != 2:
        return f"has {len(cells)} temperatures, not 2"
    low, high = (float(c.replace("−", "-").replace(",", ".")) for c, _ in cells)
    return _Row(line, when, (low, high))


def _when(content: str, day_first: bool | None, today: date) -> tuple[date, str]:
    """The day of a line, and the line without it."""
    match = _ISO.search(content)
    if match:
        text = f"{match[1]}-{int(match[2]):02}-{int(match[3]):02}"
        return day(text), _without(content, match)
    match = _NUMERIC.search(content)
    if match:
        one, other = int(match[1]), int(match[3])
        number, month = (one, other) if day_first is not False else (other, one)
        return day(f"{match[4]}-{month:02}-{number:02}"), _without(content, match)
    match = _NAMED.search(content)
    if match is None:
        raise ValueError
    number = int(match[1] or match[5])
    name, year = match[2] or match[4], match[3] or match[6]
    month = _MONTHS.index(name.casefold()) + 1
    return _next(number, month, year, today), _without(content, match)


def _next(number: int, month: int, year: str | None, today: date) -> date:
    if year:
        return date(int(year), month, number)
    this = date(today.year, month, number)
    # a forecast looks ahead; a few days back may still be on the page
    return this if (this - today).days > -30 else date(today.year + 1, month, number)


def _without(content: str, match: re.Match[str]) -> str:
    before, after = content[: match.start()], content[match.end() :]
    return f"{after} {before}"


def _day_first(text: str, name: str) -> bool | None:
    """Whether days come before months, by all the dates of the text."""
    pairs = [(int(m[1]), int(m[3])) for m in _NUMERIC.finditer(text)]
    if not pairs:
        return None
    if any(one > 12 for one, _ in pairs):
        return True
    if any(other > 12 for _, other in pairs):
        return False
    if all(m[2] == "." for m in _NUMERIC.finditer(text)):
        return True  # with points between them days come first everywhere
    what = "has dates that can be read in two ways"
    right = "say --day-first or --month-first"
    raise InvalidInputError([InputProblem(name, 0, what, right)])


def _unit_of_heading(text: str) -> set[str]:
    """A unit that stands in a line without a day."""
    return {
        match[1].upper()
        for match in re.finditer(r"[°º]\s?([CcFf])\b|_([cf])\b", text)
        if match[1]
    }


def _in_fahrenheit(
    rows: Sequence[_Row], units: set[str], told: PastedTold, name: str
) -> bool:
    if told.fahrenheit is not None:
        units.add("F" if told.fahrenheit else "C")
        return told.fahrenheit
    warm = max(max(row.values) for row in rows)
    if len(units) > 1 or (not units and warm > MOST_C):
        what = "may be in °F or °C"
        right = "say --fahrenheit or --celsius"
        raise InvalidInputError([InputProblem(name, 0, what, right)])
    return units == {"F"}
