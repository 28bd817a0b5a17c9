"""Layouts with a header, a row for each day or hour and a column for each element."""

import csv
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum

from propsched.files.station_days import (
    DAY_MJ_PER_W,
    INCH_MM,
    KNOT_M_S,
    MILE_PER_HOUR_M_S,
    StationDays,
    celsius,
)

LEAST_HOURS = 20
"""So many hours make a day of an hourly file."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a column of the file is in ``weather.csv``."""

    name: str
    unit: str
    """Of the file."""
    convert: Callable[[float], float] = float
    missing: tuple[float, ...] = ()
    """Codes for a value that is not there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """A layout by the names of its columns, in small letters."""

    name: str
    told: str
    """What it is, in words."""
    day: tuple[str, ...]
    """Names that the column of days may have."""
    marks: tuple[str, ...] = ()
    """Columns that no other layout has."""
    station: str = ""
    """Column of the station's mark."""
    columns: Mapping[str, Column]

    def fits(self, heads: Sequence[str]) -> bool:
        has_day = any(name in heads for name in self.day)
        return has_day and all(mark in heads for mark in self.marks)


def _times(factor: float) -> Callable[[float], float]:
    return lambda value: value * factor


_OWN = {
    "tmin_c": Column("tmin_c", "°C"),
    "tmax_c": Column("tmax_c", "°C"),
    "tmin_f": Column("tmin_c", "°F", celsius),
    "tmax_f": Column("tmax_c", "°F", celsius),
    "temp_c": Column("temp", "°C"),
    "temp_f": Column("temp", "°F", celsius),
    "rain_mm": Column("rain_mm", "mm"),
    "rain_in": Column("rain_mm", "inches", _times(INCH_MM)),
    "wind_m_s": Column("wind_m_s", "m/s"),
    "wind_km_h": Column("wind_m_s", "km/h", _times(1 / 3.6)),
    "wind_kn": Column("wind_m_s", "knots", _times(KNOT_M_S)),
    "wind_mph": Column("wind_m_s", "miles per hour", _times(MILE_PER_HOUR_M_S)),
    "solar_mj_m2": Column("solar_mj_m2", "MJ/m²"),
    "solar_w_m2": Column("solar_mj_m2", "W/m² (24-h mean)", _times(DAY_MJ_PER_W)),
    "solar_j_cm2": Column("solar_mj_m2", "J/cm²", _times(0.01)),
    "snow_cm": Column("snow_cm", "cm"),
    "snow_mm": Column("snow_cm", "mm", _times(0.1)),
    "snow_in": Column("snow_cm", "inches", _times(INCH_MM / 10)),
}
# names of quantities that end in their unit, as in weather.csv and the daily files of
# ../shared/data; an hourly file has temp_c and times of day
PLAIN = Columns(
    name="plain",
    told="columns named by quantity and unit, such as tmin_c, rain_mm, solar_w_m2",
    day=("date", "time", "day"),
    columns=_OWN,
)
_DWD = (-999.0,)
# Deutscher Wetterdienst, Climate Data Center: "Datensatzbeschreibung, historische
# tägliche Stationsbeobachtungen (KL) für Deutschland", DESCRIPTION_obsgermany_climate_
# daily_kl_historical; TNK and TXK in °C at 2 m, FM m/s, RSK mm, SHK_TAG cm
DWD = Columns(
    name="dwd-daily",
    told="daily climate file of the German weather service (KL)",
    day=("mess_datum",),
    marks=("stations_id", "tnk", "txk"),
    station="stations_id",
    columns={
        "tnk": Column("tmin_c", "°C", missing=_DWD),
        "txk": Column("tmax_c", "°C", missing=_DWD),
        "fm": Column("wind_m_s", "m/s", missing=_DWD),
        "rsk": Column("rain_mm", "mm", missing=_DWD),
        "shk_tag": Column("snow_cm", "cm", missing=_DWD),
    },
)
# National Centers for Environmental Information (US): "Global Surface Summary of Day
# Data (GSOD)", readme.txt of 10/28/2020; MIN and MAX in °F, WDSP in knots, PRCP and
# SNDP in inches; SNDP is missing on most days without snow
GSOD = Columns(
    name="gsod",
    told="Global Surface Summary of the Day",
    day=("date",),
    marks=("max_attributes", "min_attributes", "frshtt"),
    station="station",
    columns={
        "min": Column("tmin_c", "°F", celsius, (9999.9,)),
        "max": Column("tmax_c", "°F", celsius, (9999.9,)),
        "wdsp": Column("wind_m_s", "knots", _times(KNOT_M_S), (999.9,)),
        "prcp": Column("rain_mm", "inches", _times(INCH_MM), (99.99,)),
        "sndp": Column("snow_cm", "inches", _times(INCH_MM / 10), (999.9,)),
    },
)
COLUMN_LAYOUTS = (DWD, GSOD, PLAIN)
"""The most particular first."""

