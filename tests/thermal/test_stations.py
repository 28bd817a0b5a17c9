"""
Open ground against measured soil temperature at two stations.

Daily mean at 10 cm, November to March, 15 winters, one set of defaults. The whole
table, with rules and regressions beside it, is printed by benchmarks/stations.py.
"""

import os
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from benchmarks.station_winters import (
    POSITIONS,
    SCORED,
    error_at,
    miss,
    modelled,
    outlook_of,
    read_station,
    regression,
    week_of_air,
    with_readings,
)

HERE = Path(__file__).resolve().parents[2]
DATA = Path(os.environ.get("PROPSCHED_SHARED", HERE.parent / "shared")) / "data"
pytestmark = pytest.mark.skipif(
    not DATA.is_dir(), reason="the stations' measured series are not here"
)
NAMES = sorted(POSITIONS)
RADIATION = ("solar_w_m2",)
EVERYTHING = ("solar_w_m2", "wind_m_s")


@cache
def station(name):
    path = DATA / f"{name}.csv"
    return read_station(path, POSITIONS[name], first=2010, wind_height_m=10)


@cache
def run(name, known=(), cover="turf", snow=True):
    one = station(name)
    depth = None if snow else np.zeros_like(one.air_c)
    return modelled(one, outlook_of(one, known, depth), cover=cover)[0]


def misses(**over):
    return [miss(run(name, **over), station(name)) for name in NAMES]


def test_from_minimum_and_maximum_alone():
    """
    At most 0.90 K over the two, where the week's mean of the air misses by 1.6.

    A regression trained on the station itself is measured beside it; the model, which
    was not, is no worse.
    """
    thumb = [miss(week_of_air(station(n)), station(n)) for n in NAMES]
    trained = [miss(regression(station(n)), station(n)) for n in NAMES]
    assert thumb == pytest.approx([1.65, 1.59], abs=0.01)
    assert np.mean(misses()) <= 0.90
    assert np.mean(misses()) <= np.mean(trained)
    assert np.mean(misses(cover="none")) <= 0.90


def test_without_any_figure_from_a_station():
    """
    The likely fall of snow was set on these stations; without snow still 0.90.

    What is left is published; that it is FAO-56's film and not that of a sheltered
    garden was chosen with these stations in view.
    """
    assert np.mean(misses(snow=False)) <= 0.90
    assert np.mean(misses()) < np.mean(misses(snow=False)) - 0.03


def test_measured_sun_and_wind_make_it_better():
    """Radiation, and then wind, where known, are worth using; at every station."""
    plain, sun, all_known = (
        misses(known=known) for known in ((), RADIATION, EVERYTHING)
    )
    for less, more in ((plain, sun), (sun, all_known)):
        assert all(b < a - 0.01 for a, b in zip(less, more, strict=True))


@pytest.mark.slow
def test_one_reading_a_week():
    """
    With 0.3 °C of random error, used only from its day on: at most 0.80 K.

    How large the model's error is and how long it lasts is taken from the other
    station; every winter starts without readings.
    """
    got = []
    for name, other in zip(NAMES, reversed(NAMES), strict=True):
        error = error_at([station(other)], [run(other)])
        rng = np.random.default_rng(1)
        read = with_readings(run(name)[None], station(name), error, rng)
        got.append(miss(read, station(name)))
    assert np.mean(got) <= 0.80
    assert np.mean(got) < np.mean(misses()) - 0.03


@pytest.mark.parametrize("name", NAMES)
def test_ground_leads_the_air_in_autumn_and_lags_in_midwinter(name):
    """The lead of ground over air, ten days around each date, within 0.6 K."""
    one, got = station(name), run(name)
    for day in (92, 106, 152, 184):  # 1 and 15 November, 31 December, 1 February
        some = slice(day - 5, day + 5)
        measured = np.nanmean((one.soil_c - one.air_c)[:, some])
        assert (got - one.air_c)[:, some].mean() == pytest.approx(measured, abs=0.6)


@pytest.mark.parametrize("name", NAMES)
def test_no_month_is_off_by_much(name):
    """Mean of each winter month over 15 winters within 0.4 K under turf."""
    off = run(name) - station(name).soil_c
    for first in range(SCORED, 243, 30):
        assert abs(np.nanmean(off[:, first : first + 30])) < 0.4
