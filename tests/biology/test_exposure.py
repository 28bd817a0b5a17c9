"""Limits of one night, the same harm as over a whole stay."""

import numpy as np
import pytest
from builders import make_crop, make_needs, make_zone

from propsched.biology import survival
from propsched.biology.climate import Climate
from propsched.biology.exposure import limits_of
from propsched.biology.stay import Stays


@pytest.mark.parametrize("lowest", [-1.0, -2.0, -3.0, -3.5, -5.5])
def test_a_night_costs_what_the_same_cold_costs_a_stage(lowest: float) -> None:
    needs = make_needs(stage="seedling", damage_c=-2.0)
    crop = make_crop(needs)
    climate = Climate(make_zone(5.0, lowest, days=10))
    stage = survival.cold(climate, crop, needs, Stays(np.full((1, 1, 1), 3)))
    (limit,) = limits_of(crop, needs)
    assert limit.where == "air"
    assert 1 - limit.lost(np.array([lowest]))[0] == pytest.approx(float(stage.min()))


def test_seed_in_the_ground_is_asked_for_the_ground() -> None:
    needs = make_needs(damage_c=-2.0)
    assert limits_of(make_crop(needs), needs)[0].where == "root zone"
    cutting = make_crop(needs, method="tip")
    assert limits_of(cutting, needs)[0].where == "air"


def test_roots_in_pots_and_cold_nights_are_limits_of_their_own() -> None:
    needs = make_needs(stage="pot-up", root_kill_c=-5.0, min_c=10.0)
    harms = {x.harm: x for x in limits_of(make_crop(needs), needs)}
    assert harms["roots"].begins_c == -5.0
    assert harms["chill"].begins_c == 6.0
    assert harms["chill"].lost(np.array([6.1, 2.0, -20.0])).tolist() == [0, 0.04, 0.04]


def test_hardy_stock_has_no_limit() -> None:
    needs = make_needs(stage="pot-up")
    assert limits_of(make_crop(needs), needs) == ()


def test_leaves_stand_more_where_the_air_has_hardened_them() -> None:
    """The same limit as a stage that stands there has, once it is there long enough."""
    soft = make_needs(stage="seedling", damage_c=-2.0)
    crop = make_crop(soft, make_needs(stage="harden", damage_c=-4.0))

    def begins(hardiness: float, days: int) -> float:
        found = limits_of(crop, soft, hardiness=hardiness, days_there=days)
        return found[0].begins_c

    assert begins(1.0, 30) == -4.0
    assert begins(0.5, 30) == -3.0
    assert begins(1.0, 0) == -2.0
    assert -4.0 < begins(1.0, 7) < begins(1.0, 3) < -2.0
    air = np.full((1, 1, 24 * 40), 3.0, np.float32)
    air[..., 24 * 30 + 5] = -4.5
    climate = Climate(make_zone(5.0, air, days=40))
    left = survival.cold(climate, crop, soft, Stays(np.full((1, 1, 1), 40)))
    state = float(climate.hardiness[0, 0, 30])
    (limit,) = limits_of(crop, soft, hardiness=state, days_there=30)
    lost = float(limit.lost(np.array([-4.5]))[0])
    assert 1 - lost == pytest.approx(float(left.min()), abs=0.02)
