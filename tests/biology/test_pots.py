"""Roots in pots against roots in the ground."""

from math import exp

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone

from propsched.biology.development import grow
from propsched.biology.pots import WIDTH_CM, delay_h, in_pots
from propsched.domain.container import CONTAINERS, Container


def test_the_delay_is_that_of_the_slowest_mode_of_a_cylinder() -> None:
    """
    Carslaw & Jaeger 1959, §7.6: the heart of a cylinder after a step of its wall is
    1.602 · exp(−5.783 κt/a²) from t = 0.2 a²/κ on; summed up here from the first ten
    modes of J₀ for a 17 cm pot of compost of 2·10⁻⁷ m²/s.
    """
    from scipy.special import j1, jn_zeros

    roots, seconds = jn_zeros(0, 10), 3600 * np.array([4.0, 8.0])
    fourier = 2e-7 * seconds / 0.085**2
    heart = [float((2 / (roots * j1(roots)) * np.exp(-(roots**2) * f)).sum())
             for f in fourier]  # fmt: skip

    assert heart[1] / heart[0] == pytest.approx(exp(-4.0 / delay_h(17.0)), rel=0.05)


def test_a_small_pot_follows_the_air_and_a_large_one_lags() -> None:
    step = np.r_[np.full(48, 10.0), np.full(12, -5.0)]
    small, large = (in_pots(step, width)[-1] for width in (9.0, 22.0))

    assert small == pytest.approx(-5.0, abs=0.1)
    assert small < large < 0.0
    assert in_pots(np.full(50, 4.0), 13.0).tolist() == pytest.approx([4.0] * 50)


def test_widths_are_those_of_containers() -> None:
    assert set(WIDTH_CM) <= set(CONTAINERS)


@pytest.mark.parametrize(
    ("kind", "container", "left"),
    [
        ("open-ground", "1l-pot", 0.0),
        ("open-ground", "row", 1.0),
        ("cold-frame", "1l-pot", 1.0),
    ],
)
def test_young_holly_roots_die_in_a_pot_and_not_in_the_ground(
    kind: str, container: str, left: float
) -> None:
    """
    American holly: young roots are killed at −5 °C (23 °F) and in a pot stand the
    air's cold, in the ground not (H. Mathers, Ohio State University, second-hand).
    """
    air = np.full(24 * 40, -8.0)
    wood = make_needs(
        stage="pot-up", root_kill_c=-5.0, container=Container(name=container)
    )
    zone = make_zone(6.0, air, spaces=[make_space(kind=kind)], days=40)
    stage = grow(
        make_crop(wood, method="evergreen"), None, zone, end_day=5, quantile=0.8
    )[0]

    assert stage.success[0, 0] == pytest.approx(left)
