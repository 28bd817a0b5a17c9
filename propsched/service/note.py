"""One reading into ``readings.csv``, the mean of several, or a probe's end value."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
from pandas import DataFrame

from propsched.domain.season import Probe
from propsched.domain.space import Space
from propsched.errors import InvalidInputError, PropschedError
from propsched.files.logger import LEAST_C, MOST_C
from propsched.files.write import append_reading
from propsched.service.climate import readings_of, warmth
from propsched.service.loaded import WEATHER_ONLY, load, only
from propsched.service.noted import (
    NOW,
    NoteAnswer,
    Place,
    When,
    moment_of,
    named_probe,
    named_space,
    only_season,
    stored_readings,
    when_text,
)
from propsched.thermal.probe import DEFAULT_RESOLUTION_C, sitting
from propsched.thermal.settling import Unsettled, settle

MODEL_WINTERS = 5
"""Enough for an hour that has been: its weather is the same in all of them."""


def note_reading(
    folder: Path,
    place: Place,
    temps_c: Sequence[float],
    *,
    at: When = NOW,
    minutes: Sequence[float] = (),
    settling: bool = False,
    note: str = "",
    today: date | None = None,
    model: bool = False,
) -> NoteAnswer:
    """
    Store one reading, the mean of several, or the end of a sequence.

    Parameters
    ----------
    temps_c : sequence of float
        As shown. [°C]
    at : When
        Day and clock time; a day that is past needs both.
    minutes : sequence of float
        With ``settling``: between readings (one number) or when each was taken;
        none is one apart. [min]
    settling : bool
        Whether the readings still rise or fall to their end.
    model : bool
        Whether to say what the model makes of that hour.

    Raises
    ------
    PropschedError
        When nothing can be stored; the text says why.
    """
    season = only_season(folder)
    space = named_space(season, place.space)
    place = replace(place, space=space.id)
    probe = named_probe(season, place.probe)
    if at.day is not None and at.clock is None:
        raise PropschedError(f"a reading of {at.day} needs its clock time: --time")
    when = moment_of(season, at, today)
    _plausible(temps_c)
    digit = probe.resolution_c if probe else DEFAULT_RESOLUTION_C
    if settling:
        value, how, remark, advice = _settled(temps_c, minutes, digit)
    elif minutes:
        raise PropschedError("--minutes goes with --settling")
    else:
        value, how, remark, advice = _sitting(temps_c, digit)
    row = _row(place, probe, when, value, "; ".join(t for t in (remark, note) if t))
    if _is_there(row, _stored(folder), space):
        there = f"{value:g} °C is in readings.csv already"
        raise PropschedError(f"{space.id}, {when_text(when)}: {there}")
    # before it is stored, or the model would know it
    beside = _beside_the_model(folder, space, row, today) if model else ""
    append_reading(
        folder,
        time=when,
        space=space.id,
        temp_c=value,
        depth_cm=place.depth_cm,
        probe=probe.id if probe else "",
        note=row["note"].iloc[0],
    )
    said = _said(space, place, probe, when, value, how)
    return NoteAnswer(lines=(said, beside) if beside else (said,), notes=advice)


def _plausible(temps_c: Sequence[float]) -> None:
    if not temps_c:
        raise PropschedError("no temperature given")
    for temp in temps_c:
        if not LEAST_C <= temp <= MOST_C:
            right = f"must be {LEAST_C:g} to {MOST_C:g} °C"
            raise PropschedError(f"{temp:g} °C – {right}")


Value = tuple[float, str, str, tuple[str, ...]]
"""Temperature as shown, how it came about, the note to store, advice."""


def _sitting(temps_c: Sequence[float], digit: float) -> Value:
    if len(temps_c) == 1:
        return temps_c[0], "", "", ()
    one = sitting(temps_c, digit)
    raw = " ".join(f"{temp:g}" for temp in temps_c)
    how = (
        f"mean of {one.number}, sd {one.sd_c:.2f} K, standard error "
        f"{one.se_c:.2f} K with the last digit"
    )
    return round(one.mean_c, 2), how, f"mean of {raw}", ()


def _settled(temps_c: Sequence[float], minutes: Sequence[float], digit: float) -> Value:
    times = _times(len(temps_c), minutes)
    found = settle(temps_c, times, resolution_c=digit)
    if isinstance(found, Unsettled):
        raise PropschedError(f"wait longer and read again – {found.why}")
    raw = " ".join(f"{temp:g}" for temp in temps_c)
    at = " ".join(f"{t:g}" for t in times)
    error = f"±{1.28 * found.sd_c:.1f} K (80 %)"
    if found.tau_min is None:
        how = f"at rest, mean of {len(temps_c)}, {error}"
    else:
        how = f"end of {raw}, {error}, time constant {found.tau_min:.1f} min"
    advice = ("still far from rest: a longer wait would be surer",)
    return (
        round(found.end_c, 2),
        how,
        f"settling {raw} at {at} min",
        advice if found.longer_would_help else (),
    )


def _times(number: int, minutes: Sequence[float]) -> list[float]:
    """When each reading was taken."""
    if len(minutes) <= 1:
        apart = minutes[0] if minutes else 1.0
        times = [apart * k for k in range(number)]
    else:
        times = list(minutes)
    if len(times) != number:
        what = f"{len(times)} times for {number} readings"
        raise PropschedError(f"--minutes: {what} – one for each, or the time between")
    if any(after <= before for before, after in pairwise(times)):
        raise PropschedError("--minutes must increase")
    return times


def _row(
    place: Place, probe: Probe | None, when: datetime, value: float, note: str
) -> DataFrame:
    return DataFrame(
        {
            "time": [pd.Timestamp(when)],
            "space": [place.space],
            "depth_cm": [np.nan if place.depth_cm is None else place.depth_cm],
            "temp_c": [value],
            "probe": [probe.id if probe else ""],
            "note": [note],
        }
    )


def _stored(folder: Path) -> DataFrame | None:
    """What is there; None where it cannot be read, which is no reason to lose one."""
    try:
        return stored_readings(folder)
    except InvalidInputError:
        return None


def _is_there(row: DataFrame, stored: DataFrame | None, space: Space) -> bool:
    if stored is None:
        return False
    one = row.iloc[0]
    same = (stored["time"] == one["time"]) & (stored["space"] == space.id)
    same &= (stored["probe"] == one["probe"]) & (stored["temp_c"] == one["temp_c"])
    deep = row["depth_cm"].fillna(space.depth_cm).iloc[0]
    return bool((same & (stored["depth_cm"].fillna(space.depth_cm) == deep)).any())


def _said(
    space: Space,
    place: Place,
    probe: Probe | None,
    when: datetime,
    value: float,
    how: str,
) -> str:
    """One line: what was understood and stored."""
    deep = space.depth_cm if place.depth_cm is None else place.depth_cm
    parts = [
        f"Noted: {space.id}, {deep:g} cm deep, {when_text(when)}: {value:g} °C",
        f" ({how})" if how else "",
    ]
    if probe and probe.offset_c:
        right = value + probe.offset_c
        parts.append(f"; {right:g} °C with the offset of probe {probe.id}")
    elif probe:
        parts.append(f"; probe {probe.id}")
    return "".join(parts) + "."


def _beside_the_model(
    folder: Path, space: Space, row: DataFrame, today: date | None
) -> str:
    """What the model makes of that hour without this reading, and how far off it is."""
    try:
        loaded = only(load(folder, today, WEATHER_ONLY), {space.id})
    except InvalidInputError as error:
        return f"Without the model: {error.problems[0]}"
    taken = readings_of(replace(loaded, files=replace(loaded.files, readings=row)))
    warm = warmth(loaded, winters=MODEL_WINTERS, seed=0)
    day = warm.horizon.day(taken["time"].iloc[0].date()) if len(taken) else -1
    if not 0 <= day < warm.horizon.days:
        return "The model does not reach to that day."
    hour = 24 * day + taken["time"].iloc[0].hour
    model = float(np.median(warm.zone.root_c[warm.states[space.id][day], :, hour]))
    off = float(taken["temp_c"].iloc[0]) - model
    sd = float(taken["sd_c"].iloc[0])
    return (
        f"The model has {model:.1f} °C for that hour: the reading is {abs(off):.1f} K "
        f"{'above' if off >= 0 else 'below'} it (such a reading: ±{1.28 * sd:.1f} K)."
    )
