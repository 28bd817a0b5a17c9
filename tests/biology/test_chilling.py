"""Warm weeks, then cold weeks."""

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone

from propsched.biology.chilling import dormancy_broken, weeks_had
from propsched.biology.climate import Climate
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


ROSE = make_needs(
    stage="chill", warm_weeks=8, warm_from_c=20, warm_to_c=28, cold_weeks=16,
    cold_from_c=-1, cold_to_c=10,
)  # fmt: skip


def test_christmas_rose_without_its_warmth_hardly_comes() -> None:
    """Niimi et al. 2006: 95 % after 8 warm and 16 cold weeks, 10 % without the warm.
    In sample."""
    whole, cold_only = dormancy_broken(ROSE, np.array([8.0, 0.0]), np.array([16.0] * 2))

    assert whole == 1.0
    assert cold_only == pytest.approx(10 / 95, abs=0.02)


def test_seed_left_cold_too_long_is_lost_by_and_by() -> None:
    """Sweet briar, Woody Plant Seed Manual 2008 p. 977: 40 % after 450 days at 5 °C, 24
    after 570. In sample with two others."""
    briar = make_needs(stage="chill", warm_weeks=0, cold_weeks=64)
    right, long = dormancy_broken(briar, np.zeros(2), np.array([64.0, 81.0]))

    assert long / right == pytest.approx(24 / 40, abs=0.07)


def test_rowan_does_not_come_unchilled() -> None:
    """Afroze & O'Reilly 2013: none without chilling."""
    rowan = make_needs(stage="chill", cold_weeks=17)
    had = dormancy_broken(rowan, np.zeros(3), np.array([0.0, 8.5, 17.0]))

    assert had.tolist() == pytest.approx([0, 0.5, 1])


def test_cold_counts_once_the_warmth_is_complete() -> None:
    """Two cold, ten warm and five cold weeks; the first cold is before the warmth."""
    weeks = np.repeat([5.0] * 2 + [25.0] * 10 + [5.0] * 5, 7 * 24)
    climate = Climate(make_zone(weeks, days=weeks.size // 24))
    warm, cold = weeks_had(climate, ROSE, np.array([0]), climate.days)

    assert (warm[0], cold[0]) == pytest.approx((10, 5))
    assert dormancy_broken(ROSE, warm, cold)[0] == pytest.approx(5 / 16)


def test_cold_of_seed_that_never_has_its_warmth_is_counted_all_the_same() -> None:
    climate = Climate(make_zone(np.full(24 * 70, 5.0), days=70))
    warm, cold = weeks_had(climate, ROSE, np.array([7]), 70)

    assert (warm[0], cold[0]) == pytest.approx((0, 9))
