"""Readings correct the model, for a time, and tell how sure it is."""

from datetime import date

import numpy as np
import pandas as pd
import pytest
from builders import by_day, make_space, make_zone, sine_days

from propsched.domain.quantities import Horizon
from propsched.thermal.correction import (
    NOTHING_READ,
    SWING_SD,
    Residuals,
    apply,
    as_seen,
    correct,
    offset,
    residuals,
)
from propsched.thermal.probe import DEPTH_SD_C
from propsched.thermal.spread import (
    ERRORS,
    Z80,
    ModelError,
    Part,
    error_of,
    total_range,
)

FIRST = date(2026, 11, 1)
PLAIN = ModelError(parts=(Part(1.5, 0.9),))
"""Standard deviation 1.5 K, of which 0.9 is left a day later."""


READ_SD = float(np.sqrt(0.18))
"""Probe 0.3 and depth 0.3 K."""


def seen(days, gaps, sd_c=READ_SD, common_c=0.0):
    gaps = np.asarray(gaps, float)
    return Residuals(
        days=np.asarray(days),
        gap_c=gaps,
        own_sd_c=np.full(gaps.size, sd_c),
        common_sd_c=np.full(gaps.size, common_c),
        read_c=gaps,
    )


def readings(*rows, space="border", sd_c=0.42, depth_cm=8.0):
    """Rows of (time, temperature)."""
    return pd.DataFrame(
        {
            "time": pd.to_datetime([time for time, _ in rows]),
            "space": space,
            "depth_cm": depth_cm,
            "temp_c": [float(temp) for _, temp in rows],
            "sd_c": sd_c,
        }
    )


def kalman(days, gaps, noise_var, count, error):
    """The textbook filter of a single decaying state: means and variances."""
    (part,) = error.parts
    known = dict(zip(days, gaps, strict=True))
    mean, var, out = 0.0, part.sd_c**2, []
    for day in range(count):
        if day in known:
            gain = var / (var + noise_var)
            mean, var = mean + gain * (known[day] - mean), (1 - gain) * var
        out.append((mean, var))
        mean = part.keep * mean
        var = part.keep**2 * var + part.sd_c**2 * (1 - part.keep**2)
    return np.array(out).T


def test_one_reading_worked_by_hand():
    """
    Scalar Kalman update and forecast: s 1.5, R 0.18, innovation +2.0.

    Gain P/(P + R) = 2.25/2.43 = 0.9259; mean 1.8519; variance (1 − K) P = 0.1667.
    After h days mean 0.9^h b, variance 0.9^2h P + s² (1 − 0.9^2h).
    """
    found = offset(seen([0], [2.0]), 40, PLAIN)
    assert found.mean_c[0] / 2.0 == pytest.approx(0.9259, abs=5e-5)
    assert found.mean_c[0] == pytest.approx(1.8519, abs=5e-5)
    assert found.sd_c[0] ** 2 == pytest.approx(0.1667, abs=5e-5)
    ahead = [1, 3, 7, 14]
    assert found.mean_c[ahead] == pytest.approx([1.667, 1.350, 0.886, 0.424], abs=5e-4)
    assert found.sd_c[ahead] == pytest.approx([0.750, 1.069, 1.332, 1.463], abs=5e-4)
    assert found.sd_c[39] == pytest.approx(1.5, abs=1e-3)


def test_after_the_last_reading_it_is_the_filter():
    """Gaussian conditioning and the Kalman filter agree where both look back only."""
    rng = np.random.default_rng(4)
    days = np.array([3, 4, 9, 20, 21, 35])
    gaps = rng.normal(0, 1.5, days.size)
    means, variances = kalman(days, gaps, 0.18, 60, PLAIN)
    found = offset(seen(days, gaps), 60, PLAIN)
    assert found.mean_c[35:] == pytest.approx(means[35:])
    assert found.sd_c[35:] == pytest.approx(np.sqrt(variances[35:]))


def test_days_between_readings_know_of_both():
    found = offset(seen([10, 14], [1.0, 2.0]), 30, PLAIN)
    assert 1.0 < found.mean_c[12] < 2.0
    assert found.sd_c[12] < offset(seen([10], [1.0]), 30, PLAIN).sd_c[12]
    assert found.sd_c[12] > found.sd_c[10]
    # and days before the first
    assert found.mean_c[9] == pytest.approx(0.9 * found.mean_c[10])


def test_nothing_read_leaves_the_model_and_its_error():
    found = offset(NOTHING_READ, 5, PLAIN)
    assert (found.mean_c == 0).all()
    assert found.sd_c == pytest.approx([1.5] * 5)


