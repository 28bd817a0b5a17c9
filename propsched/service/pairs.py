"""Readings of two spaces side by side: what was read in both at about one time."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot
from typing import Any, Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from pandas import DataFrame, Series

from propsched.domain.season import Probe
from propsched.thermal.probe import PROBE_SD_C, UNCHECKED_SD_C

Array = NDArray[np.float64]

WITHIN = pd.Timedelta(minutes=90)
"""Readings no further apart than this are of one time."""
When = Literal["morning", "afternoon", "night"]
TIMES: tuple[When, ...] = ("morning", "afternoon", "night")
MORNING_H, AFTERNOON_H, NIGHT_H = 5, 11, 18
"""Clock hours at which each begins; night ends where morning begins."""


@dataclass(frozen=True, slots=True)
class Pairs:
    """What was read in both spaces."""

    table: DataFrame
    """time, a_c, b_c, difference_k (first less second), when, same_probe."""
    depths_cm: tuple[float, float]
    one_probe: bool
    """Whether each pair was read with one and the same probe."""
    systematic_sd_k: float
    """Error that all pairs may share. [K]"""


def pair_readings(
    corrected: DataFrame, shown: DataFrame, first: str, second: str,
    probes: Iterable[Probe],
) -> Pairs:  # fmt: skip
    """
    Pair the readings of two spaces that are each other's nearest in time.

    Parameters
    ----------
    corrected : DataFrame
        Of ``corrected_readings``: time, space, depth_cm, temp_c.
    shown : DataFrame
        The same rows as they were written, with ``probe``.
    first, second : str
        Ids of the spaces.
    probes : iterable of Probe
        Those whose offset is known.

    Notes
    -----
    Readings of one clock hour are averaged first, which is what makes hours of a
    logger's minutes. Where a space was read at several depths, the two that lie
    nearest to one another are compared.
    """
    all_ = corrected.assign(probe=shown["probe"].fillna("").astype(str))
    one, two = all_[all_["space"] == first], all_[all_["space"] == second]
    depths = _depths(one, two)
    a, b = (_by_hour(_at(f, d)) for f, d in zip((one, two), depths, strict=True))
    table = _nearest(a, b)
    same = table["a_probe"] == table["b_probe"]
    known = {p.id for p in probes}
    table = DataFrame(
        {
            "time": table["time"],
            "a_c": table["a_c"],
            "b_c": table["b_c"],
            "difference_k": table["a_c"] - table["b_c"],
            "when": _when(table["time"]),
            "same_probe": same,
        }
    ).reset_index(drop=True)
    sds = [
        max((_probe_sd(p, known) for p in side["probe"].unique()), default=0.0)
        for side in (a, b)
    ]
    apart_share = 0.0 if table.empty else 1.0 - float(same.mean())
    return Pairs(table, depths, bool(same.all()), apart_share * hypot(*sds))


def _nearest(a: DataFrame, b: DataFrame) -> DataFrame:
    """Readings that are each other's nearest, so that either may come first."""
    a = a.rename(columns={"temp_c": "a_c", "probe": "a_probe"}).reset_index(drop=True)
    b = b.rename(columns={"temp_c": "b_c", "probe": "b_probe"}).reset_index(drop=True)
    to_b, to_a = (
        pd.merge_asof(
            one[["time"]],
            other[["time"]].assign(index=other.index),
            on="time",
            direction="nearest",
            tolerance=WITHIN,
        )["index"]
        for one, other in ((a, b), (b, a))
    )
    back = to_b.map(to_a)
    mutual = (back == a.index).to_numpy()
    found = b.loc[to_b[mutual].astype(int), ["b_c", "b_probe"]].reset_index(drop=True)
    return pd.concat([a[mutual].reset_index(drop=True), found], axis=1)


def _probe_sd(probe: str, known: set[str]) -> float:
    return PROBE_SD_C if probe in known else UNCHECKED_SD_C


def _depths(one: DataFrame, two: DataFrame) -> tuple[float, float]:
    """The depths that are compared: nearest to one another, then most read."""
    a, b = one["depth_cm"].value_counts(), two["depth_cm"].value_counts()
    choices = [
        (abs(float(x) - float(y)), -int(a[x] + b[y]), float(x), float(y))
        for x in a.index
        for y in b.index
    ]
    return min(choices)[2:] if choices else (np.nan, np.nan)


def _at(frame: DataFrame, depth_cm: float) -> DataFrame:
    if np.isnan(depth_cm):
        return frame
    there: DataFrame = frame[frame["depth_cm"] == depth_cm]
    return there


def _by_hour(frame: DataFrame) -> DataFrame:
    """Readings of one clock hour and probe averaged."""
    frame = frame.assign(hour=frame["time"].dt.floor("h"))
    mean = frame.groupby(["hour", "probe"], as_index=False, sort=True).agg(
        time=("time", "mean"), temp_c=("temp_c", "mean")
    )
    mean["time"] = mean["time"].astype("datetime64[ns]")
    return mean.sort_values("time", kind="stable")[["time", "temp_c", "probe"]]


def _when(time: "Series[Any]") -> NDArray[Any]:
    hour = time.dt.hour.to_numpy()
    morning = (hour >= MORNING_H) & (hour < AFTERNOON_H)
    afternoon = (hour >= AFTERNOON_H) & (hour < NIGHT_H)
    return np.where(morning, "morning", np.where(afternoon, "afternoon", "night"))


def daily(table: DataFrame, value: str, when: When | None = None) -> "Series[float]":
    """
    Daily means of a column, by date.

    Parameters
    ----------
    when : str, optional
        Only that time of day. None takes all: morning, afternoon and night count the
        same, however often each was read.

    Notes
    -----
    A night belongs to the day on which it begins.
    """
    table = table[table[value].notna()]
    if when is not None:
        table = table[table["when"] == when]
    shift = pd.Timedelta(hours=MORNING_H if when == "night" else 0)
    date = (table["time"] - shift).dt.normalize().rename("date")
    by_time = table.groupby([date, table["when"]])[value].mean()
    return by_time.groupby(level="date").mean().sort_index().astype(np.float64)


def day_numbers(dates: pd.Index) -> Array:
    """Days since the first. [d]"""
    stamps = pd.DatetimeIndex(dates)
    if stamps.empty:
        return np.empty(0)
    return ((stamps - stamps[0]) / pd.Timedelta("1D")).to_numpy(dtype=np.float64)
