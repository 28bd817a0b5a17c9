"""Write into a season folder so that a kill at any moment loses nothing."""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from pandas import DataFrame

from propsched.domain.batch import Event
from propsched.domain.plan import Plan
from propsched.domain.reading import Reading
from propsched.errors import InvalidInputError
from propsched.files.batches import EVENT_COLUMNS
from propsched.files.disk import add_to_file, only_writer, replace_file
from propsched.files.plan_json import plan_as_json, read_plan
from propsched.files.series import READING_COLUMNS
from propsched.files.source import LARGEST_BYTES, Faults, Source, read_source
from propsched.files.table import Columns, Header, find_header, is_open

__all__ = [
    "append_chosen_reading", "append_event", "append_events", "append_reading",
    "append_readings", "plan_as_json", "read_plan", "write_plan",
]  # fmt: skip

EVENT_HEADER = ("time", "batch", "event", "space", "count", "note")
READING_HEADER = ("time", "space", "depth_cm", "temp_c", "probe", "note")
_UNWRITTEN = re.compile("[\\x00-\\x1f\\x7f]+")
"""What a row of text cannot hold; names of batches and spaces have none of it."""
READING_NUMBERS = ("depth_cm", "temp_c")


def write_plan(folder: Path, plan: Plan) -> Path:
    """
    Put the plan in force; the one before is kept as ``plan.previous.json``.

    Raises
    ------
    InvalidInputError
        When the folder cannot be written to.
    """
    path = folder / "plan.json"
    text = plan_as_json(plan)
    with only_writer(folder, path):
        if path.exists():
            replace_file(folder / "plan.previous.json", path.read_bytes())
        replace_file(path, text.encode())
    return path


def append_event(folder: Path, event: Event) -> Path:
    """
    Add one row to ``daybook.csv``.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the row.
    """
    append_events(folder, lambda: [event])
    return folder / "daybook.csv"


def append_events(
    folder: Path, chosen: Callable[[], Sequence[Event]]
) -> tuple[Event, ...]:
    """
    Add rows to ``daybook.csv``, all of them or none.

    Parameters
    ----------
    chosen : callable
        Gives the rows, once nobody else can write.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the rows.
    """
    path = folder / "daybook.csv"
    with only_writer(folder, path):
        events = tuple(chosen())
        rows = [
            {
                "time": _clock(event.time),
                "batch": event.batch,
                "event": event.event,
                "space": event.space,
                "count": "" if event.count is None else str(event.count),
                "note": event.note,
            }
            for event in events
        ]
        if rows:
            _append(path, EVENT_COLUMNS, EVENT_HEADER, rows)
    return events


def append_chosen_reading(folder: Path, chosen: Callable[[], Reading]) -> Reading:
    """
    Add one row to ``readings.csv`` that depends on those that are there.

    Parameters
    ----------
    chosen : callable
        Gives the row, once nobody else can write.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the row.
    """
    path = folder / "readings.csv"
    with only_writer(folder, path):
        one = chosen()
        cells = _reading_cells(
            one.time, one.space, one.depth_cm, one.temp_c, one.probe, one.note
        )
        _append(path, READING_COLUMNS, READING_HEADER, [cells], READING_NUMBERS)
    return one


def append_reading(
    folder: Path,
    *,
    time: datetime,
    space: str,
    temp_c: float,
    depth_cm: float | None = None,
    probe: str = "",
    note: str = "",
) -> Path:
    """
    Add one row to ``readings.csv``; time is the site's clock time.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the row.
    """
    cells = _reading_cells(time, space, depth_cm, temp_c, probe, note)
    path = folder / "readings.csv"
    with only_writer(folder, path):
        _append(path, READING_COLUMNS, READING_HEADER, [cells], READING_NUMBERS)
    return path


