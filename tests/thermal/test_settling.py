"""Readings on their way to rest: where they end, how surely, and when to wait."""

from math import exp, hypot, log

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from propsched.thermal.probe import resolution_sd
from propsched.thermal.settling import (
    CLOCK_SD_MIN,
    RATIO_WAIT,
    SD_MOST_C,
    STILL_SD_C,
    Settled,
    Unsettled,
    end_of_three,
    gradient_of_three,
    settle,
    time_constant,
)

EXACT = {"still_sd_c": 1e-4, "clock_sd_min": 0.0}


def curve(end: float, start: float, tau: float, minutes: list[float]) -> list[float]:
    return [end + (start - end) * exp(-t / tau) for t in minutes]


def settled(temps: list[float], minutes: list[float], **over: float) -> Settled:
    found = settle(temps, minutes, **{"resolution_c": 0.1, **over})
    assert isinstance(found, Settled), found
    return found


def test_three_readings_worked_by_hand() -> None:
    """12.0, 15.0, 16.5: steps 3 and 1.5, so 1.5 more to come in all, 18.0."""
    end, ratio = end_of_three(12.0, 15.0, 16.5)
    assert end == pytest.approx(18.0)
    assert ratio == pytest.approx(0.5)
    assert time_constant(1.0, ratio) == pytest.approx(1.443, abs=5e-4)
    assert end == pytest.approx((12 * 16.5 - 15**2) / (12 + 16.5 - 2 * 15))


def test_gradients_at_a_ratio_of_a_half() -> None:
    """(ρ², −2ρ, 1)/(1 − ρ)² = 1, −4, 4; a root sum of squares of 5.745."""
    assert gradient_of_three(0.5) == pytest.approx((1, -4, 4))
    assert hypot(*gradient_of_three(0.5)) == pytest.approx(5.7, abs=0.05)


@pytest.mark.parametrize(("digit", "sd"), [(0.1, 0.17), (0.5, 0.83)])
def test_what_the_last_digit_does_to_the_end(digit: float, sd: float) -> None:
    """A tenth gives 0.17 K, half a kelvin 0.83 K, at a ratio of a half."""
    spread = hypot(*gradient_of_three(0.5)) * resolution_sd(digit)
    assert spread == pytest.approx(sd, abs=0.005)


def test_a_time_constant_is_within_a_hundredth_after_4_6_of_them() -> None:
    assert -log(0.01) == pytest.approx(4.6, abs=0.01)
    (left,) = curve(0.0, 1.0, 2.0, [2.0 * 4.605])
    assert left == pytest.approx(0.01, abs=1e-4)


@given(st.floats(-5, 25), st.floats(1, 15), st.booleans(), st.floats(0.1, 0.9))
def test_gradients_are_those_of_the_end(
    end: float, way: float, falls: bool, ratio: float
) -> None:
    """Against central differences of the closed form."""
    start = end + way if falls else end - way
    x = np.array([end + (start - end) * ratio**k for k in range(3)])
    step = 1e-5 * way * (1 - ratio) ** 2
    for k, slope in enumerate(gradient_of_three(ratio)):
        bump = np.eye(3)[k] * step
        up, down = end_of_three(*(x + bump))[0], end_of_three(*(x - bump))[0]
        assert (up - down) / (2 * step) == pytest.approx(slope, rel=1e-3, abs=1e-3)


@given(
    end=st.floats(-5, 25),
    way=st.floats(2, 15),
    falls=st.booleans(),
    tau=st.floats(0.3, 3),
    gaps=st.lists(st.floats(0.3, 3), min_size=2, max_size=7),
)
def test_clean_sequences_end_where_they_should(
    end: float, way: float, falls: bool, tau: float, gaps: list[float]
) -> None:
    """Any times, rising or falling, three to eight readings without errors."""
    minutes = [float(t) for t in np.cumsum([0, *gaps])]
    # still moving at the second reading, and far from straight
    assume(minutes[1] < 3 * tau and minutes[-1] > 0.4 * tau)
    temps = curve(end, end + way if falls else end - way, tau, minutes)
    found = settled(temps, minutes, resolution_c=1e-4, **EXACT)
    assert found.end_c == pytest.approx(end, abs=0.02)
    assert found.tau_min == pytest.approx(tau, rel=0.02)
    assert found.how == "extrapolated"


def test_equal_intervals_and_least_squares_agree() -> None:
    """Three equal intervals go by the closed form, a hair unequal by the search."""
    temps = [12.0, 15.1, 16.4]
    closed = settled(temps, [0, 1, 2])
    searched = settled(temps, [0, 1, 2 + 1e-7])
    assert searched.end_c == pytest.approx(closed.end_c, abs=1e-4)
    assert searched.sd_c == pytest.approx(closed.sd_c, rel=1e-2)


