"""How sure a mean of days that resemble one another is."""

import os
from math import inf
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from propsched.thermal import compare as c


def walk(days, keep, rng):
    """First-order autoregression of mean 0 and sd 1 at these days."""
    out = np.empty(days.size)
    out[0] = rng.normal()
    for i in range(1, days.size):
        f = keep ** (days[i] - days[i - 1])
        out[i] = f * out[i - 1] + np.sqrt(1 - f**2) * rng.normal()
    return out


def test_effective_size_of_sixty_days_that_persist():
    """Zwiers & von Storch 1995: n (1 − r₁)/(1 + r₁), 60 days at .8 are 6.667."""
    assert c.effective_size(60, 0.8) == pytest.approx(6.667, abs=5e-4)


def test_exact_effective_size_of_sixty_days():
    """
    n²/ΣΣ r^|i−j| is 7.20; by hand from the closed sum of the variance of the mean.

    1/n_eff = [1 + 2 Σ (1 − k/n) r^k]/n, e.g. Zwiers & von Storch 1995, Eq. 6.
    """
    k = np.arange(1, 60)
    by_hand = 60 / (1 + 2 * ((1 - k / 60) * 0.8**k).sum())
    exact = c.effective_size_of(np.arange(60.0), 0.8)
    assert exact == pytest.approx(by_hand)
    assert exact == pytest.approx(7.20, abs=0.005)


def test_half_width_of_the_worked_example():
    """sd 1.2 and 6.667 independent days: ±1.154; taken for 60 it would be ±.310."""
    assert c.half_width(1.2, c.effective_size(60, 0.8), 0.95) == pytest.approx(
        1.154, abs=5e-4
    )
    assert c.half_width(1.2, 60, 0.95) == pytest.approx(0.310, abs=5e-4)
    assert c.half_width(1.2, 1.9, 0.95) == inf


def test_bias_of_the_lag_one_correlation():
    """Kendall 1954: r₁ + (1 + 4 r₁)/n; .5 of 30 days is .6."""
    assert c.unbiased(0.5, 30) == pytest.approx(0.6)
    assert c.unbiased(-0.9, 30) == 0
    assert c.unbiased(0.97, 10) == c.MOST_PERSISTENT


@pytest.mark.parametrize("keep", [0.0, 0.5, 0.8])
def test_persistence_is_found_at_any_spacing(keep):
    """Long series of known persistence, daily and with holes, found within .06."""
    rng = np.random.default_rng(3)
    daily = np.arange(2000.0)
    holes = np.sort(rng.choice(6000, 2000, replace=False)).astype(float)
    for days in (daily, holes):
        assert c.persistence(days, walk(days, keep, rng)) == pytest.approx(
            keep, abs=0.06
        )


@pytest.mark.parametrize("level", [0.80, 0.95])
@pytest.mark.parametrize(
    ("days", "keep"),
    [
        (np.arange(60.0), 0.0),
        (np.arange(60.0), 0.6),
        (np.arange(30.0), 0.4),
        (np.sort(np.random.default_rng(1).permutation(90)[:40]).astype(float), 0.7),
    ],
    ids=["60 apart", "60 that persist", "30", "40 of 90"],
)
def test_intervals_hold_the_truth_as_often_as_they_say(level, days, keep):
    """400 series of known mean: 80 % intervals hold it in 75-88 %, 95 % in 91-99."""
    rng = np.random.default_rng(7)
    hits = [
        i.low <= 0 <= i.high
        for i in (c.mean_interval(days, walk(days, keep, rng), level=level)
                  for _ in range(400))
        if i is not None
    ]  # fmt: skip
    low, high = (0.75, 0.88) if level == 0.80 else (0.91, 0.99)
    assert len(hits) == 400
    assert low <= np.mean(hits) <= high


def test_taking_days_for_independent_would_promise_too_much():
    """What the allowance is for: without it two in three hold the mean."""
    rng = np.random.default_rng(7)
    days, hits = np.arange(60.0), []
    for _ in range(400):
        x = walk(days, 0.7, rng)
        hits.append(abs(x.mean()) <= c.half_width(x.std(ddof=1), 60, 0.95))
    assert np.mean(hits) < 0.75


