"""A logger's file into ``readings.csv``, without storing anything twice."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from pandas import DataFrame

from propsched.domain.season import Probe
from propsched.domain.space import Space
from propsched.files.logger import LoggerRows, Told, read_logger
from propsched.files.write import append_readings
from propsched.service.noted import (
    NoteAnswer,
    Place,
    latest_moment,
    named_probe,
    named_space,
    only_season,
    stored_readings,
    when_text,
)

LINES_SHOWN = 5
"""Rows of a logger's file that are named when they were left out."""


def import_readings(
    folder: Path,
    file: Path,
    place: Place,
    told: Told,
    *,
    note: str = "",
    today: date | None = None,
) -> NoteAnswer:
    """
    Store a logger's file; what is there already is left alone.

    Raises
    ------
    PropschedError
        When nothing can be stored; the text says why.
    """
    season = only_season(folder)
    space = named_space(season, place.space)
    place = replace(place, space=space.id)
    # a logger is not the thermometer of the season, unless somebody says so
    probe = named_probe(season, place.probe or "")
    rows = read_logger(file, ZoneInfo(season.site.timezone), told)
    latest = np.datetime64(latest_moment(season, today), "s")
    late = rows.times > latest
    used = _frame(rows, ~late, place, probe, note)
    depths = {one.id: one.depth_cm for one in season.spaces}
    # what was taken back must not come in again with a file that has grown
    new = append_readings(
        folder,
        used,
        stored=lambda: stored_readings(folder, with_undone=True),
        depths=depths,
    )
    skipped = [
        *rows.skipped,
        *((int(line), "lies in the future") for line in rows.lines[late]),
    ]
    known = len(used) - new
    lines = [f"{file.name}: {rows.understood}", _counted(space, probe, new, known)]
    if len(used):
        first, last = used["time"].min(), used["time"].max()
        lines.append(f"From {when_text(first)} to {when_text(last)}.")
    return NoteAnswer(lines=tuple(lines), notes=_left_out(skipped))


def _frame(
    rows: LoggerRows,
    used: NDArray[np.bool_],
    place: Place,
    probe: Probe | None,
    note: str,
) -> DataFrame:
    times = rows.times[used]
    deep = np.nan if place.depth_cm is None else place.depth_cm
    return DataFrame(
        {
            "time": times.astype("datetime64[us]"),
            "space": place.space,
            "depth_cm": deep,
            "temp_c": rows.temps_c[used],
            "probe": probe.id if probe else "",
            "note": note,
        }
    )


def _counted(space: Space, probe: Probe | None, new: int, known: int) -> str:
    of = f"{space.id} with probe {probe.id}" if probe else space.id
    readings = "reading" if new == 1 else "readings"
    doubles = f"; {known:,} doubles left alone" if known else ""
    return f"Noted: {new:,} new {readings} of {of}{doubles}."


def _left_out(skipped: Sequence[tuple[int, str]]) -> tuple[str, ...]:
    """Rows that were left out, the first ones with their reason."""
    if not skipped:
        return ()
    shown = [f"line {line}: {what}" for line, what in sorted(skipped)[:LINES_SHOWN]]
    more = len(skipped) - len(shown)
    tail = f"; and {more:,} more" if more else ""
    many = f"{len(skipped):,} rows" if len(skipped) > 1 else "1 row"
    return (f"{many} left out – {'; '.join(shown)}{tail}",)
