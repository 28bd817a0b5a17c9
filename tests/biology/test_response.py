"""The rate of development and the spread of a batch against what is published."""

import numpy as np
import pytest
from builders import make_needs
from hypothesis import given
from hypothesis import strategies as st

from propsched.biology.response import progress_for, rate_per_day, thermal_time

ONION = make_needs(base_c=2.5, opt_c=25, opt_to_c=28, max_c=35, sum_c_d=80)


@pytest.mark.parametrize(
    ("temp_c", "days"), [(5, 32.0), (10, 10.67), (15, 6.4), (20, 4.57)]
)
def test_below_the_optimum_days_are_the_sum_over_the_warmth_above_base(
    temp_c: float, days: float
) -> None:
    """
    Onion on paper, base 2.5 °C and 80 °C·d.

    Brewster, Onions and Other Vegetable Alliums, eq. 4.6–4.7 (Harrington 1962).
    """
    assert 1 / rate_per_day(float(temp_c), ONION) == pytest.approx(days, rel=0.002)


def test_above_the_top_the_rate_falls_in_a_straight_line_to_the_ceiling() -> None:
    """Rowse & Finch-Savage 2003: the form; figures by hand."""
    top = (25 - 2.5) / 80

    assert rate_per_day(26.5, ONION) == pytest.approx(top)
    assert rate_per_day(31.5, ONION) == pytest.approx(top / 2)
    assert rate_per_day(35.0, ONION) == 0.0
    assert rate_per_day(2.5, ONION) == 0.0


def test_without_an_end_of_the_top_the_rate_falls_from_the_optimum() -> None:
    needs = make_needs(base_c=0, opt_c=20, opt_to_c=None, max_c=40, sum_c_d=100)

    assert rate_per_day(30.0, needs) == pytest.approx(0.1)


def test_a_number_and_an_array_give_the_same() -> None:
    temps = np.linspace(-10, 45, 111)
    for function in (
        lambda t: rate_per_day(t, ONION),
        lambda t: thermal_time(t, 4.0),
    ):
        assert function(temps).tolist() == [function(float(t)) for t in temps]


@given(st.floats(-60, 60))
def test_the_rate_is_never_negative_nor_above_the_top(temp_c: float) -> None:
    assert 0 <= rate_per_day(temp_c, ONION) <= (25 - 2.5) / 80 + 1e-12


def test_half_the_plants_need_the_sum_and_more_of_them_more() -> None:
    """Quantiles of the standard normal: 1.2816 at 90 %, −1.2816 at 10 %."""
    assert progress_for(0.5, 0.3) == 1.0
    assert np.log(progress_for(0.9, 0.3)) == pytest.approx(0.3 * 1.2816, abs=1e-4)
    assert np.log(progress_for(0.1, 0.3)) == pytest.approx(-0.3 * 1.2816, abs=1e-4)
