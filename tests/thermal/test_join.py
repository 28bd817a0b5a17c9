"""Forecasts with their error, and past winters that begin where this one stands."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from propsched.thermal.generator import HABIT, generate
from propsched.thermal.join import (
    FIRST_ERROR,
    LASTS_D,
    NO_SKILL_LEAD_D,
    forecast_error,
    join,
    lasting,
)

LOW = (1.6, 1.5, 2.6, 4.0, 6.6, 9.4, 11.4, 11.2, 9.2, 6.6, 3.7, 1.9)  # invented
HIGH = (7.4, 8, 10.1, 12.7, 15.8, 18.4, 20.2, 19.8, 17.4, 13.8, 10, 7.7)


def winters(count, days=60, seed=3):
    return np.stack(
        generate(LOW, HIGH, date(2026, 12, 1), days, winters=count, seed=seed)
    )


def kinds(observed, forecast, days):
    return (
        ("observed",) * observed
        + ("forecast",) * forecast
        + ("outlook",) * (days - observed - forecast)
    )


def season(pasts, observed, forecast=0, mild_k=0.0):
    """A winter of its own that knows its first days."""
    given = winters(1, pasts.shape[2], seed=99)[:, 0] + mild_k
    given[:, observed + forecast :] = np.nan
    return given


def test_forecast_error_grows_to_that_of_past_winters():
    grown = forecast_error(np.array([-3, 1, 2, 10, 30]))
    assert grown[0] == grown[1] == FIRST_ERROR
    assert grown[1] < grown[2] < 1
    assert list(grown[3:]) == [1, 1]


def test_what_is_left_of_today_s_weather():
    """As measured at two lowland stations, November to March, within 0.02."""
    left = lasting(np.array([0, 1, 2, 3, 5, 7, 10, LASTS_D + 1]))
    assert left == pytest.approx([1, 0.70, 0.46, 0.34, 0.19, 0.12, 0.07, 0], abs=0.025)


def test_the_generator_forgets_as_fast():
    """Its days keep 0.69 a day of their part of the variance, its weeks 0.95."""
    fast, slow = HABIT.fast_sd_winter_c**2, HABIT.slow_sd_winter_c**2
    lead = np.arange(1, LASTS_D + 1)
    made = fast * HABIT.fast_keep**lead + slow * HABIT.slow_keep**lead
    assert lasting(lead) == pytest.approx(made / (fast + slow), abs=0.04)


def test_observed_days_are_the_same_in_every_winter():
    pasts = winters(25)
    given = season(pasts, 20, 5)
    low, high = join(given, pasts, kinds(20, 5, 60), 19)
    assert (np.ptp(low[:, :20], axis=0) == 0).all()
    assert (high[:, :20] == given[1, :20]).all()


def test_the_mean_of_the_winters_is_the_forecast_and_their_spread_its_error():
    pasts = winters(400)
    given = season(pasts, 20, 10)
    low, high = join(given, pasts, kinds(20, 10, 60), 19)
    for lead in (1, 5, 10):
        day = 19 + lead
        assert low[:, day].mean() == pytest.approx(given[0, day])
        spread = ((low + high) / 2)[:, day].std() / pasts.mean(axis=0)[:, day].std()
        assert spread == pytest.approx(forecast_error(np.array([lead]))[0])


def test_a_mild_day_is_followed_by_mild_days_and_later_by_none():
    pasts = winters(400)
    given = season(pasts, 20)
    given[:, 19] = pasts.mean(axis=1)[:, 19] + 5.0
    low, high = join(given, pasts, kinds(20, 0, 60), 19)
    milder = ((low + high) / 2 - pasts.mean(axis=0)).mean(axis=0)
    for lead in (1, 3, 7, 14):
        left = lasting(np.array([lead]))[0]
        assert milder[19 + lead] == pytest.approx(5 * left, abs=1e-9)
    assert low[:, 19 + LASTS_D + 1 :] == pytest.approx(pasts[0][:, 34:])


def test_the_days_after_today_are_surer_than_those_of_past_winters():
    pasts = winters(400)
    low, _ = join(season(pasts, 20), pasts, kinds(20, 0, 60), 19)
    ratio = low.std(axis=0)[20:] / pasts[0].std(axis=0)[20:]
    assert ratio[0] < 0.85
    assert ratio[LASTS_D:] == pytest.approx(1.0, abs=0.05)


def test_a_forecast_to_the_day_without_skill_ends_without_a_step():
    """After it each winter goes on as its past winter does, moved by the forecast."""
    pasts = winters(50)
    given = season(pasts, 20, NO_SKILL_LEAD_D)
    last = 19 + NO_SKILL_LEAD_D
    mean = sum(join(given, pasts, kinds(20, NO_SKILL_LEAD_D, 60), 19)) / 2
    moved = mean - pasts.mean(axis=0)
    assert np.ptp(moved[:, last]) < 1e-9
    left = lasting(np.array([1]))[0]
    assert moved[:, last + 1] == pytest.approx(left * moved[:, last])


def test_a_past_winter_that_does_not_know_the_last_day_is_left_as_it_was():
    pasts = winters(5)
    pasts[:, 2, 19:25] = np.nan
    given = season(pasts, 20, 5)
    low, _ = join(given, pasts, kinds(20, 5, 60), 19)
    assert low[2, 20:25] == pytest.approx(given[0, 20:25])
    assert low[2, 25:] == pytest.approx(pasts[0, 2, 25:])


@settings(deadline=None, max_examples=30)
@drawn(st.integers(0, 59), st.integers(0, 59), st.integers(1, 30), st.integers(0, 99))
def test_no_minimum_above_its_maximum(observed, forecast, count, seed):
    forecast = min(forecast, 60 - observed)
    rng = np.random.default_rng(seed)
    pasts = np.sort(rng.normal(5, 4, (2, count, 60)), axis=0)
    given = np.sort(rng.normal(5, 4, (2, 60)), axis=0)
    given[:, observed + forecast :] = np.nan
    low, high = join(given, pasts, kinds(observed, forecast, 60), observed - 1)
    assert (low <= high).all()
    assert np.isfinite(low).all()
