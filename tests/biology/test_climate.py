"""Hours made ready, days summed up, stays read off."""

import numpy as np
import pytest
from builders import make_needs, make_space, make_zone, sine_days
from hypothesis import given, settings
from hypothesis import strategies as st

from propsched.biology.climate import Climate
from propsched.biology.response import rate_per_day
from propsched.biology.stay import Minima, Stays, first_reaching, sums

RNG = np.random.default_rng(5)


def test_daily_rates_are_the_mean_of_the_hours_rates() -> None:
    """To the tenth of a kelvin the hours are kept in."""
    root = sine_days(6.0, 7.0, 10)
    needs = make_needs()
    by_hand = rate_per_day(root, needs).reshape(-1, 24).mean(axis=-1)

    rates = Climate(make_zone(root, days=10)).rates(needs)[0, 0]
    assert rates == pytest.approx(by_hand, rel=0.01)


def test_a_share_of_air_is_felt_hour_by_hour() -> None:
    air, root = sine_days(4.0, 8.0, 5), 12.0
    needs = make_needs(share_air=0.7)
    felt = 0.7 * air + 0.3 * root

    rates = Climate(make_zone(root, air, days=5)).rates(needs)[0, 0]
    assert rates == pytest.approx(
        rate_per_day(felt, needs).reshape(-1, 24).mean(axis=-1), rel=0.01
    )


def test_days_have_their_mean_least_and_most_hour() -> None:
    climate = Climate(make_zone(sine_days(6.0, 4.0, 3), 1.0, days=3))

    assert climate.root_mean_c[0, 0] == pytest.approx(6.0, abs=1e-4)
    assert climate.root_min_c[0, 0] == pytest.approx(2.0, abs=1e-4)
    assert climate.root_max_c[0, 0] == pytest.approx(10.0, abs=1e-4)
    assert climate.air_mean_c.shape == (1, 1, 3)
    assert climate.outdoor_min_c.shape == (1, 3)


def test_progress_is_kept_apart_for_needs_that_differ() -> None:
    climate = Climate(make_zone(12.0, 4.0, days=10))
    slow, air = make_needs(tray_factor=2), make_needs(share_air=1)

    assert climate.progress(make_needs())[0, 0, -1] == pytest.approx(1.0, rel=1e-5)
    assert climate.progress(slow)[0, 0, -1] == pytest.approx(0.5, rel=1e-5)
    assert climate.progress(air)[0, 0, -1] == pytest.approx(0.2, rel=1e-5)


def test_more_rates_than_are_kept_still_come_right() -> None:
    climate = Climate(make_zone(12.0, days=10))
    for base in np.linspace(0, 8, 60):
        needs = make_needs(base_c=float(base))
        expected = (12 - base) / 10
        assert climate.progress(needs)[0, 0, -1] == pytest.approx(expected, rel=1e-4)


@given(start=st.integers(0, 39), length=st.integers(1, 40), seed=st.integers(0, 99))
@settings(max_examples=80, deadline=None)
def test_a_stay_reads_the_least_day_and_the_sum_of_its_days(
    start: int, length: int, seed: int
) -> None:
    daily = np.random.default_rng(seed).normal(size=(2, 3, 40)).astype(np.float32)
    end = np.broadcast_to(np.arange(40), (2, 3, 40)).copy()
    end[..., start] = last = min(start + length, 40)
    stays = Stays(end)

    inside = daily[..., start:last]
    assert stays.least(Minima(daily))[..., start] == pytest.approx(inside.min(axis=-1))
    assert stays.total(sums(daily))[..., start] == pytest.approx(
        inside.sum(axis=-1), abs=1e-4
    )
    assert stays.mean(sums(daily))[..., start] == pytest.approx(
        inside.mean(axis=-1), abs=1e-4
    )


def test_an_empty_stay_has_no_least_day_and_no_sum() -> None:
    daily = np.ones((1, 1, 4), np.float32)
    stays = Stays(np.arange(4)[None, None, :])

    assert np.isinf(stays.least(Minima(daily))).all()
    assert (stays.mean(sums(daily)) == 0).all()


def test_a_sum_is_reached_on_its_first_day_or_never() -> None:
    growing = sums(np.full((1, 1, 5), 0.2))
    target = np.array([[[0.2, 0.4, 0.41, 1.0, 1.1]]])

    assert first_reaching(growing, target)[0, 0].tolist() == [1, 2, 3, 5, 6]


def test_winters_and_variants_are_kept_apart() -> None:
    root = RNG.uniform(0, 20, (2, 3, 24 * 30))
    spaces = [make_space(), make_space(id="frame")]
    climate = Climate(make_zone(root, days=30, winters=3, spaces=spaces))
    needs = make_needs()
    by_hand = rate_per_day(root, needs).reshape(2, 3, 30, 24).mean(axis=-1)

    assert climate.rates(needs) == pytest.approx(by_hand, rel=0.02)
