"""
Do the 80 % ranges hold 80 % of what was measured, at each lead?

Run from the project's folder::

    PYTHONPATH=.:tests python tests/benchmarks/coverage.py [FOLDER [STEP]]

FOLDER holds ``*_daily.csv`` files with columns date, tmin_c, tmax_c and
soil_temp_10cm_c, and for each a site in ``SITES`` by its name; by default the ``data``
folder beside the project or where PROPSCHED_SHARED says.

Whole winters are left out. On origin dates through each (every ten days, November to
March) minimum and maximum are known up to the origin and nothing after; the outlook is
made from the station's other winters; readings are the measured mean of every seventh
day with an error of 0.3 K, seeded. The size of the model's error is set on one station
and scored on the other. STEP 2 takes every second origin. All of it takes about seven
minutes on two cores.
"""

import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from builders import make_season, make_site, make_space
from scipy.optimize import minimize

from propsched.domain.quantities import Horizon
from propsched.domain.space import Variant
from propsched.thermal.correction import correct
from propsched.thermal.learn import learn
from propsched.thermal.outlook import make_outlook
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.simulate import simulate
from propsched.thermal.spread import ERRORS, ModelError, Part, Range, total_range
from propsched.thermal.tuning import Tuning

HERE = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("PROPSCHED_SHARED", HERE.parent / "shared")) / "data"
SITES = {
    "ie_gurteen": make_site(latitude=53.035, longitude=-8.009, elevation_m=75),
    "ie_ballyhaise": make_site(latitude=54.051, longitude=-7.310, elevation_m=78),
}
PLOT = make_space(cover="turf", depth_cm=10)
"""The stations do not say what grows on the plot; short grass fits both better."""
WINTERS = range(2010, 2025)
LEADS = (0, 1, 3, 7, 14, 45)
ORIGINS = range(92, 243, 10)
"""From 1 November to 31 March, counted from 1 August."""
AHEAD = max(LEADS) + 2
LATER_Y = 28
"""The winter left out is moved so far on, that all others are past; same weekdays."""
READ_SD_C = 0.3


@dataclass(frozen=True)
class Score:
    """One origin and lead."""

    lead: int
    low_c: float
    mid_c: float
    high_c: float
    climate: tuple[float, float]
    truth_c: float

    @property
    def held(self) -> bool:
        return self.low_c <= self.truth_c <= self.high_c


def station(name: str, folder: Path = DATA) -> pd.DataFrame:
    table = pd.read_csv(folder / f"{name}_daily.csv", parse_dates=["date"])
    table = table.set_index("date").asfreq("D")
    air = ["tmin_c", "tmax_c"]
    table[air] = table[air].interpolate(limit=5)
    return table[[*air, "soil_temp_10cm_c"]]


def winter(table: pd.DataFrame, year: int, days: int) -> pd.DataFrame:
    return table.reindex(pd.date_range(date(year, 8, 1), periods=days))


def weekly(own: pd.DataFrame, year: int, origin: int) -> pd.DataFrame:
    """Daily means with their error, as 24 equal hours; sorted, with space and depth."""
    noise = np.random.default_rng(year).normal(0, READ_SD_C, len(own))
    day = np.arange(62 + year % 7, origin + 1, 7)
    mean = own["soil_temp_10cm_c"].to_numpy()[day] + noise[day]
    first = pd.Timestamp(year + LATER_Y, 8, 1)
    hours = [first + pd.Timedelta(days=int(d), hours=h) for d in day for h in range(24)]
    rows = pd.DataFrame(
        {
            "time": pd.DatetimeIndex(hours),
            "space": PLOT.id,
            "depth_cm": PLOT.depth_cm,
            "temp_c": np.repeat(mean, 24),
            "sd_c": READ_SD_C,
        }
    )
    return rows.dropna()


@dataclass(frozen=True)
class Case:
    """What is assumed of the model's error, and whether there are readings."""

    words: str
    error: ModelError
    reading: bool = True


