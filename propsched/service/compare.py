"""Whether one space is warmer than another, by their readings."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from pandas import DataFrame

from propsched.errors import PropschedError, UnknownNameError
from propsched.service.climate import Warmth, readings_of, warmth
from propsched.service.comparison import (
    CompareAnswer,
    CompareDay,
    CompareRow,
    ModelledSeason,
)
from propsched.service.loaded import Loaded, load, only
from propsched.service.pairs import (
    TIMES,
    Pairs,
    When,
    daily,
    day_numbers,
    pair_readings,
)
from propsched.service.verdict import remarks, verdict
from propsched.thermal.compare import mean_interval, more_days, slope_on

NEEDED = frozenset({"season", "weather"})
NARROW_K = 0.5
"""A mean known to within this, or half of itself, is known well enough; judgement."""


@dataclass(frozen=True, slots=True)
class _Air:
    """Daily mean of the air outdoors, by date."""

    by_date: "pd.Series[float]"

    def of(self, dates: pd.Index) -> NDArray[np.float64]:
        return np.asarray(self.by_date.reindex(dates), dtype=np.float64)


def compare(
    folder: Path,
    first: str,
    second: str,
    *,
    since: date | None = None,
    until: date | None = None,
    level: float = 0.95,
    today: date | None = None,
    winters: int = 25,
    seed: int = 0,
) -> CompareAnswer:
    """
    Compare the readings of two spaces of a season.

    Parameters
    ----------
    first, second : str
        Ids of spaces.
    since, until : date, optional
        First and last day of readings to use.
    level : float
        Of the interval.

    Raises
    ------
    UnknownNameError
        If a space is not in the season.
    PropschedError
        If both are the same.
    """
    loaded = load(folder, today, NEEDED)
    known = [space.id for space in loaded.season.spaces]
    for name in (first, second):
        if name not in known:
            raise UnknownNameError(
                f"no space {name!r} – the season has {', '.join(known)}"
            )
    if first == second:
        raise PropschedError(f"{first} cannot be compared with itself – name two")
    pairs = _pairs(loaded, first, second, since, until)
    asked = only(loaded, (first, second))
    warm = warmth(asked, winters=winters, seed=seed, by_readings=False)
    table = pairs.table.assign(
        model_k=_modelled(warm, first, second, pairs.table["time"])
    )
    air = _air(loaded)
    sd = pairs.systematic_sd_k
    whole = _row(table, None, air, level, sd)
    by_time = tuple(
        _row(table, when, air, level, sd)
        for when in TIMES
        if (table["when"] == when).any()
    )
    wanted = max(NARROW_K, abs(whole.mean_k or 0.0) / 2)
    more = None
    if whole.interval is not None:
        more = more_days(whole.interval, wanted)
    return CompareAnswer(
        first=first,
        second=second,
        level=level,
        verdict=verdict(first, second, whole, by_time, wanted, more),
        whole=whole,
        by_time=by_time,
        days=_days(table, air),
        season=_season(loaded, warm, first, second),
        wanted_half_k=wanted,
        more_days=more,
        remarks=remarks(first, second, pairs, whole, by_time),
        notes=loaded.files.notes,
    )


def _pairs(
    loaded: Loaded, first: str, second: str, since: date | None, until: date | None
) -> Pairs:
    """In winter time, as the model's hours are."""
    read, season = readings_of(loaded), loaded.season
    on = read["time"].dt.date
    read = read[(on <= (until or loaded.today)) & (on >= (since or date.min))]
    shown = loaded.files.readings.loc[read.index]
    return pair_readings(read, shown, first, second, season.probes)


def _modelled(
    warm: Warmth, first: str, second: str, times: "pd.Series[pd.Timestamp]"
) -> NDArray[np.float64]:
    """First less second at the hour of each pair, mean of the winters. [K]"""
    zone = warm.zone
    apart = warm.hours_of(first, zone.root_c) - warm.hours_of(second, zone.root_c)
    hours = (times - pd.Timestamp(warm.horizon.first)) // pd.Timedelta("1h")
    at = hours.to_numpy(dtype=np.int64)
    inside = (at >= 0) & (at < apart.shape[1])
    found = apart[:, np.clip(at, 0, apart.shape[1] - 1)].mean(axis=0, dtype=np.float64)
    return np.where(inside, found, np.nan)


def _season(
    loaded: Loaded, warm: Warmth, first: str, second: str
) -> ModelledSeason | None:
    zone, horizon = warm.zone, loaded.season.horizon
    begin = 24 * warm.horizon.day(horizon.first)
    hours = slice(begin, begin + 24 * horizon.days)
    of_first, of_second = (warm.hours_of(s, zone.root_c) for s in (first, second))
    apart = of_first[:, hours] - of_second[:, hours]
    by_winter = apart.mean(axis=1, dtype=np.float64)
    low, high = np.quantile(by_winter, [0.1, 0.9])
    return ModelledSeason(
        mean_k=float(by_winter.mean()), low_k=float(low), high_k=float(high)
    )


def _air(loaded: Loaded) -> _Air:
    weather = loaded.files.weather
    mean = (weather["tmin_c"] + weather["tmax_c"]) / 2
    return _Air(pd.Series(mean.to_numpy(), index=pd.DatetimeIndex(weather["date"])))


def _row(
    table: DataFrame, when: When | None, air: _Air, level: float, sd: float
) -> CompareRow:
    by_day = daily(table, "difference_k", when)
    days = day_numbers(by_day.index)
    values = np.asarray(by_day, dtype=np.float64)
    outdoors = air.of(by_day.index)
    seen = np.isfinite(outdoors)
    used = table if when is None else table[table["when"] == when]
    model = daily(table, "model_k", when)
    return CompareRow(
        when=when,
        pairs=len(used),
        days=values.size,
        mean_k=float(values.mean()) if values.size else None,
        interval=mean_interval(days, values, level=level, systematic_sd=sd),
        slope=slope_on(days[seen], values[seen], outdoors[seen], level=level),
        model_k=float(model.mean()) if len(model) else None,
    )


def _days(table: DataFrame, air: _Air) -> tuple[CompareDay, ...]:
    series = {
        name: daily(table, name) for name in ("a_c", "b_c", "difference_k", "model_k")
    }
    dates = series["difference_k"].index
    counts = table.groupby(table["time"].dt.normalize()).size()
    rows = []
    for day, outdoors in zip(dates, air.of(dates), strict=True):
        modelled = series["model_k"].get(day)
        rows.append(
            CompareDay(
                date=day.date(),
                pairs=int(counts[day]),
                first_c=round(float(series["a_c"][day]), 2),
                second_c=round(float(series["b_c"][day]), 2),
                difference_k=round(float(series["difference_k"][day]), 2),
                model_k=None if modelled is None else round(float(modelled), 2),
                air_c=round(float(outdoors), 2) if np.isfinite(outdoors) else None,
            )
        )
    return tuple(rows)
