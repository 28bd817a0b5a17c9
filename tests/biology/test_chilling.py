"""Warm weeks, then cold weeks."""

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone

from propsched.biology.development import grow
from propsched.biology.growth import NOT_THROUGH


def chill(zone, end_day=300, **needs):
    stage = make_needs(stage="chill", sum_c_d=0, **needs)
    return grow(make_crop(stage), None, zone, end_day=end_day, quantile=0.8)[0]


def by_day(*runs, days=400):
    """Hours of (days, °C) runs, the last one held to the end."""
    temps = np.concatenate([np.full(n, float(t)) for n, t in runs])
    rest = np.full(days - temps.size, temps[-1])
    return np.repeat(np.concatenate([temps, rest]), 24)


def test_rowan_in_a_refrigerator_takes_its_weeks() -> None:
    """USDA Woody Plant Seed Manual p. 1063: 120 d at 2 °C, about 17 weeks."""
    fridge = make_zone(2.0, light_mol=0, spaces=[make_space(kind="store", room_c=2)])
    stage = chill(fridge, cold_weeks=17)

    assert abs(int(stage.booked[0, 0]) - 120) <= 3
    assert stage.success[0, 0] == pytest.approx(1.0)


def test_christmas_rose_wants_warmth_before_cold() -> None:
    """Niimi 2006: 8 weeks at 25 °C then 16 weeks at 4 °C, 24 weeks in all."""
    needs = {"warm_weeks": 8, "warm_from_c": 20, "cold_weeks": 16}
    zone = make_zone(by_day((56, 25), (344, 4)), days=400)

    assert int(chill(zone, **needs).booked[0, 0]) == 24 * 7


def test_cold_before_the_warmth_counts_for_nothing() -> None:
    needs = {"warm_weeks": 2, "warm_from_c": 15, "cold_weeks": 4}
    zone = make_zone(by_day((100, 4), (14, 20), (286, 4)), days=400)

    assert int(chill(zone, **needs).booked[0, 0]) == 100 + 14 + 28


def test_without_the_warmth_no_cold_is_enough() -> None:
    needs = {"warm_weeks": 2, "warm_from_c": 15, "cold_weeks": 1}

    assert chill(make_zone(4.0), **needs).booked[0, 0] == NOT_THROUGH


@pytest.mark.parametrize("temp_c", [-1.5, 10.5])
def test_nothing_counts_below_or_above_the_window(temp_c: float) -> None:
    assert chill(make_zone(temp_c), cold_weeks=1).booked[0, 0] == NOT_THROUGH


def test_a_spell_outside_the_window_only_delays() -> None:
    zone = make_zone(by_day((10, 4), (5, 13), (385, 4)), days=400)

    assert int(chill(zone, cold_weeks=3).booked[0, 0]) == 21 + 5


def test_outdoors_it_hangs_on_the_winter() -> None:
    """Five mild winters of ten: half get there, four fifths do not."""
    temps = np.where(np.arange(10) < 5, 4.0, 12.0)[None, :, None]
    stage = chill(make_zone(temps, winters=10), cold_weeks=10)

    assert stage.booked[0, 0] == NOT_THROUGH
    six = np.where(np.arange(10) < 6, 4.0, 12.0)[None, :, None]
    assert chill(make_zone(six, winters=10), cold_weeks=10).median[0, 0] == 70
