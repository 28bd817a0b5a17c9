"""The file of a temperature logger: any plain table with a time and a temperature."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from propsched.files.logger_grid import NUMBER, Grid, kind_of_column, read_grid
from propsched.files.source import one_of
from propsched.files.stamps import CannotTellError, ahead_of_utc, read_stamps

LEAST_C, MOST_C = -60.0, 100.0
"""What a reading can be; logger codes for a fault lie outside."""
HOTTER_THAN_GROUND = 45.0
"""A column warmer than this that names no unit may be in °F."""

_FAHRENHEIT = re.compile(r"fahrenheit|[°º] ?f\b|\(f\)|\[f\]|deg\.? ?f\b|[_ ]f$")
_CELSIUS = re.compile(r"celsius|centigrade|[°º] ?c\b|\(c\)|\[c\]|deg\.? ?c\b|[_ ]c$")
_TEMP = re.compile(r"temp|thermo|celsius|fahrenheit|[°º] ?[cf]\b|^t(?:\b|_)|probe|soil")
_NOT_TEMP = re.compile(
    r"humid|\brh\b|dew|batt|volt|light|lux|press|moist|conduct|alarm|limit|set ?point"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the user says of the file; None and blank: find out."""

    time_column: str = ""
    temp_column: str = ""
    fahrenheit: bool | None = None
    day_first: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggerRows:
    """The rows that could be read, in the order of the file."""

    times: NDArray[np.datetime64]
    """The site's clock time in seconds."""
    temps_c: NDArray[np.float64]
    lines: NDArray[np.int64]
    skipped: tuple[tuple[int, str], ...]
    """Line and reason of every row that could not."""
    understood: str
    """Which columns were taken, and how."""


def read_logger(path: Path, zone: ZoneInfo, told: Told) -> LoggerRows:
    """
    Read a logger's file.

    Parameters
    ----------
    zone : ZoneInfo
        The site's; times with an offset are turned into it.

    Raises
    ------
    InvalidInputError
        When it is no such table, or more than one way to read it is left; then the
        fault names the option that decides.
    """
    grid = read_grid(path)
    kinds = [kind_of_column(grid.sample(at)) for at in range(len(grid.names))]
    day, clock = _time_columns(grid, kinds, told.time_column)
    temp = _temp_column(grid, kinds, {day, clock}, told.temp_column)
    try:
        stamps = read_stamps(
            grid.column(day),
            None if clock is None else grid.column(clock),
            day_first=told.day_first,
            zone=zone,
            ahead=ahead_of_utc(grid.names[day if clock is None else clock]),
        )
    except CannotTellError as error:
        right = "say --day-first or --month-first"
        raise grid.fault(f"column {grid.named([day])}: {error}", right) from None
    shown, units = _numbers(grid.column(temp))
    fahrenheit = _in_fahrenheit(grid, temp, shown, units, told.fahrenheit)
    temps = (shown - 32) / 1.8 if fahrenheit else shown
    times = stamps.times
    no_time = np.isnat(times)
    with np.errstate(invalid="ignore"):
        wrong = ~((temps >= LEAST_C) & (temps <= MOST_C))
    used = ~(no_time | wrong)
    skipped = list(grid.skipped)
    for at in np.flatnonzero(~used):
        if no_time[at]:
            what = f'time is "{_joined(grid, int(at), day, clock)}"'
        else:
            what = f'temperature is "{grid.rows[at][temp]}"'
        skipped.append((grid.lines[at], what))
    columns = [day] if clock is None else [day, clock]
    order = f" ({stamps.order})" if stamps.order else ""
    return LoggerRows(
        times=times[used],
        temps_c=np.round(temps[used], 2) + 0.0,
        lines=np.array(grid.lines, dtype=np.int64)[used],
        skipped=tuple(sorted(skipped)),
        understood=f"time from {grid.named(columns)}{order}, temperature from "
        f"{grid.named([temp])} in {'°F' if fahrenheit else '°C'}",
    )


def _joined(grid: Grid, row: int, day: int, clock: int | None) -> str:
    cells = grid.rows[row]
    return cells[day] if clock is None else f"{cells[day]} {cells[clock]}".strip()