def scores(
    name: str,
    year: int,
    cases: Sequence[Case],
    *,
    every: int = 1,
    folder: Path = DATA,
) -> list[list[Score]]:
    """All origins of one winter, for each case."""
    table = station(name, folder)
    days = max(ORIGINS) + AHEAD
    own = winter(table, year, days)
    inside = (table.index >= f"{year}-08-01") & (table.index < f"{year + 1}-08-01")
    others = table[~inside].reset_index()
    truth = own["soil_temp_10cm_c"].to_numpy()
    usual = climate(table, year, days)
    out: list[list[Score]] = [[] for _ in cases]
    for origin in list(ORIGINS)[::every]:
        spans = ranges(name, year, own, others, origin, cases)
        for found, span in zip(out, spans, strict=True):
            for at in (origin + lead for lead in LEADS):
                if np.isfinite(truth[at]):
                    ends = (float(x[at]) for x in span)
                    found.append(
                        Score(at - origin, *ends, tuple(usual[:, at]), truth[at])
                    )
    return out


def ranges(
    name: str,
    year: int,
    own: pd.DataFrame,
    others: pd.DataFrame,
    origin: int,
    cases: Sequence[Case],
) -> list[Range]:
    """As the product makes them, on days to the longest lead, for each case."""
    first = date(year + LATER_Y, 8, 1)
    horizon = Horizon(first, origin + AHEAD)
    seen = own.iloc[: origin + 1].drop(columns="soil_temp_10cm_c")
    seen = seen.assign(date=pd.date_range(first, periods=origin + 1))
    season = make_season(
        site=SITES[name],
        start=first + timedelta(days=92),
        end=date(first.year + 1, 5, 31),
    )
    outlook = make_outlook(
        season,
        seen,
        others.drop(columns="soil_temp_10cm_c"),
        today=horizon.date(origin),
        horizon=horizon,
        winters=25,
        seed=1,
    )
    work = np.ones(horizon.days, dtype=bool)
    every = weekly(own, year, origin)
    read = [every if case.reading else every.iloc[:0] for case in cases]
    errors = [{**ERRORS, "open-ground": case.error} for case in cases]
    plot = Variant(PLOT)
    tunings = [
        learn(SITES[name], [plot], outlook, rows, today=origin, work_day=work, errors=e)
        for rows, e in zip(read, errors, strict=True)
    ]
    zone = simulate(
        SITES[name],
        [plot] * len(cases),
        outlook,
        work_day=work,
        tunings=[found.get(PLOT.id, Tuning()) for found in tunings],
    )
    out = []
    for v, (rows, e) in enumerate(zip(read, errors, strict=True)):
        alone = replace(zone, variants=(plot,), root_c=zone.root_c[v : v + 1])
        (found,) = correct(alone, rows, errors=e)
        mean = zone.root_c[v].reshape(len(zone.winters), -1, 24).mean(axis=2)
        follow = e["open-ground"].follow
        own_range = total_range(
            mean, found.offset.mean_c, found.offset.sd_c, follow=follow
        )
        out.append(own_range)
    return out


def climate(table: pd.DataFrame, year: int, days: int) -> np.ndarray:
    """The other winters' measured 80 %, ten days around each day. (2, days)"""
    soil = [
        winter(table, y, days)["soil_temp_10cm_c"].to_numpy()
        for y in range(table.index[0].year, table.index[-1].year)
        if y != year
    ]
    soil = np.pad(np.array(soil), ((0, 0), (5, 5)), constant_values=np.nan)
    around = np.lib.stride_tricks.sliding_window_view(soil, 11, axis=1)
    pooled = np.moveaxis(around, 1, 0).reshape(days, -1)
    return np.nanquantile(pooled, [0.1, 0.9], axis=1, method="weibull")


def both(name: str, folder: Path = DATA) -> tuple[np.ndarray, np.ndarray]:
    """Measured, and model with its defaults, November to March. (winters, days)"""
    table = station(name, folder)
    runs = [winter(table, y, 243) for y in WINTERS]
    nan = np.full((len(runs), 243), np.nan)
    air = {
        c: np.array([r[c].interpolate(limit_direction="both") for r in runs])
        for c in ("tmin_c", "tmax_c")
    }
    outlook = Outlook(
        horizon=Horizon(date(2010, 8, 1), 243), winters=tuple(map(str, WINTERS)),
        **air, solar_mj_m2=nan, wind_m_s=nan, snow_cm=nan, kind=("observed",) * 243,
    )  # fmt: skip
    work = np.ones(243, dtype=bool)
    zone = simulate(SITES[name], [Variant(PLOT)], outlook, work_day=work)
    model = zone.root_c[0].reshape(len(runs), 243, 24).mean(axis=2)
    measured = np.array([r["soil_temp_10cm_c"] for r in runs])
    return measured[:, 92:], model[:, 92:]


