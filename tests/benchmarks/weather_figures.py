"""What a record's days and winters are like, in figures that a generator must keep."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from propsched.thermal.habit import FittedHabit, imitate

SEASONS = {"DJF": (12, 1, 2), "MAM": (3, 4, 5), "JJA": (6, 7, 8), "SON": (9, 10, 11)}
FIRST_MONTH = 8
"""Winters are counted within years that begin in August, north of the equator."""
LEAST_YEAR_D = 350


@dataclass(frozen=True)
class Figure:
    name: str
    value: float
    uncertain: float
    """Standard error of a mean over the years; NaN where it is no such mean."""


def read_days(path: Path) -> pd.DataFrame:
    table = pd.read_csv(path, parse_dates=["date"]).set_index("date").sort_index()
    days = table[["tmin_c", "tmax_c"]].asfreq("D")
    return days.mask(days.isna().any(axis=1) | (days["tmin_c"] > days["tmax_c"]))


def year_of(days: pd.DataFrame) -> np.ndarray:
    """The year in whose August a day's year begins."""
    index = pd.DatetimeIndex(days.index)
    return (index.year - (index.month < FIRST_MONTH)).to_numpy()


def whole_years(days: pd.DataFrame) -> pd.DataFrame:
    year = year_of(days)
    known = days["tmin_c"].notna().groupby(year).sum()
    return days[np.isin(year, known.index[known >= LEAST_YEAR_D])]


def normals(days: pd.DataFrame) -> tuple[tuple[float, ...], tuple[float, ...]]:
    means = days.groupby(pd.DatetimeIndex(days.index).month).mean()
    return tuple(means["tmin_c"]), tuple(means["tmax_c"])


def made_like(
    habit: FittedHabit, days: pd.DataFrame, years: int, seed: int
) -> list[pd.DataFrame]:
    """Years from August, each a table of its own."""
    low, high = imitate(
        habit, *normals(days), date(2001, 8, 1), 365, winters=years, seed=seed
    )
    index = pd.date_range("2001-08-01", periods=365)
    return [
        pd.DataFrame({"tmin_c": a, "tmax_c": b}, index=index)
        for a, b in zip(low, high, strict=True)
    ]


def of_record(days: pd.DataFrame) -> list[pd.DataFrame]:
    whole = whole_years(days)
    return [year for _, year in whole.groupby(year_of(whole))]


def frost_runs(low: np.ndarray) -> np.ndarray:
    """Lengths of the runs of frost days; an unknown day ends a run."""
    edge = np.diff(np.concatenate([[0], (low < 0).astype(int), [0]]))
    return np.flatnonzero(edge == -1) - np.flatnonzero(edge == 1)


def figures(years: list[pd.DataFrame]) -> list[Figure]:
    """Everything, of years given one by one."""
    every = pd.concat(years)
    month = pd.DatetimeIndex(every.index).month.to_numpy()
    out: list[Figure] = []
    monthly = {}
    for column in ("tmin_c", "tmax_c"):
        monthly[column] = np.array([
            year[column].groupby(pd.DatetimeIndex(year.index).month).mean().reindex(
                range(1, 13)) for year in years
        ])  # fmt: skip
        for m in range(12):
            values = monthly[column][:, m]
            error = np.nanstd(values, ddof=1) / np.sqrt(np.isfinite(values).sum())
            out.append(Figure(f"mean {column} {m + 1:02d}", np.nanmean(values), error))
    both = {**monthly, "mean": (monthly["tmin_c"] + monthly["tmax_c"]) / 2}
    spread = {name: np.nanvar(v, axis=0, ddof=1) for name, v in both.items()}
    for name, months in SEASONS.items():
        for column, value in spread.items():
            sd = np.sqrt(value[[m - 1 for m in months]].mean())
            out.append(Figure(f"spread of months {column} {name}", sd, np.nan))
    # the same yearly curve for all: by day of the year, smoothed over a month
    anomalies = _anomalies(years)
    for name, months in SEASONS.items():
        here = np.isin(month, months)
        for column in ("tmin_c", "tmax_c"):
            pairs = [
                (x[column].to_numpy()[1:], x[column].to_numpy()[:-1]) for x in anomalies
            ]
            at = [np.isin(pd.DatetimeIndex(x.index).month[1:], months) for x in years]
            now = np.concatenate([p[0][w] for p, w in zip(pairs, at, strict=True)])
            then = np.concatenate([p[1][w] for p, w in zip(pairs, at, strict=True)])
            out.append(Figure(f"next day {column} {name}", _corr(now, then), np.nan))
        both_ = pd.concat(anomalies)[here]
        joint = _corr(both_["tmin_c"].to_numpy(), both_["tmax_c"].to_numpy())
        out.append(Figure(f"tmin with tmax {name}", joint, np.nan))
    runs = [frost_runs(year["tmin_c"].to_numpy()) for year in years]
    counts: dict[str, Callable[[np.ndarray], float]] = {
        "frost days a winter": np.sum,
        "runs of ≥ 3 frost days a winter": lambda r: (r >= 3).sum(),
        "runs of ≥ 5 frost days a winter": lambda r: (r >= 5).sum(),
    }
    for name, count in counts.items():
        got = np.array([count(r) for r in runs], float)
        error = got.std(ddof=1) / np.sqrt(len(got))
        out.append(Figure(name, got.mean(), error))
    lengths = np.concatenate(runs)
    error = lengths.std(ddof=1) / np.sqrt(len(lengths))
    out.append(Figure("mean run of frost days [d]", lengths.mean(), error))
    return out


def _anomalies(years: list[pd.DataFrame]) -> list[pd.DataFrame]:
    """Days less a yearly curve of two harmonics fitted to all the years."""
    every = pd.concat(years)
    turn = 2 * np.pi * pd.DatetimeIndex(every.index).day_of_year.to_numpy() / 365.25
    terms = [np.ones(len(every))]
    for harmonic in (1, 2):
        terms += [np.cos(harmonic * turn), np.sin(harmonic * turn)]
    basis, known = np.stack(terms, 1), every["tmin_c"].notna().to_numpy()
    values = every.to_numpy()
    fit = np.linalg.lstsq(basis[known], values[known], rcond=None)[0]
    ends = np.cumsum([len(year) for year in years])[:-1]
    return [
        pd.DataFrame(part, columns=every.columns)
        for part in np.split(values - basis @ fit, ends)
    ]


def _corr(a: np.ndarray, b: np.ndarray) -> float:
    known = np.isfinite(a) & np.isfinite(b)
    return float(np.corrcoef(a[known], b[known])[0, 1])


def missed(there: list[Figure], here: list[Figure]) -> list[str]:
    """Figures of generated years outside the tolerance about those of the record."""
    return [
        f"{real.name}: {made.value:.2f}, in the record {real.value:.2f}"
        for real, made in zip(there, here, strict=True)
        if not kept(real, made)
    ]


def kept(real: Figure, made: Figure) -> bool:
    """
    Means of months within four standard errors of the record's, correlations within
    0.1, all else within 20 %.
    """
    gap = abs(made.value - real.value)
    if real.name.startswith("mean t"):
        return bool(gap < 4 * real.uncertain)
    if real.name.startswith(("next", "tmin with")):
        return bool(gap < 0.1)
    return bool(gap < 0.2 * real.value)
