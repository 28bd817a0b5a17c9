"""Hourly air after Parton and Logan."""

from datetime import date

import numpy as np
import pytest
from builders import make_site

from propsched.thermal.air import by_day, by_night, hourly_air, solar_noon


def three_days():
    extremes = np.full((1, 3), 5.0), np.full((1, 3), 15.0)
    return hourly_air(*extremes, np.full(3, 12.0), np.full(3, 12.0)).reshape(3, 24)[1]


def test_equinox_day_of_5_to_15_degrees():
    """
    Sunset 11.896, warmest hour 14.975, coldest hour 5.054 °C.

    Worked out from Parton & Logan 1981 with their coefficients for 150 cm air.
    """
    day = three_days()
    assert by_day(12.0, 12.0, 5.0, 15.0) == pytest.approx(11.896, abs=5e-4)
    assert day.max() == pytest.approx(14.975, abs=5e-4)
    assert day.argmax() == 13
    assert day.min() == pytest.approx(5.054, abs=5e-4)
    assert day.argmin() == 5


def test_night_ends_in_the_minimum():
    """At sunrise less the lag the curve is at the next minimum exactly."""
    assert by_night(12.0 - 0.17, 12.0, 11.9, 5.0) == pytest.approx(5.0)


def test_noon_follows_longitude_and_zone():
    """Greenwich in UTC at 12 h within the 17 min of the equation of time."""
    doy = np.arange(1.0, 366.0)
    noon = solar_noon(make_site(longitude=0.0), doy, 2026)
    assert np.abs(noon - 12).max() < 17 / 60
    west = solar_noon(make_site(longitude=-7.5, timezone="Europe/Dublin"), doy, 2026)
    assert west - noon == pytest.approx(np.full(365, 0.5))
    assert date(2026, 2, 11).timetuple().tm_yday == 12 + 30
    assert noon.argmax() == pytest.approx(41, abs=3)  # 11 February, almanacs


def test_an_array_gives_what_its_scalars_give():
    """The two curves take scalars and arrays."""
    for curve in (by_day, by_night):
        both = curve(np.array([1.0, 2.0]), 12.0, 5.0, 9.0)
        assert list(both) == [curve(1.0, 12.0, 5.0, 9.0), curve(2.0, 12.0, 5.0, 9.0)]