def test_a_constant_part_stays_when_the_other_is_forgotten():
    """With b0 of 1 K and AR(1) of 1 K one reading is shared half and half."""
    both = ModelError(parts=(Part(1.0, 1.0), Part(1.0, 0.9)))
    one = offset(seen([0], [2.0]), 200, both)
    assert one.mean_c[0] == pytest.approx(2 * 2.0 / 2.18)
    assert one.mean_c[199] == pytest.approx(one.mean_c[0] / 2, abs=1e-6)
    # ten that agree tell more of the constant
    ten = offset(seen(np.arange(0, 70, 7), [2.0] * 10), 200, both)
    assert ten.mean_c[199] > 1.5
    assert ten.sd_c[199] < one.sd_c[199] - 0.1


def test_what_the_probe_may_be_wrong_by_does_not_average_out():
    """A hundred readings of a probe with an unknown error of 0.3 K."""
    still = ModelError(parts=(Part(3.0, 1.0),))
    found = offset(seen(np.arange(100), [1.0] * 100, 0.1, common_c=0.3), 100, still)
    assert found.sd_c[50] == pytest.approx(0.3, abs=0.01)
    free = offset(seen(np.arange(100), [1.0] * 100, 0.1), 100, still)
    assert free.sd_c[50] == pytest.approx(0.01, abs=1e-3)


def test_many_errors_drawn_from_the_prior_are_held_as_often_as_said():
    """2000 invented errors, weekly readings: 80 % ranges on days of every kind."""
    rng = np.random.default_rng(7)
    error = error_of(1.5)
    every = np.arange(60.0)
    root = np.linalg.cholesky(error.covariance(every, every) + 1e-9 * np.eye(60))
    days = np.arange(2, 40, 7)
    held = np.zeros(60)
    for _ in range(2000):
        truth = root @ rng.normal(size=60)
        gaps = truth[days] + rng.normal(0, 0.4, days.size)
        found = offset(seen(days, gaps, 0.4), 60, error)
        held += np.abs(truth - found.mean_c) <= Z80 * found.sd_c
    # standard error of a share of 2000 is 0.9 %
    assert held / 2000 == pytest.approx(np.full(60, 0.8), abs=0.035)


def test_a_reading_is_set_against_the_model_at_its_hour():
    hours = np.broadcast_to(sine_days(10.0, 4.0, 10), (2, 240)).astype(np.float32)
    got = residuals(
        readings(("2026-11-03 15:30", 15.0)), hours, Horizon(FIRST, 10), 8.0
    )
    assert list(got.days) == [2]
    assert got.gap_c[0] == pytest.approx(1.0, abs=0.01)
    assert got.read_c[0] == pytest.approx(11.0, abs=0.01)
    assert got.own_sd_c[0] == pytest.approx(
        np.hypot(DEPTH_SD_C, SWING_SD * 4.0), abs=0.01
    )


def test_morning_and_afternoon_together_are_surer_of_the_day_than_either():
    hours = np.broadcast_to(sine_days(10.0, 4.0, 10), (2, 240)).astype(np.float32)
    both = readings(("2026-11-03 15:10", 14.0), ("2026-11-03 03:10", 6.0))
    got = residuals(both, hours, Horizon(FIRST, 10), 8.0)
    assert got.gap_c == pytest.approx([0.0], abs=0.01)
    assert got.own_sd_c == pytest.approx([DEPTH_SD_C], abs=0.01)


def test_a_reading_at_another_depth_is_trusted_less():
    hours = np.full((1, 240), 10.0, np.float32)
    row = ("2026-11-03 15:30", 11.0)
    here = residuals(readings(row), hours, Horizon(FIRST, 10), 8.0)
    deep = residuals(readings(row, depth_cm=20.0), hours, Horizon(FIRST, 10), 8.0)
    unsaid = residuals(readings(row, depth_cm=np.nan), hours, Horizon(FIRST, 10), 8.0)
    assert deep.own_sd_c[0] > here.own_sd_c[0] + 1
    assert unsaid.own_sd_c[0] == here.own_sd_c[0]


def test_readings_outside_the_days_modelled_are_left_out():
    hours = np.full((1, 240), 10.0, np.float32)
    rows = (("2026-10-31 12:00", 9.0), ("2026-11-11 00:00", 9.0))
    assert len(residuals(readings(*rows), hours, Horizon(FIRST, 10), 8.0)) == 0


