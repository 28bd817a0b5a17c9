"""The long tables: ``weather.csv``, ``history.csv`` and ``readings.csv``."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import nan
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd
from pandas import DataFrame

from propsched.domain.reading import Reading
from propsched.domain.undone import book_of, is_taken_back
from propsched.files.cells import CellError, day, moment, number
from propsched.files.source import Faults, Source, one_of
from propsched.files.table import Columns, Table, read_table

# column: least and largest value that can be meant; below 1000 so that no
# grouping of thousands is possible
WEATHER_LIMITS = {
    "tmin_c": (-60.0, 60.0),
    "tmax_c": (-60.0, 60.0),
    "solar_mj_m2": (0.0, 45.0),
    "wind_m_s": (0.0, 80.0),
    "rain_mm": (0.0, 999.0),
    "snow_cm": (0.0, 999.0),
}
_UNITS = {"_c": "°C", "_mj_m2": "MJ/m²", "_m_s": "m/s", "_mm": "mm", "_cm": "cm"}
WEATHER_COLUMNS = Columns(
    ("date", "tmin_c", "tmax_c"),
    ("solar_mj_m2", "wind_m_s", "rain_mm", "snow_cm", "kind", "note"),
    exact=True,
)
READING_COLUMNS = Columns(
    ("time", "space", "temp_c"), ("depth_cm", "probe", "note"), exact=True
)
_KINDS = ("observed", "forecast")
LEAST_BREAK_D = 60
"""A shorter hole in the history is a gap; a longer one parts two winters."""


def empty_weather() -> DataFrame:
    """Return the table of weather without rows."""
    return _weather_frame([], {name: [] for name in WEATHER_LIMITS}, [])


def empty_readings() -> DataFrame:
    """Return the table of readings without rows."""
    return _readings_frame([], [], [], [], [], [])


def read_weather(
    source: Source, faults: Faults, *, gaps: bool
) -> tuple[DataFrame, bool]:
    """
    Return the days in order, and whether the table has decimal commas.

    Parameters
    ----------
    gaps : bool
        Whether long breaks are right, as between the winters of the history.
    """
    table = read_table(source, WEATHER_COLUMNS, faults)
    if table is None:
        return empty_weather(), False
    days = _parsed(table, "date", day, faults)
    columns = {name: _numbers(table, name, faults) for name in WEATHER_LIMITS}
    kinds = [text.casefold() for text in table.column("kind")]
    for line, kind in zip(table.lines, kinds, strict=True):
        if kind and kind not in _KINDS:
            faults.add(source.path, line, f'kind is "{kind}"', one_of(kind, _KINDS))
    low, high = columns["tmin_c"], columns["tmax_c"]
    for line, least, most in zip(table.lines, low, high, strict=True):
        if least > most:
            what = f"tmin_c {least:g} is above tmax_c {most:g}"
            faults.add(source.path, line, what, "must be the lower of the two")
    _check_days(table, days, faults, gaps=gaps)
    faults.shorten(source.path)
    if faults.of(source.path):
        return empty_weather(), table.decimal_comma
    return _weather_frame(days, columns, kinds), table.decimal_comma


def _weather_frame(
    days: list[Any], columns: dict[str, list[float]], kinds: list[str]
) -> DataFrame:
    frame = DataFrame(
        {
            "date": pd.to_datetime(pd.Series(days, dtype="datetime64[us]")),
            **{
                name: pd.Series(values, dtype=float) for name, values in columns.items()
            },
            "kind": pd.Series(kinds, dtype="str"),
        }
    )
    return frame.sort_values("date", kind="stable", ignore_index=True)


def _check_days(
    table: Table, days: list[date | None], faults: Faults, *, gaps: bool
) -> None:
    known = sorted(
        (when, line) for when, line in zip(days, table.lines, strict=True) if when
    )
    # a row that cannot be read is no gap
    whole = table.complete and None not in days
    for (before, first), (after, line) in pairwise(known):
        apart = (after - before).days
        if apart == 0:
            what = f"{after} is there twice (also in line {first})"
            faults.add(table.path, line, what, "keep one")
        elif apart > 1 and whole and not (gaps and apart > LEAST_BREAK_D):
            first_one, last_one = before + timedelta(1), after - timedelta(1)
            if apart == 2:
                many, right = "1 day is", f"add {first_one}"
            else:
                many, right = f"{apart - 1} days are", f"add {first_one} to {last_one}"
            faults.add(table.path, line, f"{many} missing before {after}", right)


def read_readings(
    source: Source,
    zone: ZoneInfo | None,
    spaces: set[str],
    probes: set[str] | None,
    faults: Faults,
) -> DataFrame:
    """
    Return the readings as the file has them.

    Parameters
    ----------
    spaces : set of str
        Ids that a reading may name; empty when they could not be read.
    probes : set of str or None
        The same for probes; None when they could not be read.
    """
    table = read_table(source, READING_COLUMNS, faults)
    if table is None:
        return empty_readings()
    times = _parsed(table, "time", lambda text: moment(text, zone), faults)
    named = table.column("space")
    used = table.column("probe")
    for line, space, probe in zip(table.lines, named, used, strict=True):
        if not space:
            faults.add(source.path, line, "space is blank", "every row needs it")
        elif spaces and space not in spaces:
            right = one_of(space, sorted(spaces))
            faults.add(source.path, line, f'space is "{space}", no space', right)
        if probe and probes is not None and probe not in probes:
            right = one_of(probe, sorted(probes)) or "add a [[probe]] to season.toml"
            faults.add(source.path, line, f'probe is "{probe}", no probe', right)
    depths = _numbers(table, "depth_cm", faults, limits=(0.0, 300.0), needed=False)
    temps = _numbers(table, "temp_c", faults, limits=(-60.0, 100.0))
    faults.shorten(source.path)
    if faults.of(source.path):
        return empty_readings()
    return _readings_frame(times, named, depths, temps, used, table.column("note"))


def _readings_frame(
    times: list[Any],
    spaces: list[str],
    depths: list[float],
    temps: list[float],
    probes: list[str],
    notes: list[str],
) -> DataFrame:
    return DataFrame(
        {
            "time": pd.to_datetime(pd.Series(times, dtype="datetime64[us]")),
            "space": pd.Series(spaces, dtype="str"),
            "depth_cm": pd.Series(depths, dtype=float),
            "temp_c": pd.Series(temps, dtype=float),
            "probe": pd.Series(probes, dtype="str"),
            "note": pd.Series(notes, dtype="str"),
        }
    )


def standing_readings(noted: DataFrame) -> DataFrame:
    """
    Return the readings that were not taken back, in order of time.

    Parameters
    ----------
    noted : DataFrame
        As the file has them.
    """
    return _kept(noted).sort_values("time", kind="stable", ignore_index=True)


def last_reading(noted: DataFrame, space: str = "") -> Reading | None:
    """Return what was noted last and stands, of all readings or of one space."""
    stands = _kept(noted[noted["space"] == space] if space else noted)
    last = [_reading(row) for row in stands.tail(1).itertuples(index=False)]
    return last[0] if last else None


def _kept(noted: DataFrame) -> DataFrame:
    """Return what was not taken back, in the order of the file."""
    marks = noted["note"].str.startswith("undone")
    if not marks.any():
        return noted
    # only rows of the same minute can be meant
    asked = noted[noted["time"].isin(noted["time"][marks])]
    rows = [_reading(row) for row in asked.itertuples(index=False)]
    book = book_of((_key(one), is_taken_back(one.note)) for one in rows)
    return noted.drop(index=asked.index.difference(asked.index[list(book.stands)]))


def _reading(row: Any) -> Reading:
    return Reading(
        time=row.time.to_pydatetime(),
        space=row.space,
        temp_c=row.temp_c,
        depth_cm=None if row.depth_cm != row.depth_cm else row.depth_cm,
        probe=row.probe,
        note=row.note,
    )


def _key(one: Reading) -> tuple[object, ...]:
    """By what a reading is known; as many digits as are written."""
    depth = "" if one.depth_cm is None else f"{one.depth_cm:.10g}"
    time = one.time.replace(microsecond=0)
    return time, one.space, depth, f"{one.temp_c:.10g}", one.probe


def _parsed(
    table: Table,
    name: str,
    parse: Callable[[str], date | datetime],
    faults: Faults,
) -> list[Any]:
    values: list[Any] = []
    for line, text in zip(table.lines, table.column(name), strict=True):
        try:
            values.append(parse(text) if text else None)
        except CellError as error:
            faults.add(table.path, line, f"{name} {error.what}", error.right)
            values.append(None)
        if not text:
            faults.add(table.path, line, f"{name} is blank", "every row needs it")
    return values


def _numbers(
    table: Table,
    name: str,
    faults: Faults,
    *,
    limits: tuple[float, float] | None = None,
    needed: bool | None = None,
) -> list[float]:
    """Return a column of numbers, NaN where blank or at fault."""
    least, most = limits or WEATHER_LIMITS[name]
    must = name in ("tmin_c", "tmax_c", "temp_c") if needed is None else needed
    comma = table.decimal_comma
    unit = next(unit for end, unit in _UNITS.items() if name.endswith(end))
    values: list[float] = []
    for line, text in zip(table.lines, table.column(name), strict=True):
        value = nan
        if text:
            try:
                value = number(text, decimal_comma=comma, largest=999)
            except CellError as error:
                faults.add(table.path, line, f"{name} {error.what}", error.right)
            else:
                if not least <= value <= most:
                    right = f"must be {least:g} to {most:g} {unit}"
                    faults.add(table.path, line, f"{name} is {text}", right)
                    value = nan
        elif must:
            faults.add(table.path, line, f"{name} is blank", "every row needs it")
        values.append(value)
    return values
