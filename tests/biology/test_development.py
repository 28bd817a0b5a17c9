"""Lengths of stages, and what the winters make of them."""

from math import ceil

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone, sine_days
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.emergence import cells

from propsched.biology.climate import Climate
from propsched.biology.development import ends, grow, lengths_by_rank
from propsched.biology.fit import fit_cardinal
from propsched.biology.growth import (
    COLD,
    DARK,
    ENDLESS,
    FLOOR,
    HOT,
    NO_STAND,
    NOT_THROUGH,
    OPEN_AIR,
    WRONG_AIR,
)
from propsched.domain.container import Container


def days_at(needs, temp_c, days=200):
    stage = grow(
        make_crop(needs), None, make_zone(temp_c, days=days), end_day=1, quantile=0.8
    )[0]
    return int(stage.booked[0, 0])


@pytest.mark.parametrize("crop", ["carrot", "tomato", "cucumber", "pepper"])
def test_constant_warmth_takes_the_days_of_the_emergence_table(crop: str) -> None:
    """Harrington & Minges 1954: each cell, to a day or 12 %."""
    temps, days, none = cells(crop)
    f = fit_cardinal(temps, days, none)
    needs = make_needs(
        base_c=f.base_c, opt_c=f.opt_c, opt_to_c=f.opt_to_c, max_c=f.max_c,
        sum_c_d=f.sum_c_d,
    )  # fmt: skip

    for temp, expected in zip(temps, days, strict=True):
        assert days_at(needs, temp) == pytest.approx(
            expected, abs=max(1, 0.12 * expected)
        )


def test_a_stage_is_through_on_the_first_day_its_sum_is_reached() -> None:
    """100 °C·d above 2 °C, thermal time by hand: 10 K a day takes 10 days."""
    needs = make_needs(base_c=2, sum_c_d=100)

    assert days_at(needs, 12.0) == 10
    assert days_at(needs, 12.1) == 10
    assert days_at(needs, 11.9) == ceil(100 / 9.9)


def test_the_tray_factor_lengthens_a_stage_in_proportion() -> None:
    assert days_at(make_needs(tray_factor=1.5), 12.0) == 15


def test_least_days_hold_whatever_the_warmth() -> None:
    assert days_at(make_needs(days=14), 22.0) == 14
    assert days_at(make_needs(sum_c_d=0, days=10), 1.0) == 10


def test_a_stage_takes_at_least_a_day() -> None:
    assert days_at(make_needs(sum_c_d=0), 10.0) == 1


def test_nothing_is_through_below_base_above_ceiling_or_after_the_days_known() -> None:
    assert days_at(make_needs(base_c=5), 5.0) == NOT_THROUGH
    assert days_at(make_needs(max_c=38), 38.5) == NOT_THROUGH
    assert days_at(make_needs(), 12.0, days=9) == NOT_THROUGH


@pytest.mark.parametrize(("mean_c", "quicker"), [(3.0, True), (33.0, False)])
def test_swinging_days_differ_from_their_mean_near_base_and_above_the_top(
    mean_c: float, quicker: bool
) -> None:
    """
    Hour by hour, not by the mean: Wagenvoort & Bierhuizen 1977.

    Sums by hand over 24 hours with the rate function.
    """
    needs = make_needs(base_c=2, opt_c=28, opt_to_c=30, max_c=38, sum_c_d=30)
    swing = days_at(needs, sine_days(mean_c, 8.0, 200))
    steady = days_at(needs, mean_c)
    hours = mean_c + 8 * np.cos(2 * np.pi * np.arange(24) / 24)
    speed = (np.clip(hours, 2, 28) - 2) * np.clip((38 - hours) / 8, 0, 1)

    assert swing == pytest.approx(ceil(30 / speed.mean()), abs=1)
    assert (swing < 0.8 * steady) if quicker else (swing > 1.05 * steady)


def test_swinging_days_are_as_their_mean_where_the_rate_is_straight() -> None:
    needs = make_needs(base_c=2, opt_c=28, sum_c_d=300)

    assert days_at(needs, sine_days(15, 8.0, 200)) == days_at(needs, 15.0)