def test_few_days_have_no_interval():
    assert c.mean_interval(np.arange(4.0), np.array([1.0, 2, 3, 2])) is None


def test_different_probes_widen_the_interval():
    """A shared error of 0.3 K adds 1.96 × 0.3 in quadrature."""
    rng = np.random.default_rng(2)
    days = np.arange(40.0)
    x = rng.normal(size=40)
    one, two = (c.mean_interval(days, x, systematic_sd=sd) for sd in (0.0, 0.3))
    assert one is not None
    assert two is not None
    assert two.half == pytest.approx(np.hypot(one.half, 1.96 * 0.3), rel=1e-4)


def interval(**over):
    plain = {"mean": 0.3, "low": -0.7, "high": 1.3, "level": 0.95, "sd": 1.2, "n": 30,
             "n_eff": 8.0, "r1": 0.6}  # fmt: skip
    return c.Interval(**{**plain, **over})


@given(st.floats(0.05, 2.0), st.integers(8, 60))
def test_days_still_wanted_are_the_fewest_that_do(wanted, n):
    one = interval(n=n, n_eff=n / 3)
    more = c.more_days(one, wanted)
    each = one.n_eff / n

    def half(days):
        return c.half_width(one.sd, each * days, one.level)

    if more is None:
        assert half(n + 400) > wanted
    else:
        assert half(n + more) <= wanted
        assert more == 0 or half(n + more - 1) > wanted


def test_slope_on_the_air_is_that_put_in():
    """Mulch that is warmer in the cold and colder in the mild, turning at 8 °C."""
    rng = np.random.default_rng(5)
    days = np.arange(80.0)
    air = 6 + 4 * np.sin(days / 9)
    values = -0.2 * (air - 8) + 0.2 * rng.normal(size=80)
    slope = c.slope_on(days, values, air)
    assert slope is not None
    assert slope.tells
    assert slope.low < -0.2 < slope.high
    assert slope.zero_c == pytest.approx(8, abs=0.5)
    assert slope.at_cold > 0 > slope.at_mild


def test_no_slope_without_weather_to_tell_it():
    days = np.arange(20.0)
    assert c.slope_on(days, days, np.full(20, 5.0)) is None
    assert c.slope_on(days[:6], days[:6], days[:6]) is None


HERE = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("PROPSCHED_SHARED", HERE.parent / "shared")) / "data"


def two_stations():
    """Soil at 10 cm, one station less the other, each winter since 2010. [K]"""
    one, two = (
        pd.read_csv(path, parse_dates=["date"]).set_index("date")["soil_temp_10cm_c"]
        for path in sorted(DATA.glob("ie_*_daily.csv"))
    )
    apart = (one - two).dropna()
    winters = (apart[f"{y}-11-01" : f"{y + 1}-03-31"] for y in range(2010, 2025))
    return [w for w in winters if len(w) >= 130]


@pytest.mark.skipif(not DATA.is_dir(), reason="the stations' series are not here")
@pytest.mark.parametrize("level", [0.80, 0.95])
def test_two_months_of_two_real_soils_tell_of_the_winter(level):
    """
    Measured soil of two stations: the winter's mean difference from 60 days of it.

    600 draws. Intervals hold it as often as they say, within 8 in 100; taking the days
    for independent, 95 % intervals would hold it in some two of three.
    """
    rng = np.random.default_rng(0)
    hits, naive = [], []
    for winter in two_stations():
        for _ in range(40):
            start = rng.integers(0, len(winter) - 60)
            days = winter.iloc[start : start + 60]
            when = ((days.index - days.index[0]) / pd.Timedelta("1D")).to_numpy(float)
            one = c.mean_interval(when, days.to_numpy(), level=level)
            hits.append(one.low <= winter.mean() <= one.high)
            plain = c.half_width(one.sd, one.n, level)
            naive.append(abs(one.mean - winter.mean()) <= plain)
    assert len(hits) >= 400
    assert abs(np.mean(hits) - level) <= 0.08
    assert np.mean(naive) < level - 0.2