_DAY = re.compile(
    r"([12]\d{3})-?(\d{2})-?(\d{2})(?:[T ](\d{2}):?(\d{2})\S*)?", re.ASCII
)


def header_of(lines: Sequence[str]) -> tuple[int, str, list[str]] | None:
    """Line number, delimiter and names of the header; None: there is none."""
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.startswith("#"):
            continue
        for delimiter in ";,\t":
            (cells,) = csv.reader([line], delimiter=delimiter)
            heads = [_head(cell) for cell in cells]
            if any(layout.fits(heads) for layout in COLUMN_LAYOUTS):
                return number, delimiter, heads
    return None


def _head(cell: str) -> str:
    return re.sub(r"[\s\-]+", "_", cell.strip().strip('"').casefold())


def read_columns(
    lines: Sequence[str], layout: Columns, header: tuple[int, str, list[str]], only: str
) -> StationDays:
    """
    Return the days of a file of this layout.

    Parameters
    ----------
    only : str
        Mark of the one station to take; blank: all, which are then told.
    """
    first, delimiter, heads = header
    reader = _Reader(layout, heads, only, comma=delimiter != ",")
    rows = csv.reader(lines[first:], delimiter=delimiter)
    for line, cells in enumerate(rows, start=first + 1):
        if any(cell.strip() for cell in cells) and not cells[0].startswith("#"):
            reader.take(line, cells)
    return reader.done()


class _Reader:
    """A file being read, row by row."""

    def __init__(
        self, layout: Columns, heads: Sequence[str], only: str, *, comma: bool
    ) -> None:
        self._heads, self._only, self._comma = heads, only, comma
        self._day = next(heads.index(name) for name in layout.day if name in heads)
        self._used = {
            at: layout.columns[head]
            for at, head in enumerate(heads)
            if head in layout.columns
        }
        has_mark = layout.station in heads
        self._station = heads.index(layout.station) if has_mark else None
        self._hours: dict[date, dict[str, list[float]]] = {}
        self.found = StationDays(layout=layout.told, units=_units(self._used.values()))

    def take(self, line: int, cells: Sequence[str]) -> None:
        odd = self.found.odd
        if len(cells) < len(self._heads):
            odd.append((line, f"has {len(cells)} cells, the header {len(self._heads)}"))
            return
        if self._station is not None:
            mark = cells[self._station].strip()
            self.found.stations.setdefault(mark, "")
            if self._only and mark != self._only:
                return
        match = _DAY.fullmatch(cells[self._day].strip())
        day = _date(match)
        if match is None or day is None:
            odd.append((line, f'"{cells[self._day].strip()[:40]}" is no day'))
            return
        values = _values(self.found, line, cells, self._used, comma=self._comma)
        if match[4] is not None:
            kept = self._hours.setdefault(day, {})
            for column, value in values:
                kept.setdefault(column, []).append(value)
            return
        for column, value in values:
            if column != "temp":  # a daily mean tells neither minimum nor maximum
                self.found.put(line, day, column, value)

    def done(self) -> StationDays:
        for day, series in self._hours.items():
            _sum_up(self.found, day, series)
        self.found.close()
        return self.found


def _date(match: re.Match[str] | None) -> date | None:
    if match is None:
        return None
    try:
        return date(int(match[1]), int(match[2]), int(match[3]))
    except ValueError:
        return None


def _values(
    found: StationDays,
    line: int,
    cells: Sequence[str],
    used: Mapping[int, Column],
    *,
    comma: bool,
) -> list[tuple[str, float]]:
    values: list[tuple[str, float]] = []
    for at, column in used.items():
        text = cells[at].strip().strip("*")
        if not text or text.casefold() in ("na", "nan", "null", "-"):
            continue
        try:
            value = float(text.replace(",", ".") if comma else text)
        except ValueError:
            found.odd.append((line, f'{column.name} is "{text[:40]}"'))
            continue
        if value not in column.missing:
            values.append((column.name, column.convert(value)))
    return values


def _sum_up(found: StationDays, day: date, series: Mapping[str, list[float]]) -> None:
    """A day out of its hours: extremes, sums and means."""
    for column, values in series.items():
        if len(values) < LEAST_HOURS:
            found.odd.append((0, f"{day} has {len(values)} hours of {column}"))
        elif column == "temp":
            found.put(0, day, "tmin_c", min(values))
            found.put(0, day, "tmax_c", max(values))
        elif column == "rain_mm":
            found.put(0, day, column, fsum(values))
        elif column == "tmin_c":
            found.put(0, day, column, min(values))
        elif column in ("tmax_c", "snow_cm"):
            found.put(0, day, column, max(values))
        else:
            found.put(0, day, column, fsum(values) / len(values))


def _units(columns: Iterable[Column]) -> tuple[str, ...]:
    converted = (c for c in columns if c.convert is not float)
    return tuple(dict.fromkeys(f"{c.name} from {c.unit}" for c in converted))