@given(
    temp=st.floats(-5, 22), warmer=st.floats(0, 2), base=st.floats(0, 10),
    heat_sum=st.floats(20, 400),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_a_warmer_root_zone_never_slows_a_stage_below_its_optimum(
    temp: float, warmer: float, base: float, heat_sum: float
) -> None:
    needs = make_needs(base_c=base, opt_c=24, sum_c_d=heat_sum)

    assert days_at(needs, temp + warmer, 60) <= days_at(needs, temp, 60)


@given(
    lengths=st.lists(
        st.integers(1, 400) | st.just(NOT_THROUGH), min_size=1, max_size=30
    ),
    low=st.floats(0.5, 0.95),
    more=st.floats(0, 0.4),
)
@settings(max_examples=100, deadline=None)
def test_a_greater_share_of_the_winters_never_books_fewer_days(
    lengths: list[int], low: float, more: float
) -> None:
    table = np.array(lengths)[None, :, None]
    high = min(low + more, 1.0)

    booked = lengths_by_rank(table, low)[0, 0]
    assert booked <= lengths_by_rank(table, high)[0, 0]
    assert np.mean(np.array(lengths) <= booked) >= low - 1e-9


def test_a_winter_that_never_gets_there_counts_as_endless() -> None:
    """Ten winters at 12 °C but three of frost: the median is told, 80 % is not."""
    warm = np.where(np.arange(10) < 3, 0.0, 12.0)[None, :, None]
    zone = make_zone(warm, winters=10, days=60)
    stage = grow(make_crop(), None, zone, end_day=60, quantile=0.8)[0]

    assert stage.median[0, 0] == 10
    assert stage.booked[0, 0] == NOT_THROUGH
    assert stage.why[0, 0] & ENDLESS


def test_slower_plants_follow_a_log_normal() -> None:
    """Nine in ten plants after exp(1.2816 × 0.2) times the half's heat sum."""
    climate = Climate(make_zone(12.0))
    needs = make_needs(sum_c_d=100, spread=0.2)

    half, most = (int(ends(climate, needs, 1, plants=p)[0, 0, 0]) for p in (0.5, 0.9))
    assert (half, most) == (10, ceil(10 * np.exp(1.2815516 * 0.2)))


def test_starts_after_the_season_are_refused() -> None:
    stage = grow(make_crop(), None, make_zone(12.0, days=60), end_day=30, quantile=0.8)[
        0
    ]

    assert (stage.booked[0, :30] == 10).all()
    assert (stage.booked[0, 30:] == NOT_THROUGH).all()


def test_a_start_container_of_the_batch_takes_the_place_of_the_crops() -> None:
    rows = Container(name="row")
    zone = make_zone(
        12.0, spaces=[make_space(), make_space(kind="windowsill")], days=30
    )
    stage = grow(make_crop(), rows, zone, end_day=30, quantile=0.8)[0]

    assert stage.booked[0, 0] == 10
    assert stage.booked[1, 0] == NOT_THROUGH
    assert stage.why[1, 0] == NO_STAND
    assert stage.success[1, 0] == 0


def test_hardening_off_asks_for_air_that_opens() -> None:
    needs = make_needs(stage="harden", sum_c_d=0, days=10)
    spaces = [
        make_space(kind="cold-frame"),
        make_space(kind="glasshouse", vent="shut"),
        make_space(kind="windowsill"),
    ]
    stage = grow(
        make_crop(needs), None, make_zone(10.0, spaces=spaces), end_day=9, quantile=0.8
    )[0]

    assert stage.booked[:, 0].tolist() == [10, NOT_THROUGH, NOT_THROUGH]
    assert stage.why[1:, 0].tolist() == [OPEN_AIR, OPEN_AIR]


@pytest.mark.parametrize(
    ("needs", "zone", "bit"),
    [
        ({"floor_c": 12, "rot_per_day": 0.08}, {"root_c": 6.0}, FLOOR),
        ({"damage_c": 5.0}, {"root_c": 2.5, "air_c": 2.0}, COLD),
        ({"stage": "grow", "damage_c": 2.0}, {"root_c": 9.0, "air_c": -3.0}, COLD),
        ({"hot_c": 30.0}, {"root_c": 34.0}, HOT),
        ({"light_min_mol": 5.0}, {"root_c": 12.0, "light_mol": 0.5}, DARK),
        ({"light_to_start": True}, {"root_c": 12.0, "light_mol": 0.0}, DARK),
    ],
)
def test_a_stage_that_few_come_through_is_refused_and_says_why(
    needs, zone, bit
) -> None:
    stage = grow(
        make_crop(make_needs(**needs)), None, make_zone(**zone), end_day=5, quantile=0.8
    )[0]

    assert stage.booked[0, 0] == NOT_THROUGH
    assert stage.success[0, 0] < 0.15
    assert stage.why[0, 0] & bit


@pytest.mark.parametrize(
    ("temp_c", "mol", "bit"),
    [(12.0, 0.5, DARK), (5.0, 9.0, COLD), (25.0, 9.0, WRONG_AIR)],
)
def test_damping_off_is_laid_at_what_keeps_seedlings_waiting(
    temp_c: float, mol: float, bit: int
) -> None:
    """Two years under a lid: 2 % a week, or 10 % where it is dim as well."""
    needs = make_needs(
        stage="seedling", sum_c_d=0, days=700, light_min_mol=0.6, light_want_mol=0.6
    )
    zone = make_zone(
        temp_c, light_mol=mol, days=720, spaces=[make_space(kind="propagator")]
    )
    stage = grow(make_crop(needs), None, zone, end_day=5, quantile=0.8)[0]

    assert stage.booked[0, 0] == NOT_THROUGH
    assert stage.why[0, 0] == bit


def test_the_wrong_air_is_no_lack_of_room() -> None:
    """Half of half: few come through, and more than none."""
    lid = [make_space(kind="propagator", lid=True)]
    needs = make_needs(air="dry", air_mismatch=0.1)
    stage = grow(
        make_crop(needs), None, make_zone(12.0, spaces=lid), end_day=5, quantile=0.8
    )[0]

    assert stage.booked[0, 0] == NOT_THROUGH
    assert stage.why[0, 0] == WRONG_AIR
    assert stage.success[0, 0] == pytest.approx(0.1)


def test_standing_over_is_told_only_where_the_crop_may() -> None:
    """Half will be through in the year after, so it is worth leaving."""
    needs = make_needs(base_c=0, sum_c_d=1000)
    zone = make_zone(6.0, days=200)
    over = grow(make_crop(needs, stands_over=True, method="hardwood"), None, zone,
                end_day=100, quantile=0.8)[0]  # fmt: skip
    never = grow(make_crop(needs), None, zone, end_day=100, quantile=0.8)[0]

    cold = grow(make_crop(needs, stands_over=True, method="hardwood"), None,
                make_zone(2.0, days=200), end_day=100, quantile=0.8)[0]  # fmt: skip

    assert over.over_success[0, 0] == pytest.approx(1.0)
    assert over.median[0, 0] == 167
    assert np.isnan(cold.over_success).all()
    assert np.isnan(over.over_success[0, 100:]).all()
    assert np.isnan(never.over_success).all()
