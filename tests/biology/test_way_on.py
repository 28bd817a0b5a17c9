"""Seed that lies warm in one space and cold in another."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone

from propsched.biology.climate import Climate
from propsched.biology.development import grow
from propsched.biology.explain import explain
from propsched.biology.growth import NOT_THROUGH
from propsched.biology.rank import rank_spaces
from propsched.biology.way_on import first_spring
from propsched.domain.crop import Crop
from propsched.files.crop_table import read_crop_table

CROPS = read_crop_table()
WARM = make_needs(stage="warm", sum_c_d=0, warm_weeks=8, warm_from_c=20, warm_to_c=28)
COLD = make_needs(stage="chill", sum_c_d=0, cold_weeks=16)
UP = make_needs(base_c=0, sum_c_d=90, opt_c=15)
ROSE = make_crop(WARM, COLD, UP)
SILL, FRIDGE = 0, 1
SPACES = [make_space(id="sill"), make_space(id="fridge", kind="store")]


def climate(*temps: float, days: int = 420) -> Climate:
    zone = make_zone(np.array(temps)[:, None, None], spaces=SPACES, days=days)
    return Climate(zone)


def test_warm_weeks_and_cold_weeks_are_two_stays() -> None:
    """Niimi et al. 2006: 8 weeks at 25 °C, then 16 at 4 °C."""
    warm, cold, _ = grow(ROSE, None, climate(25, 4), end_day=300, quantile=0.8)

    assert (warm.booked[SILL, 0], warm.booked[FRIDGE, 0]) == (56, NOT_THROUGH)
    assert (cold.booked[FRIDGE, 56], cold.booked[SILL, 56]) == (112, NOT_THROUGH)
    assert (warm.success[SILL, 0], cold.success[FRIDGE, 56]) == (1, 1)


def test_a_warm_space_is_ranked_by_the_best_way_on_from_it() -> None:
    """8 + 16 weeks, then 90 °C·d at 25 °C, where the rate is that of 15 °C: 6 days."""
    sill, fridge = rank_spaces(ROSE, climate(25, 4), 0, end_day=300)

    assert (sill.variant, sill.days, sill.allowed) == (SILL, 7 * 24 + 6, True)
    assert sill.success == pytest.approx(1, abs=0.01)
    assert not fridge.allowed
    assert sill.limits[-1].startswith("warm until 27 December, then cold in fridge")
    assert sill.limits[-1].endswith("up in sill")
    assert "never has its weeks of warmth there" in fridge.limits


def test_cold_alone_brings_nothing() -> None:
    for row in rank_spaces(ROSE, climate(4, 4), 0, end_day=300):
        assert (row.allowed, row.success) == (False, 0)


def test_warmth_without_a_cold_space_brings_nothing() -> None:
    for row in rank_spaces(ROSE, climate(25, 15), 0, end_day=300):
        assert (row.allowed, row.success) == (False, 0)


def test_what_is_cold_until_after_the_season_stands_over_if_it_may() -> None:
    """Season of 100 days: warm for 56 of them."""
    over = replace(ROSE, stands_over=True)
    sill, _ = rank_spaces(over, climate(25, 4), 0, end_day=100)
    refused, _ = rank_spaces(ROSE, climate(25, 4), 0, end_day=100)

    assert (sill.variant, sill.stands_over, sill.allowed) == (SILL, True, True)
    assert not refused.allowed


def test_seed_that_has_its_weeks_has_to_be_brought_on() -> None:
    """Warm for 8 weeks of a season of 100 days: it may not stand warm to the end,
    unless it was sown so late that it has not had them by then."""
    over = replace(ROSE, stands_over=True)
    warm, cold, _ = grow(over, None, climate(25, 4), end_day=100, quantile=0.8)

    assert np.isnan(warm.over_success[SILL, 0])
    assert warm.over_success[SILL, 60] == 1
    assert cold.over_success[FRIDGE, 56] == 1


def test_outdoors_it_lies_through_a_summer() -> None:
    """150 cool days, then warm ones after the season's end."""
    hours = np.repeat(np.r_[np.full(150, 5.0), np.full(270, 22.0)], 24)
    zone = make_zone(
        hours, spaces=[make_space(id="border", kind="open-ground")], days=420
    )
    over = replace(ROSE, stands_over=True)
    (row,) = rank_spaces(over, Climate(zone), 0, end_day=120)

    assert (row.stands_over, row.allowed) == (True, True)
    assert row.limits == ("lies a summer there: up in spring 2028 at the earliest",)


def test_a_place_without_a_summer_keeps_it_for_ever() -> None:
    over = replace(ROSE, stands_over=True)
    for row in rank_spaces(over, climate(10, 4), 0, end_day=200):
        assert not row.allowed


@pytest.mark.parametrize(
    ("sown", "south", "year"),
    [(date(2026, 11, 15), False, 2028), (date(2027, 2, 1), False, 2028),
     (date(2027, 5, 20), False, 2028), (date(2027, 5, 20), True, 2028),
     (date(2027, 12, 1), True, 2029)],
)  # fmt: skip
def test_the_spring_after_the_summer_it_lies_through(
    sown: date, south: bool, year: int
) -> None:
    """Common practice of seed beds: sown in autumn it is up in its second spring."""
    assert first_spring(sown, south=south) == year


@pytest.mark.parametrize(
    "name", ["hawthorn", "ash", "holly", "spindle", "field maple", "christmas rose"]
)
def test_seed_that_is_known_to_want_warmth_first_has_a_stage_for_it(name: str) -> None:
    """Woody Plant Seed Manual 2008; Niimi et al. 2006."""
    crop = CROPS.get(name, "seed")

    assert [needs.stage for needs in crop.stages][:3] == ["warm", "chill", "start"]
    assert crop.stages[0].warm_weeks > 0
    assert crop.stages[1].warm_weeks == 0


def early(crop: Crop) -> Crop:
    return replace(crop, stages=crop.stages[:3])


def test_ash_of_the_table_comes_up_from_a_warm_and_a_cold_space() -> None:
    """11 weeks at 20 °C, then 11 at 4 °C (Woody Plant Seed Manual p. 542, 61 %
    of what 9 to 13 of each bring)."""
    ash = early(CROPS.get("ash", "seed"))
    zone = make_zone(
        np.array([20.0, 4.0, 10.0])[:, None, None], days=420,
        spaces=[*SPACES, make_space(id="frame", kind="cold-frame")],
    )  # fmt: skip
    first = rank_spaces(ash, Climate(zone), 0, end_day=300)[0]

    assert (first.variant, first.allowed) == (SILL, True)
    assert first.days is not None
    assert first.days > 22 * 7
    assert first.limits[-1].endswith("up in frame")


def test_why_says_what_is_asked_for_first() -> None:
    said = explain(ROSE, climate(25, 4), 0, ())

    assert any(
        "first for 8 weeks at 20 °C to 28 °C, then for 16 weeks" in s for s in said
    )
