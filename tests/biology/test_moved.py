"""Development along several spaces adds up."""

import numpy as np
import pytest
from builders import make_needs, make_space, make_zone

from propsched.biology.climate import Climate
from propsched.biology.growth import NOT_THROUGH
from propsched.biology.moved import through_after


def climate(*root_c: float) -> Climate:
    """Spaces of constant temperature."""
    hours = np.array(root_c)[:, None, None] * np.ones((1, 1, 24 * 60))
    spaces = [make_space(id=str(i)) for i in range(len(root_c))]
    return Climate(make_zone(hours, days=60, spaces=spaces))


def test_half_the_sum_in_each_of_two_spaces() -> None:
    """100 °C·d above 2: five days at 12 °C make half, then 5 at 12 or 10 at 7."""
    needs = make_needs(base_c=2.0, sum_c_d=100.0)
    two = climate(12.0, 7.0)
    assert through_after(two, needs, [(0, 0)], quantile=0.8) == 10
    assert through_after(two, needs, [(1, 0)], quantile=0.8) == 20
    assert through_after(two, needs, [(0, 0), (1, 5)], quantile=0.8) == 15
    assert through_after(two, needs, [(1, 0), (0, 10)], quantile=0.8) == 15


def test_what_was_through_before_the_move_is_through_the_day_after() -> None:
    needs = make_needs(base_c=2.0, sum_c_d=100.0)
    assert (
        through_after(climate(12.0, 7.0), needs, [(0, 0), (1, 30)], quantile=0.5) == 31
    )


@pytest.mark.parametrize("cold_c", [2.0, -3.0])
def test_what_does_not_go_on_is_never_through(cold_c: float) -> None:
    needs = make_needs(base_c=2.0, sum_c_d=100.0)
    day = through_after(climate(12.0, cold_c), needs, [(0, 0), (1, 5)], quantile=0.8)
    assert day == NOT_THROUGH
