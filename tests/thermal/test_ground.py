"""The yearly wave of the ground."""

from dataclasses import replace

import numpy as np
import pytest
from builders import make_outlook, make_site

from propsched.thermal.ground import Wave, damping_depth, kusuda, yearly_wave

WAVE = Wave(10.0, 10.0, 35.0)


@pytest.mark.parametrize(
    ("depth", "day", "want"),
    [
        (0.0, 35, 0.000),
        (0.5, 35, 2.199),
        (0.5, 100, 5.001),
        (1.0, 35, 4.227),
        (1.0, 74, 3.762),
        (2.0, 100, 6.009),
    ],
)
def test_kusuda_and_achenbach(depth, day, want):
    """Mean 10, swing 10, day 35, 0.0432 m²/d; worked out from the 1965 formula."""
    assert kusuda(depth, day, WAVE, 0.0432) == pytest.approx(want, abs=5e-4)


def test_lag_at_a_metre():
    """25.93 days after the surface."""
    days = np.arange(0, 365, 0.01)
    coldest = days[kusuda(1.0, days, WAVE, 0.0432).argmin()]
    assert coldest - 35 == pytest.approx(25.93, abs=0.02)


def test_damping_depths():
    """κ 5e-7: 0.11726 m for a day, 2.2403 m for a year; κ 2e-7 a year: 1.4169 m."""
    assert damping_depth(5e-7, 86_400) == pytest.approx(0.11726, abs=5e-6)
    assert damping_depth(5e-7, 365 * 86_400) == pytest.approx(2.2403, abs=5e-5)
    fourth = damping_depth(2e-7, 365 * 86_400)
    assert fourth == pytest.approx(1.4169, abs=5e-5)
    assert fourth * np.log(20) == pytest.approx(4.2447, abs=5e-5)


def test_an_array_gives_what_its_scalars_give():
    """Depths and days may be arrays."""
    both = kusuda(np.array([0.5, 1.0]), np.array([35, 74]), WAVE, 0.0432)
    one = [kusuda(0.5, 35, WAVE, 0.0432), kusuda(1.0, 74, WAVE, 0.0432)]
    assert list(both) == one


@pytest.mark.parametrize("days", [240, 365])
def test_the_wave_is_found_from_the_outlook(days):
    """Mean 9.5 and swing 5.5 put in come out, from a year or two thirds of one."""
    outlook = make_outlook(days=days, mean_c=9.5, swing_k=5.5)
    doy = np.array([d.timetuple().tm_yday for d in outlook.horizon], dtype=float)
    wave = yearly_wave(make_site(), doy, outlook)
    assert wave.mean_c == pytest.approx(9.5, abs=0.3)
    assert wave.swing_k == pytest.approx(5.5, abs=0.4)
    assert wave.coldest_day == pytest.approx(25, abs=5)


def test_the_site_s_normals_come_first():
    """Twelve monthly means tell the wave better than one outlook."""
    month = (np.arange(12) + 0.5) * 365 / 12
    air = 8 - 7 * np.cos(2 * np.pi * (month - 20) / 365)
    site = replace(
        make_site(), normals_tmin_c=tuple(air - 4), normals_tmax_c=tuple(air + 4)
    )
    wave = yearly_wave(site, np.arange(10.0), make_outlook(days=10))
    assert wave.mean_c == pytest.approx(8.0, abs=0.1)
    assert wave.swing_k == pytest.approx(7.0, abs=0.3)
    assert wave.coldest_day == pytest.approx(20, abs=3)
