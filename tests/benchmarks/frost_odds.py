"""
Does frost come as often as its probability says?

Run from the project's folder::

    PYTHONPATH=.:tests python tests/benchmarks/frost_odds.py [FOLDER [STEP]]

At the stations of ``coverage.py``, whole winters left out: minimum and maximum are
known up to an origin and nothing after, no forecast, as for a garden whose weather
file ends there. For the nights that follow, the probability of an air minimum below
0, −2 and −4 °C as ``tonight`` works it out is set against what was measured; once with
what a garden differs from the place that is told, and once without, which is fair to a
station. STEP 2 takes every second origin; some minutes on two cores.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
from benchmarks.coverage import (
    AHEAD,
    DATA,
    LATER_Y,
    ORIGINS,
    SITES,
    WINTERS,
    station,
    winter,
)
from builders import make_season

from propsched.domain.quantities import Horizon
from propsched.thermal.lowest import OUTDOORS_SD_C, Lowest
from propsched.thermal.outlook import make_outlook
from propsched.thermal.spread import total_range

LIMITS_C = (0.0, -2.0, -4.0)
NIGHTS = (0, 1, 2)
"""Nights after the last known day; the first is that which follows it."""
BINS = (0.0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 1.01)


@dataclass(frozen=True)
class Said:
    """One night and limit."""

    night: int
    limit_c: float
    probability: float
    climate: float
    """Share of other winters' same days below."""
    came: bool


def lowest(minima_c: np.ndarray, sd_c: float) -> Lowest:
    ends = total_range(minima_c[:, None], np.zeros(1), np.full(1, sd_c))
    return Lowest(float(ends.low_c[0]), float(ends.mid_c[0]), float(ends.high_c[0]))


def said(
    name: str, year: int, sd_c: float, *, every: int = 1, folder: Path = DATA
) -> Iterator[Said]:
    """Every origin of one winter."""
    table = station(name, folder)
    own = winter(table, year, max(ORIGINS) + AHEAD)
    inside = (table.index >= f"{year}-08-01") & (table.index < f"{year + 1}-08-01")
    others = table[~inside].reset_index()
    first = date(year + LATER_Y, 8, 1)
    season = make_season(
        start=date(year + LATER_Y, 11, 1),
        end=date(year + LATER_Y + 1, 5, 31),
        site=SITES[name],
        spaces=(),
    )
    for origin in list(ORIGINS)[::every]:
        days = origin + max(NIGHTS) + 2
        known = own.iloc[: origin + 1].reset_index(drop=True)
        known["date"] = pd.date_range(first, periods=origin + 1)
        outlook = make_outlook(
            season,
            known,
            others,
            today=first + timedelta(days=origin),
            horizon=Horizon(first, days),
            winters=30,
            seed=0,
        )
        for night in NIGHTS:
            at = origin + night + 1
            truth = float(own["tmin_c"].iloc[at])
            if not np.isfinite(truth):
                continue
            month_day = own.index[at].strftime("%m-%d")
            same = others["tmin_c"][others["date"].dt.strftime("%m-%d") == month_day]
            range_ = lowest(outlook.tmin_c[:, at], sd_c)
            for limit in LIMITS_C:
                yield Said(
                    night,
                    limit,
                    range_.below(limit),
                    float((same < limit).mean()),
                    truth < limit,
                )


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else DATA
    every = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for sd_c in (OUTDOORS_SD_C, 0.0):
        found = [
            one
            for name in SITES
            for year in WINTERS
            for one in said(name, year, sd_c, every=every, folder=folder)
        ]
        print(
            f"\n{len(found)} nights and limits, {sd_c:g} K for the garden's own place"
        )
        print("said          number   mean said   came")
        for low, high in pairwise(BINS):
            among = [one for one in found if low <= one.probability < high]
            if among:
                mean = np.mean([one.probability for one in among])
                came = np.mean([one.came for one in among])
                print(
                    f"{low:4.2f} to {min(high, 1):4.2f} {len(among):7} {mean:9.2f} "
                    f"{came:8.2f}"
                )
        for night in NIGHTS:
            of_night = [one for one in found if one.night == night]
            print(f"night {night + 1}: skill over the climate {skill(of_night):.2f}")


def skill(found: list[Said]) -> float:
    """1 less the mean squared error of the probabilities, against the climate's."""
    own = np.mean([(one.probability - one.came) ** 2 for one in found])
    usual = np.mean([(one.climate - one.came) ** 2 for one in found])
    return float(1 - own / usual)


if __name__ == "__main__":
    main()
