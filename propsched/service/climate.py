"""A loaded season to its warmth: horizon, outlook, every space simulated."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from pandas import DataFrame, Series, Timedelta, Timestamp

from propsched.domain.quantities import Horizon
from propsched.domain.season import Season
from propsched.domain.space import Variant
from propsched.service.loaded import Loaded
from propsched.service.variants import states_by_day, usual_of, variants_of
from propsched.thermal.correction import Corrected, apply, correct
from propsched.thermal.learn import learn
from propsched.thermal.outlook import make_outlook
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.probe import corrected_readings
from propsched.thermal.rootzone import RootZone, followed
from propsched.thermal.simulate import simulate
from propsched.thermal.snap import colder
from propsched.thermal.tuning import Tuning

BEFORE_DAYS = 92
"""The ground remembers about a season; so long is simulated before day 0."""
AFTER_DAYS = 160
"""What stands over is followed into the autumn after."""


@dataclass(frozen=True, slots=True)
class Warmth:
    """The weather assumed and what every space makes of it."""

    outlook: Outlook
    zone: RootZone
    """Corrected by readings where there are any."""
    modelled: RootZone
    """With the figures that readings speak for, before the offsets."""
    corrected: tuple[Corrected, ...]
    """What readings say of each variant."""
    learnt: Mapping[str, Tuning]
    """Figures moved by readings, by space."""
    states: Mapping[str, NDArray[np.int64]]
    """Variant each space is in on each day, by the daybook. (N,)"""

    def hours_of(self, space: str, hourly: NDArray[np.float32]) -> NDArray[np.float32]:
        """Hours of one space, in the state it is in. (V, K, 24 N) to (K, 24 N)"""
        return followed(hourly, self.states[space])

    @property
    def horizon(self) -> Horizon:
        return self.zone.horizon


def readings_of(loaded: Loaded) -> DataFrame:
    """Readings up to today as temperatures with their error, in winter time."""
    season, rows = loaded.season, loaded.files.readings
    past = rows[rows["time"] < Timestamp(loaded.today) + Timedelta(days=1)]
    told = corrected_readings(past, season.probes, season.spaces)
    return told.assign(time=_winter_time(told["time"], season))


def _winter_time(local: "Series[Timestamp]", season: Season) -> "Series[Timestamp]":
    """Clock times with summer time taken out, as the model's hours are."""
    timezone, year = season.site.timezone, season.start.year
    zone = ZoneInfo(timezone)
    offsets = [datetime(year, month, 1, tzinfo=zone).utcoffset() for month in (1, 7)]
    standard = min(offset for offset in offsets if offset is not None)
    aware = local.dt.tz_localize(timezone, ambiguous=False, nonexistent="shift_forward")
    return aware.dt.tz_convert("UTC").dt.tz_localize(None) + standard


def warmth(
    loaded: Loaded,
    *,
    winters: int,
    seed: int,
    by_readings: bool = True,
    until: date | None = None,
) -> Warmth:
    """
    Simulate all spaces of the season over all winters of the outlook.

    ``until`` is the last day wanted, else well after the season's end.

    Readings move first what is only roughly known of a space, then, for a time, what
    comes out; neither without ``by_readings``.
    """
    season = loaded.season
    first = season.start - timedelta(days=BEFORE_DAYS)
    last = until or season.end + timedelta(days=AFTER_DAYS)
    horizon = Horizon(first, (last - first).days + 1)
    outlook = make_outlook(
        season,
        loaded.files.weather,
        loaded.files.history,
        today=loaded.today,
        horizon=horizon,
        winters=winters,
        seed=seed,
    )
    outlook = colder(outlook, loaded.cold)
    work_day = np.array([season.is_work_day(day) for day in horizon])
    site, readings = season.site, readings_of(loaded)
    variants = variants_of(season, loaded.today)
    states = states_by_day(variants, loaded.files.daybook, horizon, loaded.today)
    if not by_readings:
        readings = readings.iloc[:0]
    learnt = learn(
        site,
        usual_of(variants),
        outlook,
        _in_usual_state(readings, variants, states, horizon),
        today=horizon.day(loaded.today),
        work_day=work_day,
    )
    tunings = [learnt.get(v.space.id, Tuning()) for v in variants] if learnt else None
    zone = simulate(site, variants, outlook, work_day=work_day, tunings=tunings)
    corrected = correct(zone, readings, states=states)
    return Warmth(outlook, apply(zone, corrected), zone, corrected, learnt, states)


def _in_usual_state(
    readings: DataFrame,
    variants: tuple[Variant, ...],
    states: Mapping[str, NDArray[np.int64]],
    horizon: Horizon,
) -> DataFrame:
    """Readings of spaces in the state in which their figures are learnt."""
    day = (readings["time"].dt.normalize() - Timestamp(horizon.first)).dt.days
    at = day.clip(0, horizon.days - 1).to_numpy(dtype=np.int64)
    keep = np.ones(len(readings), dtype=bool)
    for usual in usual_of(variants):
        space = usual.space.id
        unusual = states[space][at] != variants.index(usual)
        keep &= ~((readings["space"] == space).to_numpy() & unusual)
    return readings[keep]