def _named(grid: Grid, name: str, option: str) -> int:
    """The column that an option names, by its header or its number."""
    heads = [head.casefold() for head in grid.names]
    typed = " ".join(name.split()).casefold()
    if heads.count(typed) == 1:
        return heads.index(typed)
    if typed.isdecimal() and 1 <= int(typed) <= len(heads):
        return int(typed) - 1
    what = f'has no column "{name}"'
    raise grid.fault(what, f"{option} {one_of(name, grid.names)}")


def _time_columns(
    grid: Grid, kinds: Sequence[str], told: str
) -> tuple[int, int | None]:
    """The column of times, or those of days and of clock times."""
    clocks = [at for at, kind in enumerate(kinds) if kind == "clock"]
    if told:
        day = _named(grid, told, "--time-column")
        days = [day]
    else:
        days = [at for at, kind in enumerate(kinds) if kind in ("moment", "epoch")]
        days = days or [at for at, kind in enumerate(kinds) if kind == "date"]
        local = [at for at in days if "local" in grid.names[at].casefold()]
        days = local if len(local) == 1 else days
    if len(days) != 1:
        what = (
            f"times are in {grid.named(days)}" if days else "no column of times found"
        )
        choice = days or range(len(grid.names))
        raise grid.fault(what, f"--time-column with one of {grid.named(choice)}")
    (day,) = days
    if kinds[day] != "date":
        return day, None
    if len(clocks) == 1:
        return day, clocks[0]
    what = f"column {grid.named([day])} has days, no clock times"
    if clocks:
        what += f"; clock times are in {grid.named(clocks)}"
    raise grid.fault(what, "--time-column with a column of both")


def _temp_column(
    grid: Grid, kinds: Sequence[str], taken: set[int | None], told: str
) -> int:
    if told:
        return _named(grid, told, "--temp-column")
    numbers = [
        at for at, kind in enumerate(kinds) if kind == "number" and at not in taken
    ]
    heads = {at: grid.names[at].casefold() for at in numbers}
    likely = [
        at
        for at in numbers
        if _TEMP.search(heads[at]) and not _NOT_TEMP.search(heads[at])
    ]
    found = likely or [
        at
        for at in numbers
        if not _NOT_TEMP.search(heads[at]) and not _counts(grid, at)
    ]
    if len(found) == 1:
        return found[0]
    what = (
        f"temperatures may be in {grid.named(found)}"
        if found
        else "no column of temperatures found"
    )
    choice = found or numbers or range(len(grid.names))
    raise grid.fault(what, f"--temp-column with one of {grid.named(choice)}")


def _counts(grid: Grid, at: int) -> bool:
    """Whether a column only numbers the rows."""
    cells = grid.sample(at)
    whole = [int(cell) for cell in cells if cell.isdecimal()]
    return (
        len(whole) == len(cells) > 1
        and len(set(np.diff(whole) > 0)) == 1
        and (whole[1] > whole[0])
    )


def _numbers(cells: Sequence[str]) -> tuple[NDArray[np.float64], set[str]]:
    """Numbers, NaN where there is none, and the units that stand beside them."""
    values = np.full(len(cells), np.nan)
    units: set[str] = set()
    for at, cell in enumerate(cells):
        match = NUMBER.fullmatch(cell)
        if match:
            values[at] = float(match[1].replace(",", "."))
            if match[2]:
                units.add(match[2].upper())
    return values, units


def _in_fahrenheit(
    grid: Grid,
    at: int,
    shown: NDArray[np.float64],
    units: set[str],
    told: bool | None,
) -> bool:
    """Whether the column is in °F, by what is told, its cells or its header."""
    if told is not None:
        return told
    head = grid.names[at].casefold()
    says = {"F": _FAHRENHEIT.search(head), "C": _CELSIUS.search(head)}
    named = units or {unit for unit, found in says.items() if found}
    if len(named) == 1:
        return "F" in named
    known = shown[~np.isnan(shown)]
    if named or (len(known) and np.median(known) > HOTTER_THAN_GROUND):
        what = f"column {grid.named([at])} may be in °F or °C"
        raise grid.fault(what, "say --fahrenheit or --celsius")
    return False
