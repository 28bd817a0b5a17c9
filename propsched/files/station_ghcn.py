"""
The Global Historical Climatology Network – Daily, in its two plain layouts.

National Centers for Environmental Information (US), readme.txt of GHCN-Daily: section
III for the ``.dly`` files (a line for each month and element, of fixed width) and
readme-by_station.txt for the CSV files (a line for each day and element, no header).
Values are whole numbers: tenths of °C (TMIN, TMAX), tenths of mm (PRCP), mm (SNWD),
tenths of m/s (AWND); -9999 is missing. A letter as quality flag says that the value
failed a check: it is left out.
"""

import csv
import re
from collections.abc import Sequence
from datetime import date

from propsched.files.station_days import StationDays

NAME = "ghcn-daily"
TOLD = "Global Historical Climatology Network, daily"
_ELEMENTS = {
    "TMIN": ("tmin_c", 0.1),
    "TMAX": ("tmax_c", 0.1),
    "PRCP": ("rain_mm", 0.1),
    "SNWD": ("snow_cm", 0.1),
    "AWND": ("wind_m_s", 0.1),
}
_UNITS = (
    "tmin_c and tmax_c from tenths of °C",
    "rain_mm from tenths of mm",
    "snow_cm from mm",
    "wind_m_s from tenths of m/s",
)
_MISSING = -9999
_MONTH = re.compile(
    r"(?P<station>[A-Z0-9_\-]{11})(?P<y>\d{4})(?P<m>\d{2})(?P<e>[A-Z0-9]{4})"
)
_DAY = re.compile(r"[A-Z0-9_\-]{11},(?:\d{8}|\d{4}-\d{2}-\d{2}),[A-Z0-9]{4},")
_WIDTH = 8
"""Of a value with its three flags."""


def is_monthly(lines: Sequence[str]) -> bool:
    """Whether the lines are those of a ``.dly`` file."""
    first = next((line for line in lines if line.strip()), "")
    return bool(_MONTH.match(first)) and len(first) >= 21 + _WIDTH and "," not in first


def is_by_day(lines: Sequence[str]) -> bool:
    """Whether the lines are those of a CSV file by station or year."""
    first = next((line for line in lines if line.strip()), "")
    return bool(_DAY.match(first.replace('"', "")))


def read_monthly(lines: Sequence[str], only: str) -> StationDays:
    """Return the days of a ``.dly`` file."""
    found = StationDays(layout=TOLD, units=_UNITS)
    for number, line in enumerate(lines, start=1):
        match = _MONTH.match(line)
        if match is None:
            if line.strip():
                found.odd.append((number, "is no line of a month and element"))
            continue
        if not _of(found, match["station"], only):
            continue
        values = line[match.end() :].ljust(31 * _WIDTH)
        for day in range(1, 32):
            cell = values[(day - 1) * _WIDTH : day * _WIDTH]
            text = f"{match['y']}{match['m']}{day:02}"
            _take(found, number, text, match["e"], cell[:5], cell[6])
    found.close()
    return found


def read_by_day(lines: Sequence[str], only: str) -> StationDays:
    """Return the days of a CSV file with a line for each day and element."""
    found = StationDays(layout=TOLD, units=_UNITS)
    for number, cells in enumerate(csv.reader(lines), start=1):
        if not any(cells) or cells[0].strip().upper() in ("ID", "STATION"):
            continue
        if len(cells) < 4:
            found.odd.append((number, f"has {len(cells)} cells, not 4 or more"))
            continue
        station, day, element, value = (cell.strip() for cell in cells[:4])
        if _of(found, station, only):
            flag = cells[5] if len(cells) > 5 else ""
            _take(found, number, day.replace("-", ""), element, value, flag)
    found.close()
    return found


def _of(found: StationDays, station: str, only: str) -> bool:
    found.stations.setdefault(station, "")
    return not only or station == only


def _take(
    found: StationDays, line: int, day: str, element: str, text: str, flag: str
) -> None:
    if element not in _ELEMENTS or not text.strip():
        return
    try:
        value = int(text)
    except ValueError:
        found.odd.append((line, f'{element} is "{text.strip()[:40]}"'))
        return
    if value == _MISSING:
        return
    when = _date(day)
    if when is None:
        found.odd.append((line, f'"{day[:40]}" is no day'))
        return
    if flag.strip():
        what = f"{element} of {when} failed the service's check {flag.strip()[:1]}"
        found.odd.append((line, what))
        return
    column, factor = _ELEMENTS[element]
    found.put(line, when, column, value * factor)


def _date(text: str) -> date | None:
    if not re.fullmatch(r"[12]\d{7}", text, re.ASCII):
        return None
    try:
        return date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:
        return None
