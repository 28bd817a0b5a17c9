"""How warm each space is, was and will be, with its range."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from propsched.domain.season import Season
from propsched.domain.space import SpaceKind
from propsched.errors import UnknownNameError
from propsched.service.answers import Source, TempsAnswer, TempsRow
from propsched.service.climate import WEATHER_ONLY, Loaded, Warmth, load, warmth

Z80 = 1.2816
"""Half width of the middle 80 % of a normal distribution, in its sd."""

MODEL_SD_C: dict[SpaceKind, float] = {
    "open-ground": 0.9,
    "cold-frame": 1.5,
    "glasshouse": 1.5,
    "polytunnel": 1.5,
    "windowsill": 1.0,
    "heated-bench": 0.7,
    "propagator": 0.7,
    "warm-cupboard": 1.0,
    "hotbed": 3.5,
    "heap": 3.5,
    "store": 1.0,
    "check-point": 0.5,
}
"""
What the model leaves unexplained of a day's mean. [K]

Open ground: measured at two stations, 0.98 and 1.06 with defaults. Heap, store,
warm cupboard and check point: judgement. The others from memory of the literature.
"""
READING_SD_C = 0.42
"""Probe after its offset 0.3 and depth error 0.3, from memory. [K]"""


def temps(
    folder: Path,
    *,
    today: date | None = None,
    spaces: Sequence[str] = (),
    winters: int = 25,
    seed: int = 0,
) -> TempsAnswer:
    """
    Daily temperatures of the season's spaces.

    Raises
    ------
    UnknownNameError
        If a space is not in the season.
    """
    loaded = load(folder, today, WEATHER_ONLY)
    season = loaded.season
    known = [space.id for space in season.spaces]
    for name in spaces:
        if name not in known:
            raise UnknownNameError(
                f"no space {name!r} – the season has {', '.join(known)}"
            )
    warm = warmth(loaded, winters=winters, seed=seed)
    rows: list[TempsRow] = []
    for v, variant in enumerate(warm.zone.variants):
        if not spaces or variant.space.id in spaces:
            rows.extend(_rows(loaded, warm, v, season))
    return TempsAnswer(rows=tuple(rows), notes=loaded.files.notes)


def _rows(loaded: Loaded, warm: Warmth, v: int, season: Season) -> list[TempsRow]:
    space = warm.zone.variants[v].space
    offset = warm.horizon.day(season.start)
    days = season.horizon.days
    cut = slice(24 * offset, 24 * (offset + days))
    k = len(warm.zone.winters)
    root = warm.zone.root_c[v, :, cut].reshape(k, days, 24)
    air = warm.zone.air_c[v, :, cut].reshape(k, days, 24)
    mean = root.mean(axis=2)
    middle = np.median(mean, axis=0)
    low, high = np.quantile(mean, [0.1, 0.9], axis=0)
    lowest = np.median(root.min(axis=2), axis=0)
    highest = np.median(root.max(axis=2), axis=0)
    air_min = np.median(air.min(axis=2), axis=0)
    shift = reading_shift(loaded, space.id, root[:, :, :], season)
    sd = MODEL_SD_C[space.kind]
    rows = []
    for day in range(days):
        kind = warm.outlook.kind[offset + day]
        source: Source = "model" if kind == "observed" else kind
        own_sd, by = sd, 0.0
        if not np.isnan(shift[day]):
            source, own_sd, by = "reading", READING_SD_C, float(shift[day])
        below = float(np.hypot(middle[day] - low[day], Z80 * own_sd))
        above = float(np.hypot(high[day] - middle[day], Z80 * own_sd))
        centre = float(middle[day]) + by
        rows.append(
            TempsRow(
                date=season.horizon.date(day),
                space=space.id,
                root_mean_c=round(centre, 1),
                root_min_c=round(float(lowest[day]) + by, 1),
                root_max_c=round(float(highest[day]) + by, 1),
                low_c=round(centre - below, 1),
                high_c=round(centre + above, 1),
                air_min_c=round(float(air_min[day]), 1),
                source=source,
            )
        )
    return rows


def reading_shift(
    loaded: Loaded, space: str, root: NDArray[np.float32], season: Season
) -> NDArray[np.float64]:
    """
    Reading less model at the hour of the reading, its mean over the day.

    Parameters
    ----------
    root : array of shape (winters, days of the season, 24)
        Modelled root zone of the space. [°C]

    Returns
    -------
    One number for each day of the season, NaN where nothing was read. [K]
    """
    shift = np.full(root.shape[1], np.nan)
    readings = loaded.files.readings
    own = readings[readings["space"] == space]
    if own.empty:
        return shift
    offsets = {probe.id: probe.offset_c for probe in season.probes}
    time = pd.DatetimeIndex(own["time"])
    day = (
        (time.normalize() - pd.Timestamp(season.start)) // pd.Timedelta("1D")
    ).to_numpy()
    read = own["temp_c"].to_numpy() + own["probe"].map(offsets).fillna(0.0).to_numpy()
    inside = (day >= 0) & (day < root.shape[1]) & (time.date <= loaded.today)
    day, hour, read = day[inside], time.hour.to_numpy()[inside], read[inside]
    model = np.median(root[:, day, hour], axis=0)
    for one in np.unique(day):
        shift[one] = float((read - model)[day == one].mean())
    return shift
