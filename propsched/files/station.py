"""The daily file of a weather station, in whichever of the known layouts it is."""

import csv
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError
from propsched.files import station_ghcn
from propsched.files.logger_grid import read_text
from propsched.files.station_columns import COLUMN_LAYOUTS, header_of, read_columns
from propsched.files.station_days import StationDays

LAYOUTS = (*(layout.name for layout in COLUMN_LAYOUTS), station_ghcn.NAME)
_PLAINLY = "or save it with a header such as date,tmin_c,tmax_c,rain_mm"


def read_station(path: Path, *, layout: str = "", station: str = "") -> StationDays:
    """
    Read the days of one station.

    Parameters
    ----------
    layout : str
        One of :data:`LAYOUTS`; blank: find out by the header.
    station : str
        Mark of the station to take, where the file has several.

    Raises
    ------
    InvalidInputError
        When it is in no layout that is known, or holds several stations.
    """
    lines = read_text(path).split("\n")
    try:
        found = _read(path, lines, layout, station)
    except csv.Error as error:
        raise _fault(path, 0, f"cannot be parted into cells ({error})") from None
    if station and station not in found.stations:
        right = f"it has {_listed(found)}" if found.stations else "leave it out"
        raise _fault(path, 0, f'holds no station "{station}"', right)
    if len(found.stations) > 1 and not station:
        what = f"holds {len(found.stations)} stations"
        raise _fault(path, 0, what, f"say --station with one of {_listed(found)}")
    if not found.days:
        line, why = found.odd[0] if found.odd else (0, "has no rows")
        raise _fault(path, line, f"holds no day with minimum and maximum ({why})")
    return found


def _read(path: Path, lines: list[str], layout: str, station: str) -> StationDays:
    if layout in ("", station_ghcn.NAME):
        if station_ghcn.is_monthly(lines):
            return station_ghcn.read_monthly(lines, station)
        if station_ghcn.is_by_day(lines):
            return station_ghcn.read_by_day(lines, station)
    header = header_of(lines)
    if header is not None:
        for one in COLUMN_LAYOUTS:
            if layout in ("", one.name) and one.fits(header[2]):
                return read_columns(lines, one, header, station)
    if layout:
        what, right = f"is not laid out as {layout}", "leave --layout out to find out"
    else:
        what, right = "is in no layout known here", f"{', '.join(LAYOUTS)}; {_PLAINLY}"
    raise _fault(path, 1, what, right)


def _listed(found: StationDays) -> str:
    marks = sorted(found.stations)
    return ", ".join(marks[:10]) + (" …" if len(marks) > 10 else "")


def _fault(path: Path, line: int, what: str, right: str = "") -> InvalidInputError:
    return InvalidInputError([InputProblem(str(path), line, what, right)])