def test_the_error_carries_rounding_scatter_and_clock() -> None:
    """For small errors that of the gradients, with the clock's as speed times time."""
    small = settled([12.0, 15.0, 16.5], [0, 1, 2], resolution_c=0.01, **EXACT)
    read = hypot(resolution_sd(0.01), 1e-4)
    assert small.sd_c == pytest.approx(hypot(*gradient_of_three(0.5)) * read, rel=0.05)
    tau = time_constant(1.0, 0.5)
    speed = 6 / tau * np.array([1, 0.5, 0.25])
    each = np.hypot(hypot(resolution_sd(0.1), STILL_SD_C), speed * CLOCK_SD_MIN)
    by_gradient = float(np.sqrt(np.sum((np.array([1, -4, 4]) * each) ** 2)))
    whole = settled([12.0, 15.0, 16.5], [0, 1, 2])
    assert by_gradient <= whole.sd_c < 1.6 * by_gradient


def test_more_readings_are_surer() -> None:
    minutes = [0.0, 1.0, 2.0, 3.0, 4.0]
    temps = [round(x, 1) for x in curve(18.0, 12.0, 1.443, minutes)]
    three, five = settled(temps[:3], minutes[:3]), settled(temps, minutes)
    assert five.sd_c < three.sd_c / 2
    assert abs(five.end_c - 18.0) < 2 * five.sd_c


def test_readings_off_the_curve_are_less_sure() -> None:
    minutes = [0.0, 1.0, 2.0, 3.0, 4.0]
    smooth = settled([12.0, 15.0, 16.5, 17.3, 17.6], minutes)
    rough = settled([12.0, 15.4, 16.2, 17.5, 17.5], minutes)
    assert rough.sd_c > 1.3 * smooth.sd_c


def test_readings_at_rest_are_averaged() -> None:
    found = settled([10.1, 10.2, 10.1, 10.2], [0, 1, 2, 3])
    assert found.how == "averaged"
    assert found.end_c == pytest.approx(10.15)
    assert found.tau_min is None


def test_at_rest_is_less_sure_the_sooner_it_is_said() -> None:
    """Three equal readings within seconds may be a slow probe's first steps."""
    soon = settled([10.1, 10.1, 10.1], [0, 0.1, 0.2])
    late = settled([10.1, 10.1, 10.1], [0, 3, 6])
    assert soon.sd_c > 3 * late.sd_c
    creeping = settle([10.0, 10.1, 10.1], [0, 0.1, 0.2], resolution_c=0.1)
    assert isinstance(creeping, Unsettled)


@pytest.mark.parametrize(
    "temps",
    [
        [10.0, 11.0, 12.0],  # straight
        [10.0, 11.0, 12.5],  # faster and faster
        [12.0, 15.0, 14.0],  # up and down
        [10.2, 10.2, 11.5],  # not begun when first read
        [10.0, 11.0, 11.97],  # ratio 0.97
        [10.0, 10.3, 10.5],  # too small a way for the last digit
        [10.0, 11.0],  # too few
        [10.0],
    ],
    ids=str,
)
def test_a_sequence_that_cannot_say_is_refused(temps: list[float]) -> None:
    found = settle(temps, [float(t) for t in range(len(temps))], resolution_c=0.1)
    assert isinstance(found, Unsettled)
    assert found.why


def test_a_high_ratio_is_told_to_wait_longer() -> None:
    """Fine readings may be good enough at 0.85; waiting is better still."""
    temps = curve(20.0, 10.0, 1 / -log(0.85), [0.0, 1.0, 2.0])
    found = settled(temps, [0, 1, 2], resolution_c=0.001, **EXACT)
    assert found.ratio == pytest.approx(0.85)
    assert found.longer_would_help
    assert not settled([12.0, 15.0, 16.5], [0, 1, 2]).longer_would_help
    assert RATIO_WAIT == 0.8


@pytest.mark.parametrize(
    ("number", "apart", "digit"),
    [(3, 1.0, 0.1), (3, 1.0, 0.5), (3, 2.0, 0.1), (4, 1.0, 0.1), (5, 0.5, 0.1),
     (6, 1.0, 0.5)],
)  # fmt: skip
def test_the_stated_error_is_honest(number: int, apart: float, digit: float) -> None:
    """
    Of the sequences that are accepted, ±1.28 sd holds the true end of 70 to 90 %.

    Time constants of 20 s to 3 min (stem probes in soil and compost, from memory),
    2 to 12 K away at first, with scatter, rounding and a clock read to 2 s.
    """
    rng = np.random.default_rng(number)
    minutes = np.arange(number) * apart
    inside, accepted = 0, 0
    for _ in range(500):
        tau = exp(rng.uniform(log(1 / 3), log(3)))
        end = rng.uniform(2, 18)
        way = rng.uniform(2, 12) * rng.choice([-1, 1])
        late = minutes + rng.normal(0, CLOCK_SD_MIN, number)
        true = end + way * np.exp(-late / tau) + rng.normal(0, STILL_SD_C, number)
        shown = np.round(true / digit) * digit
        found = settle(shown.tolist(), minutes.tolist(), resolution_c=digit)
        if isinstance(found, Settled):
            accepted += 1
            inside += abs(found.end_c - end) <= 1.28 * found.sd_c
            assert found.sd_c <= SD_MOST_C
    assert accepted > 250
    assert 0.70 <= inside / accepted <= 0.90
