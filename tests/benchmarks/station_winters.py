"""Stations with measured ground: winters, rules, regressions and the model."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.optimize import minimize

from propsched.domain.quantities import Horizon
from propsched.domain.season import Site
from propsched.domain.space import Space, Variant
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.simulate import simulate
from propsched.thermal.spread import ModelError, Part
from propsched.thermal.tuning import Tuning

Floats = NDArray[np.float64]

POSITIONS = {
    "ie_gurteen_daily": Site(latitude=53.035, longitude=-8.009, elevation_m=75),
    "ie_ballyhaise_daily": Site(latitude=54.051, longitude=-7.310, elevation_m=78),
}
SOIL = "soil_temp_10cm_c"
WEATHER = ("tmin_c", "tmax_c", "solar_w_m2", "wind_m_s", "rain_mm")
DAYS, SCORED = 243, 92
"""1 August (February) to the end of March (September); scored from day 92 on."""
READING_SD_C = 0.3
EVERY_D = 7
NEIGHBOUR_D = 28
"""Days of air that the regression looks back on."""


@dataclass(frozen=True, kw_only=True)
class Station:
    name: str
    site: Site
    winters: tuple[str, ...]
    day: dict[str, Floats]
    """Daily values by column, (W, DAYS)."""

    @property
    def air_c(self) -> Floats:
        return (self.day["tmin_c"] + self.day["tmax_c"]) / 2

    @property
    def soil_c(self) -> Floats:
        return self.day[SOIL]


def wind_at_2m(wind_m_s: Floats, height_m: float) -> Floats:
    """FAO-56 Eq. 47."""
    return wind_m_s * 4.87 / np.log(67.8 * height_m - 5.42)


def read_station(
    path: Path, site: Site, *, first: int, wind_height_m: float
) -> Station:
    """Winters side by side; gaps of up to three days of weather are bridged."""
    table = pd.read_csv(path, parse_dates=["date"]).set_index("date").sort_index()
    table = table.reindex(columns=[*WEATHER, SOIL], fill_value=np.nan).asfreq("D")
    core = list(WEATHER[:2])
    table[core] = table[core].interpolate(limit=3, limit_area="inside")
    table["wind_m_s"] = wind_at_2m(table["wind_m_s"], wind_height_m)
    month = 8 if site.latitude >= 0 else 2
    winters, kept = [], []
    for year in range(first, table.index[-1].year + 1):
        days = table.reindex(pd.date_range(date(year, month, 1), periods=DAYS))
        whole = days[core].notna().all(axis=None)
        if whole and days[SOIL].iloc[SCORED:].notna().sum() >= 100:
            winters.append(str(year))
            kept.append(days)
    if len(kept) < 3:
        raise SystemExit(f"{path.name}: {len(kept)} whole winters, three are needed")
    day = {c: np.array([k[c].to_numpy(float) for k in kept]) for c in table.columns}
    return Station(name=path.stem, site=site, winters=tuple(winters), day=day)


def outlook_of(
    station: Station, known: Sequence[str] = (), snow_cm: Floats | None = None
) -> Outlook:
    """The station's winters as an outlook that knows some columns beside the air's."""
    nan = np.full_like(station.air_c, np.nan)
    month = 8 if station.site.latitude >= 0 else 2
    sun = station.day["solar_w_m2"] * 0.0864 if "solar_w_m2" in known else nan
    return Outlook(
        horizon=Horizon(date(int(station.winters[0]), month, 1), DAYS),
        winters=station.winters,
        tmin_c=station.day["tmin_c"],
        tmax_c=station.day["tmax_c"],
        solar_mj_m2=sun,
        wind_m_s=station.day["wind_m_s"] if "wind_m_s" in known else nan,
        snow_cm=nan if snow_cm is None else snow_cm,
        kind=("observed",) * DAYS,
    )


def plot(cover: str = "turf") -> Space:
    return Space(id="plot", kind="open-ground", depth_cm=10, cover=cover)


def modelled(
    station: Station,
    outlook: Outlook,
    *,
    cover: str = "turf",
    tunings: Sequence[Tuning] = (Tuning(),),
) -> Floats:
    """Daily means at 10 cm. (tunings, W, DAYS)"""
    variants = [Variant(plot(cover), str(i)) for i in range(len(tunings))]
    zone = simulate(
        station.site,
        variants,
        outlook,
        work_day=np.ones(DAYS, dtype=bool),
        tunings=tunings,
    )
    hours = zone.root_c.reshape(len(tunings), len(station.winters), DAYS, 24)
    return np.asarray(hours.mean(axis=-1, dtype=np.float64))


def miss(got: Floats, station: Station) -> float:
    """Root mean square error of the scored days. [K]"""
    off = (got - station.soil_c)[..., SCORED:]
    return float(np.sqrt(np.nanmean(off**2)))


def misses(got: Floats, station: Station) -> Floats:
    """The same for each of several."""
    return np.array([miss(one, station) for one in got])


def week_of_air(station: Station) -> Floats:
    return np.array([pd.Series(a).rolling(7).mean() for a in station.air_c])


def lagged(values: Floats, days: int) -> Floats:
    out = np.full_like(values, np.nan)
    out[:, days:] = values[:, : values.shape[1] - days]
    return out


def regression(station: Station, columns: Sequence[str] = ()) -> Floats:
    """Trained on the station's other winters: air of 28 days, season, and more."""
    terms = [
        lagged(station.day[c], k) for c in ("tmin_c", "tmax_c") for k in (*range(8), 10)
    ]
    terms += [lagged(station.air_c, k) for k in (14, 20, NEIGHBOUR_D)]
    turn = 2 * np.pi * np.arange(DAYS) / 365 * np.ones_like(station.air_c)
    terms += [f(n * turn) for f in (np.sin, np.cos) for n in (1, 2)]
    terms += [lagged(station.day[c], k) for c in columns for k in range(4)]
    x = np.stack([np.ones_like(turn), *terms], axis=-1)
    x = np.where(np.isfinite(x), x, np.nanmean(x, axis=(0, 1)))
    out = np.full_like(station.air_c, np.nan)
    for w in range(len(station.winters)):
        others = np.arange(len(station.winters)) != w
        a, y = x[others, SCORED:], station.soil_c[others, SCORED:]
        some = np.isfinite(y)
        weights = np.linalg.lstsq(a[some], y[some], rcond=None)[0]
        out[w] = x[w] @ weights
    return out


