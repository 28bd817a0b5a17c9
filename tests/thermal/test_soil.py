"""Thermal properties of soil and snow against formulas and measured tables."""

import numpy as np
import pytest

from propsched.thermal import materials as m
from propsched.thermal.snow import snow_conductivity_w_mk
from propsched.thermal.soil import capacity_j_m3k, conductivity_w_mk


@pytest.mark.parametrize(
    ("bulk", "clay", "water", "k"),
    [
        (1.35, 0.20, 0.1, 0.448),
        (1.35, 0.20, 0.2, 0.961),
        (1.35, 0.20, 0.3, 1.120),
        (1.6, 0.03, 0.1, 1.107),
        (1.6, 0.03, 0.2, 1.277),
        (1.25, 0.45, 0.2, 0.705),
        (1.25, 0.45, 0.3, 1.006),
    ],
)
def test_conductivity(bulk, clay, water, k):
    """Campbell 1985 eq. 4.20: loam, sand, clay; worked out from the formula."""
    assert conductivity_w_mk(water, bulk, clay) == pytest.approx(k, abs=6e-4)


@pytest.mark.parametrize(
    ("water", "c", "diffusivity"),
    [(0.1, 1.396, 0.321), (0.2, 1.814, 0.530), (0.3, 2.232, 0.502)],
)
def test_heat_capacity_and_diffusivity_of_loam(water, c, diffusivity):
    """1.92 f + 4.18 θ after de Vries 1963, in MJ/m³K; κ in mm²/s."""
    got = capacity_j_m3k(water, 1.35)
    assert got / 1e6 == pytest.approx(c, abs=6e-4)
    k = conductivity_w_mk(water, 1.35, 0.20)
    assert k / got * 1e6 == pytest.approx(diffusivity, abs=6e-4)


@pytest.mark.parametrize(
    ("bulk", "water", "c"), [(1.59, 0.2, 2.12), (1.59, 0.4, 2.96), (1.59, 0.0, 1.28)]
)
def test_heat_capacity_of_sand_as_tabulated(bulk, water, c):
    """De Vries 1963 in Moene & van Dam 2014, T. 2.2: porosity .40, within 10 %."""
    assert capacity_j_m3k(water, bulk) / 1e6 == pytest.approx(c, rel=0.1)


def test_how_far_two_sources_are_apart_on_sand():
    """The table has 2.1 W/m·K for sand at θ .2, Campbell 1.28: the prior is 30 %."""
    assert np.log(2.1 / conductivity_w_mk(0.2, 1.6, 0.03)) == pytest.approx(
        0.5, abs=0.05
    )


def test_the_default_loam_is_one_at_winter_moisture():
    """Both figures within 5 % of loam at θ .3."""
    loam = m.SOILS["loam"]
    assert loam.k_w_mk.value == pytest.approx(
        conductivity_w_mk(0.3, 1.35, 0.20), rel=0.05
    )
    assert loam.c_j_m3k.value == pytest.approx(capacity_j_m3k(0.3, 1.35), rel=0.05)


@pytest.mark.parametrize(
    ("density", "k"), [(100, 0.046), (200, 0.065), (300, 0.126), (400, 0.251)]
)
def test_snow(density, k):
    """Sturm et al. 1997; ten centimetres at 200 kg/m³ are 1.53 m²K/W."""
    assert snow_conductivity_w_mk(density) == pytest.approx(k, abs=6e-4)
    assert m.SNOW_K.value == pytest.approx(snow_conductivity_w_mk(200), abs=5e-4)
    assert 0.1 / snow_conductivity_w_mk(200) == pytest.approx(1.53, abs=0.01)


def test_air_carries_a_third_of_a_watt():
    """1206 J/m³K in an hour is 0.335 W per m³/h and K."""
    assert m.AIR_HEAT.value == pytest.approx(1206 / 3600, abs=5e-4)


def test_an_array_gives_what_its_scalars_give():
    """Formulas take both."""
    two = np.array([0.1, 0.3])
    assert list(conductivity_w_mk(two, 1.35, 0.2)) == [
        conductivity_w_mk(0.1, 1.35, 0.2),
        conductivity_w_mk(0.3, 1.35, 0.2),
    ]
    assert list(capacity_j_m3k(two, 1.35)) == [
        capacity_j_m3k(0.1, 1.35),
        capacity_j_m3k(0.3, 1.35),
    ]
    assert list(snow_conductivity_w_mk(np.array([100.0, 300.0]))) == [
        snow_conductivity_w_mk(100.0),
        snow_conductivity_w_mk(300.0),
    ]