def append_readings(
    folder: Path,
    readings: DataFrame,
    *,
    stored: Callable[[], DataFrame],
    depths: Mapping[str, float],
) -> int:
    """
    Add many rows to ``readings.csv`` at once, all of them or none.

    Parameters
    ----------
    readings : DataFrame
        time, space, depth_cm (NaN: the space's), temp_c, probe, note.
    stored : callable
        Gives the readings that are there, once nobody else can write.
    depths : mapping
        Depth of each space, which a blank one stands for. [cm]

    Returns
    -------
    int
        How many were added; one of the same time, space, depth and probe as another
        is left out.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the rows.
    """
    path = folder / "readings.csv"
    with only_writer(folder, path):
        new = readings[~_doubles(stored(), readings, depths)]
        # as plain datetimes, which are written much faster than pandas' own
        times = new["time"].to_numpy().astype("datetime64[s]").astype(object)
        columns = [new[name].tolist() for name in READING_HEADER[1:]]
        rows = [
            _reading_cells(time, space, deep if deep == deep else None, temp, *rest)
            for time, space, deep, temp, *rest in zip(times, *columns, strict=True)
        ]
        if rows:
            _append(path, READING_COLUMNS, READING_HEADER, rows, READING_NUMBERS)
    return len(rows)


def _doubles(
    stored: DataFrame, readings: DataFrame, depths: Mapping[str, float]
) -> NDArray[np.bool_]:
    keys = pd.concat(
        [frame[["time", "space", "depth_cm", "probe"]] for frame in (stored, readings)]
    )
    usual = keys["space"].map(depths).astype(float)
    keys["depth_cm"] = keys["depth_cm"].fillna(usual)
    return keys.duplicated().to_numpy()[len(stored) :]


def _reading_cells(
    time: datetime,
    space: str,
    depth_cm: float | None,
    temp_c: float,
    probe: str,
    note: str,
) -> dict[str, str]:
    return {
        "time": _clock(time),
        "space": space,
        "depth_cm": "" if depth_cm is None else f"{depth_cm:.10g}",
        "temp_c": f"{temp_c:.10g}",
        "probe": probe,
        "note": note,
    }


def _append(
    path: Path,
    columns: Columns,
    header: tuple[str, ...],
    rows: Sequence[Mapping[str, str]],
    numbers: tuple[str, ...] = (),
) -> None:
    """Add rows in the layout that the file has, a new file with its header."""
    faults = Faults()
    source = read_source(path, faults, needed=False)
    if source is None:
        faults.raise_if_any()
        cells = [[row[name] for name in header] for row in rows]
        text = _lines([header, *cells], ",", "\n")
        replace_file(path, text.encode(errors="replace"))
        return
    found = find_header(source.text, columns)
    heads = found.cells if found else ()
    filled = {name for row in rows for name, cell in row.items() if cell}
    unknown = [name for name in header if name in filled and name not in heads]
    if found is None or unknown:
        what = f"has no column {', '.join(unknown)}" if found else "has no header"
        faults.add(str(path), found.line if found else 1, what, "mend the header")
        raise InvalidInputError(faults.found)
    comma = numbers if found.delimiter != "," else ()
    cells = [
        [
            row[name].replace(".", ",") if name in comma else row.get(name, "")
            for name in heads
        ]
        for row in rows
    ]
    old = path.read_bytes()
    ending = "\r\n" if old.partition(b"\n")[0].endswith(b"\r") else "\n"
    text = _closed(source, found, ending) + _lines(cells, found.delimiter, ending)
    new = text.encode(errors="replace")
    if len(old) + len(new) > LARGEST_BYTES:
        faults.add(str(path), 0, "would become too large to read", "begin a new season")
        faults.raise_if_any()
    if len(rows) == 1:
        add_to_file(path, new)
    else:  # all of many lines or none
        replace_file(path, old + new)


def _closed(source: Source, header: Header, ending: str) -> str:
    """What ends a line cut short by a kill or an editor, so that none runs into it."""
    if source.text.endswith("\n"):
        return ""
    return ('"' if is_open(source, header) else "") + ending


def _lines(rows: Iterable[Sequence[str]], delimiter: str, ending: str) -> str:
    text = io.StringIO()
    bare, quoted = (
        csv.writer(text, delimiter=delimiter, lineterminator=ending, quoting=how)
        for how in (csv.QUOTE_MINIMAL, csv.QUOTE_ALL)
    )
    for row in rows:
        cells = [_UNWRITTEN.sub(" ", cell).strip() for cell in row]
        # a row that begins with # would be a remark
        (quoted if cells[0].startswith("#") else bare).writerow(cells)
    return text.getvalue()


def _clock(time: datetime) -> str:
    exact = "seconds" if time.second else "minutes"
    return time.replace(tzinfo=None).isoformat(sep=" ", timespec=exact)