def error_at(stations: Sequence[Station], got: Sequence[Floats]) -> ModelError:
    """Most likely error of a model: a part new almost daily and one that lasts."""
    gaps = np.concatenate(
        [(s.soil_c - g)[:, SCORED:] for s, g in zip(stations, got, strict=True)]
    )
    patterns: dict[bytes, list[int]] = {}
    for i, gap in enumerate(gaps):
        patterns.setdefault(np.isfinite(gap).tobytes(), []).append(i)
    alike = [(np.flatnonzero(np.isfinite(gaps[i[0]])), i) for i in patterns.values()]

    def cost(raw: Floats) -> float:
        error, total = _error(raw), 0.0
        for days, rows in alike:
            spread = error.covariance(days.astype(float), days.astype(float))
            half = np.linalg.cholesky(spread + 1e-4 * np.eye(days.size))
            z = np.linalg.solve(half, gaps[rows][:, days].T)
            total += 2 * len(rows) * np.log(np.diag(half)).sum() + (z**2).sum()
        return float(total)

    start = np.array([np.log(0.6), -0.5, np.log(0.4), 3.0])
    best = minimize(cost, start, method="Nelder-Mead", options={"maxiter": 120})
    return _error(best.x)


def _error(raw: Floats) -> ModelError:
    sd, keep = np.exp(raw[[0, 2]]), 1 / (1 + np.exp(-raw[[1, 3]]))
    parts = tuple(Part(float(a), float(b)) for a, b in zip(sd, keep, strict=True))
    return ModelError(parts=parts, basis="derived")


def with_readings(
    got: Floats, station: Station, error: ModelError, rng: np.random.Generator
) -> Floats:
    """
    Guesses weighed by the readings so far, and their error carried on.

    ``got`` is (guesses, W, DAYS); back comes (W, DAYS), NaN where nothing is scored.
    """
    out = np.full_like(station.soil_c, np.nan)
    every = np.arange(DAYS, dtype=float)
    for w in range(len(station.winters)):
        soil = station.soil_c[w]
        days = np.arange(SCORED, DAYS, EVERY_D)
        days = days[np.isfinite(soil[days])]
        read = soil[days] + rng.normal(0, READING_SD_C, days.size)
        out[w, SCORED : days[0]] = got[:, w, SCORED : days[0]].mean(axis=0)
        for n, (here, there) in enumerate(pairwise([*days, DAYS]), start=1):
            # one mixture of Gaussian processes, Rasmussen & Williams 2006, eq. 2.25
            when = days[:n].astype(float)
            spread = error.covariance(when, when) + READING_SD_C**2 * np.eye(n)
            gaps = read[:n] - got[:, w, days[:n]]
            solved = np.linalg.solve(spread, gaps.T)
            likely = -0.5 * np.einsum("gn,ng->g", gaps, solved)
            weight = np.exp(likely - likely.max())
            span = every[here:there]
            shift = error.covariance(span, when) @ solved
            mixed = got[:, w, here:there].T + shift
            out[w, here:there] = mixed @ (weight / weight.sum())
    return out