def fitted(name: str, folder: Path = DATA) -> ModelError:
    """Two decaying parts, the likeliest for a station's daily gaps; and its slope."""
    measured, model = both(name, folder)
    rows = measured - model
    apart = [x - np.nanmean(x, axis=0) for x in (measured, model)]
    known = np.isfinite(apart[0])
    slope = apart[0][known] @ apart[1][known] / (apart[1][known] ** 2).sum()

    def made(x: np.ndarray) -> ModelError:
        sd, keep = np.exp(x[:2]), 1 / (1 + np.exp(-x[2:]))
        return ModelError(
            parts=(
                Part(float(sd[0]), float(keep[0])),
                Part(float(sd[1]), float(keep[1])),
            ),
            follow=float(slope),
        )

    def cost(x: np.ndarray) -> float:
        whole, error = 0.0, made(x)
        for row in rows:
            day = np.flatnonzero(np.isfinite(row)).astype(float)
            spread = error.covariance(day, day) + 1e-3 * np.eye(day.size)
            _, size = np.linalg.slogdet(spread)
            gap = row[day.astype(int)]
            whole += size + gap @ np.linalg.solve(spread, gap)
        return float(whole)

    start = np.array([np.log(0.7), np.log(0.5), -0.6, 3.5])
    found = minimize(cost, start, method="Nelder-Mead", options={"maxiter": 150})
    return made(found.x)


def all_scores(
    name: str, cases: Sequence[Case], *, every: int = 1, folder: Path = DATA
) -> list[list[Score]]:
    """All winters, on two cores."""
    with ProcessPoolExecutor(2) as pool:
        runs = [
            pool.submit(scores, name, y, cases, every=every, folder=folder)
            for y in WINTERS
        ]
        winters = [run.result() for run in runs]
    return [[s for w in winters for s in w[i]] for i in range(len(cases))]


def table(found: list[Score]) -> pd.DataFrame:
    """By lead: number, share held, width, that of the climate, miss of the middle."""
    rows = pd.DataFrame(
        {
            "lead": s.lead,
            "n": 1,
            "held": s.held,
            "width": s.high_c - s.low_c,
            "climate": s.climate[1] - s.climate[0],
            "climate_held": s.climate[0] <= s.truth_c <= s.climate[1],
            "squares": (s.mid_c - s.truth_c) ** 2,
        }
        for s in found
    ).groupby("lead")
    out = rows.mean().assign(n=rows["n"].sum())
    out["rmse"] = np.sqrt(out.pop("squares"))
    return out


def report(folder: Path, step: int) -> None:
    names = sorted(SITES)
    errors = {name: fitted(name, folder) for name in names}
    for name, error in errors.items():
        parts = ", ".join(f"{p.sd_c:.2f} K keeping {p.keep:.3f}" for p in error.parts)
        print(f"model's error set on {name}: {parts}; follows × {error.follow:.2f}")
    for name, other in zip(names, names[::-1], strict=True):
        cases = (
            Case(f"error set on {other}, weekly readings", errors[other]),
            Case("error as shipped, weekly readings", ERRORS["open-ground"]),
            Case(f"error set on {other}, no readings", errors[other], reading=False),
        )
        every = all_scores(name, cases, every=step, folder=folder)
        for case, found in zip(cases, map(table, every), strict=True):
            print(f"\n{name}, {case.words}")
            print("  lead    n  held  width  climate's  its held  miss")
            for lead, r in found.iterrows():
                print(
                    f"  {lead:4d} {r['n']:4.0f} {r['held']:5.0%} {r['width']:6.2f}"
                    f" {r['climate']:10.2f} {r['climate_held']:9.0%} {r['rmse']:5.2f}",
                    flush=True,
                )


if __name__ == "__main__":
    report(
        Path(sys.argv[1]) if len(sys.argv) > 1 else DATA,
        int(sys.argv[2]) if len(sys.argv) > 2 else 1,
    )