def test_a_space_that_is_not_as_described_gets_a_wider_range():
    """Gaps of 4 K where 1 K was expected, and the other way about."""
    rng = np.random.default_rng(2)
    days = np.arange(0, 70, 5)
    far = as_seen(seen(days, rng.normal(0, 4, days.size), 0.3), error_of(1.0))
    near = as_seen(seen(days, rng.normal(0, 0.3, days.size), 0.3), error_of(1.0))
    assert far.sd_c > 1.8
    assert near.sd_c < 0.85
    # one reading hardly tells
    assert 0.8 < as_seen(seen([0], [0.0], 0.3), error_of(1.0)).sd_c < 1.0
    assert as_seen(NOTHING_READ, PLAIN) == PLAIN


def test_a_bed_is_another_thing_once_it_is_made_up():
    bed = make_space(id="hotbed", kind="hotbed", make_up=date(2026, 12, 1))
    zone = make_zone(spaces=[bed], days=60, first=FIRST)
    cold = readings(("2026-11-20 09:00", 5.0), space="hotbed")
    (found,) = correct(zone, cold)
    assert found.offset.mean_c[19] < -5
    assert (found.offset.mean_c[30:] == 0).all()
    assert found.offset.sd_c[30:] == pytest.approx(ERRORS["hotbed"].sd_c)
    hot = readings(("2026-12-10 09:00", 25.0), space="hotbed")
    (found,) = correct(zone, hot)
    assert (found.offset.mean_c[:30] == 0).all()
    assert found.offset.mean_c[39] > 8


def test_a_reading_belongs_to_the_state_the_space_was_in():
    """10 °C with the heat off, 20 °C with it on since day 10: read 21 on day 12."""
    box = make_space(id="box", kind="propagator")
    zone = make_zone(np.array([10.0, 20.0])[:, None, None], spaces=[box, box])
    states = np.zeros(zone.horizon.days, dtype=np.int64)
    states[10:] = 1
    read = readings(("2026-11-13 12:00", 21.0), space="box")
    for one in correct(zone, read, states={"box": states}):
        np.testing.assert_allclose(one.seen.gap_c, [1.0])
        assert 0.5 < one.offset.mean_c[12] < 1.0
    off = correct(zone, read)[0]
    np.testing.assert_allclose(off.seen.gap_c, [11.0])


def test_offsets_move_the_root_zone_of_their_space_alone_and_not_the_air():
    zone = make_zone(
        spaces=[make_space(), make_space(id="other")], winters=3, days=30, first=FIRST
    )
    found = correct(zone, readings(("2026-11-10 09:00", 17.0)))
    moved = apply(zone, found)
    shift = moved.root_c[0] - zone.root_c[0]
    assert by_day(shift).mean(axis=-1)[0] == pytest.approx(
        found[0].offset.mean_c, abs=1e-5
    )
    assert np.ptp(shift, axis=0).max() < 1e-5
    assert (moved.root_c[1] == zone.root_c[1]).all()
    assert (moved.air_c == zone.air_c).all()
    assert (zone.root_c == 15).all()


def test_weather_and_model_add_as_independent_errors():
    rng = np.random.default_rng(3)
    many = rng.normal(5.0, 2.0, (4001, 2))
    got = total_range(many, np.array([0.0, 1.0]), np.array([1.5, 0.0]))
    assert got.mid_c == pytest.approx([5, 6], abs=0.1)
    assert got.high_c - got.low_c == pytest.approx(
        [2 * Z80 * 2.5, 2 * Z80 * 2.0], rel=0.04
    )


def test_few_winters_still_hold_the_next_one_four_times_in_five():
    """Ranks p (K + 1): distribution-free, e.g. Wilks 1941 on tolerance limits."""
    rng = np.random.default_rng(5)
    draws = rng.normal(size=(20, 20_000))
    got = total_range(draws[:-1], np.zeros(20_000), np.zeros(20_000))
    held = (draws[-1] >= got.low_c) & (draws[-1] <= got.high_c)
    assert held.mean() == pytest.approx(0.8, abs=0.01)


def test_weather_that_the_model_damps_is_given_back():
    """Only the weather's part of the range is widened, and about the same middle."""
    many = np.random.default_rng(3).normal(5.0, 2.0, (4001, 1))
    zero, sd = np.zeros(1), np.ones(1)
    plain = total_range(many, zero, zero)
    wider = total_range(many, zero, zero, follow=1.1)
    assert wider.mid_c == plain.mid_c
    assert wider.high_c - wider.mid_c == pytest.approx(
        1.1 * (plain.high_c - plain.mid_c)
    )
    still = np.full((5, 1), 4.0)
    assert total_range(still, zero, sd, follow=1.1) == total_range(still, zero, sd)


def test_figures_are_to_explain_what_does_not_pass():
    assert error_of(2.0).passing.sd_c == pytest.approx(2.0 / np.sqrt(2))
    assert PLAIN.passing == PLAIN
