"""Growers' answers: where one crop does best on a day, and why."""

from datetime import date

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone, sine_days

from propsched.biology.climate import Climate
from propsched.biology.explain import explain
from propsched.biology.rank import Ranked, rank_spaces
from propsched.files.crop_table import read_crop_table

FIRST, DAYS = date(2026, 10, 1), 400
SEASON_END = 273  # 1 July
MONTHLY_C = (10.4, 7.0, 5.4, 4.9, 5.6, 6.4, 8.5, 11.2, 13.8, 15.4, 14.8, 13.1)
"""Outdoor means from October on: a cool maritime place, invented."""
GROUND_K = (0.5, 0.2, -0.3, -0.2, -0.2, 0.3, 1.2, 2.0, 2.5, 2.4, 1.6, 1.2)
"""Ground at rooting depth against that: warmer but for midwinter, invented too."""
SPACES = [
    make_space(id="border", kind="open-ground"),
    make_space(id="frame", kind="cold-frame"),
    make_space(id="house", kind="glasshouse"),
    make_space(id="warm house", kind="glasshouse"),
    make_space(id="bench", kind="heated-bench", lid=True, inside="house"),
    make_space(id="cupboard", kind="warm-cupboard"),
    make_space(id="pond", kind="check-point", area_m2=0),
]


@pytest.fixture(scope="module")
def climate() -> Climate:
    """
    Five winters, each 1 K warmer than the one before.

    Frame and unheated house run 2 K above outdoors by the mean; the warm house is
    kept at 13 °C, the bench at 19 °C in the unheated house's air.
    """
    middle = [15 + 30.4 * m for m in range(14)]
    mean = np.interp(np.arange(DAYS), middle, (MONTHLY_C * 2)[:14])
    winters = np.arange(-2.0, 3.0)[:, None]
    out = np.stack([sine_days(mean + shift, 4.0, DAYS) for shift in winters[:, 0]])
    more = np.interp(np.arange(DAYS), middle, (GROUND_K * 2)[:14])
    soil = np.repeat(mean + more, 24) + winters
    warm = np.maximum(out + 2, 13)
    bench = np.maximum(soil + 2, 19)
    root = np.stack([soil, soil + 2, soil + 2, warm, bench, 0 * soil + 21, soil])
    air = np.stack([out, out + 2, out + 2, warm, out + 2, 0 * soil + 21, out])
    light = 6 - 4.5 * np.cos(2 * np.pi * (np.arange(DAYS) - 80 + 182.5) / 365)
    shares = np.array([1, 0.7, 0.6, 0.6, 0.6, 0, 1])[:, None, None]
    kwh = np.array([0, 0, 0, 20, 2, 0, 0])[:, None, None]
    zone = make_zone(
        root, air, outdoor_c=out, spaces=SPACES, winters=5, days=DAYS, first=FIRST,
        light_mol=3 * shares * light, kwh=kwh,
    )  # fmt: skip
    return Climate(zone)


def where(climate: Climate, name: str, method: str, on: date) -> dict[str, Ranked]:
    """Best first."""
    crop = read_crop_table().get(name, method)
    ranked = rank_spaces(crop, climate, climate.zone.day(on), end_day=SEASON_END)
    return {climate.zone.variants[row.variant].space.id: row for row in ranked}


def said(climate: Climate, name: str, method: str, on: date) -> str:
    crop = read_crop_table().get(name, method)
    day = climate.zone.day(on)
    rows = rank_spaces(crop, climate, day, end_day=SEASON_END)
    return " ".join(explain(crop, climate, day, rows))


def test_blackcurrant_wood_in_november_goes_outdoors_before_a_warm_house(
    climate: Climate,
) -> None:
    """
    Common practice: open ground or sand, at least as well as a frame, before a
    house above 12 °C; rooted in April or May, three weeks either way.
    """
    rows = where(climate, "blackcurrant", "hardwood", date(2026, 11, 15))
    order = list(rows)

    assert order.index("border") < order.index("frame") < order.index("warm house")
    assert rows["border"].half_by is not None
    rooted = climate.zone.horizon.date(rows["border"].half_by)
    assert date(2027, 3, 11) <= rooted <= date(2027, 6, 21)
    assert any("before the roots" in word for word in rows["warm house"].limits)
    assert "it stands in rows in the soil, and there is none" in rows["bench"].limits


def test_holly_in_november_wants_a_close_bench_then_a_frame_then_the_ground(
    climate: Climate,
) -> None:
    """
    Common practice: close bench with cool tops in 8–14 weeks, before a closed
    frame, before open ground, which is slow and stands over.
    """
    rows = where(climate, "holly", "evergreen", date(2026, 11, 15))
    order = list(rows)

    assert order.index("bench") < order.index("frame") < order.index("border")
    assert 8 * 7 <= (rows["bench"].days or 0) <= 14 * 7
    assert any("air not close" in word for word in rows["border"].limits)
    assert rows["border"].stands_over
    assert "slow: stands over" in rows["border"].limits
    assert "too dark for cuttings" in rows["cupboard"].limits


def test_french_bean_in_the_ground_in_mid_april_lies_below_its_floor(
    climate: Climate,
) -> None:
    """Common practice: refused in open ground on 15 April, in pots under cover."""
    rows = where(climate, "french bean", "seed", date(2027, 4, 15))

    assert not rows["border"].allowed
    assert any(
        word.startswith("below the sowing floor of 12 °C until ")
        for word in rows["border"].limits
    )
    assert rows["warm house"].allowed


def test_tomato_in_the_dark_is_told_to_come_out_of_it(climate: Climate) -> None:
    rows = where(climate, "tomato", "seed", date(2027, 3, 5))

    assert rows["cupboard"].allowed
    assert any("move them as soon as they show" in w for w in rows["cupboard"].limits)
    assert rows["cupboard"].days is not None
    assert rows["cupboard"].days < (rows["house"].days or 999)


def test_most_come_after_half(climate: Climate) -> None:
    for row in where(climate, "tomato", "seed", date(2027, 3, 5)).values():
        if row.half_by is not None and row.most_by is not None:
            assert row.most_by >= row.half_by


def test_nothing_is_ranked_where_nothing_can_stand(climate: Climate) -> None:
    assert "pond" not in where(climate, "tomato", "seed", date(2027, 3, 5))


def test_a_day_outside_the_season_has_no_ranking(climate: Climate) -> None:
    crop = make_crop()

    assert rank_spaces(crop, climate, -1, end_day=SEASON_END) == ()
    assert rank_spaces(crop, climate, SEASON_END, end_day=SEASON_END) == ()


def test_chilling_and_start_are_taken_one_after_the_other() -> None:
    """Two cold weeks at 8 °C, then 100 °C·d above 2 °C: 14 + 17 days."""
    crop = make_crop(make_needs(stage="chill", sum_c_d=0, cold_weeks=2), make_needs())
    climate = Climate(make_zone(8.0, spaces=[make_space()]))
    (row,) = rank_spaces(crop, climate, 0, end_day=200)

    assert row.days == 31


def test_what_is_chilled_where_it_cannot_come_up_has_to_move() -> None:
    """Two weeks at 1 °C in the store, where nothing grows; never at 15 °C."""
    spaces = [make_space(id="fridge", kind="store"), make_space(id="sill")]
    crop = make_crop(make_needs(stage="chill", sum_c_d=0, cold_weeks=2), make_needs())
    climate = Climate(make_zone(np.array([1.0, 15.0])[:, None, None], spaces=spaces))
    fridge, sill = rank_spaces(crop, climate, 0, end_day=200)

    assert (fridge.variant, fridge.days) == (0, 14)
    assert "only chilled by then: it comes up elsewhere" in fridge.limits
    assert not sill.allowed
    assert "never has its weeks of cold there" in sill.limits


def test_chilling_outdoors_is_told_as_a_chance() -> None:
    """Seven mild winters of ten."""
    temps = np.where(np.arange(10) < 3, 4.0, 12.0)[None, :, None]
    crop = make_crop(make_needs(stage="chill", sum_c_d=0, cold_weeks=2), make_needs())
    climate = Climate(make_zone(temps, winters=10, spaces=[make_space()]))
    (row,) = rank_spaces(crop, climate, 0, end_day=200)

    assert not row.allowed
    assert "has its weeks of cold in 3 winters of ten" in row.limits
    assert row.success == pytest.approx(0.3)


def test_what_is_through_on_the_day_after_the_season_is_too_late() -> None:
    """Ten days from day 0: through on day 10, and the last day has to be that one."""
    climate = Climate(make_zone(12.0))
    (late,) = rank_spaces(make_crop(), climate, 0, end_day=10)
    (timely,) = rank_spaces(make_crop(), climate, 0, end_day=11)

    assert (late.allowed, timely.allowed) == (False, True)
    assert "not through before the season ends" in late.limits


def test_in_time_in_too_few_winters_is_told_by_the_share_asked_for() -> None:
    """Seven winters of ten at 12 °C, three of them far too cold."""
    temps = np.where(np.arange(10) < 3, 2.5, 12.0)[None, :, None]
    climate = Climate(make_zone(temps, winters=10))
    (row,) = rank_spaces(make_crop(method="division"), climate, 0, end_day=150)
    (easy,) = rank_spaces(
        make_crop(method="division"), climate, 0, end_day=150, quantile=0.5
    )

    assert not row.allowed
    assert "through before the season ends in fewer than 8 winters of ten" in row.limits
    assert easy.allowed


@pytest.mark.parametrize(
    ("needs", "zone", "word"),
    [
        ({"fraction": ((10.0, 0.0), (20.0, 1.0))}, {"root_c": 17.5}, "too cool"),
        ({"fraction": ((20.0, 1.0), (30.0, 0.0))}, {"root_c": 22.5}, "too warm"),
        (
            {"fraction": ((10.0, 0.0), (20.0, 1.0)), "light_min_mol": 5.0,
             "light_want_mol": 20.0},
            {"root_c": 18.6, "light_mol": 7.0},
            "too cool",
        ),
    ],
)  # fmt: skip
def test_under_85_percent_always_says_what_costs_most(needs, zone, word) -> None:
    crop = make_crop(make_needs(**needs), method="division")
    (row,) = rank_spaces(crop, Climate(make_zone(**zone)), 0, end_day=150)

    assert 0.15 < row.success < 0.85
    assert any(limit.startswith(word) for limit in row.limits)


def test_heat_breaks_a_tie() -> None:
    spaces = [make_space(id="heated", kind="glasshouse"), make_space(id="free")]
    kwh = np.array([5.0, 0.0])[:, None, None]
    climate = Climate(make_zone(15.0, spaces=spaces, kwh=kwh))
    rows = rank_spaces(make_crop(), climate, 0, end_day=200)

    assert [row.variant for row in rows] == [1, 0]
    assert rows[1].kwh == pytest.approx(5.0 * rows[1].days)


@pytest.mark.parametrize(("method", "first"), [("hardwood", 1), ("seed", 0)])
def test_dormant_wood_leaves_sheltered_places_to_others(
    method: str, first: int
) -> None:
    """All else alike; what is not dormant takes the first of two as good."""
    spaces = [make_space(id="frame", kind="cold-frame"), make_space(id="border")]
    climate = Climate(make_zone(12.0, spaces=spaces))
    rows = rank_spaces(make_crop(method=method), climate, 0, end_day=200)

    assert rows[0].variant == first


def test_what_cannot_be_through_in_time_comes_last_and_says_so() -> None:
    spaces = [make_space(id="cold"), make_space(id="warm")]
    root = np.array([2.4, 12.0])[:, None, None]
    climate = Climate(make_zone(root, spaces=spaces))
    rows = rank_spaces(make_crop(method="division"), climate, 0, end_day=200)

    assert [row.variant for row in rows] == [1, 0]
    assert not rows[1].allowed
    assert rows[1].half_by is None
    assert "not through before the season ends" in rows[1].limits


def test_wood_is_explained_by_its_two_clocks_and_leaves_by_their_air(
    climate: Climate,
) -> None:
    wood = said(climate, "blackcurrant", "hardwood", date(2026, 11, 15))
    leaves = said(climate, "holly", "evergreen", date(2026, 11, 15))

    assert "Two clocks" in wood
    assert "close air" in leaves
    assert "Two clocks" not in leaves
    assert "border half will have rooted about" in wood
    assert "stand over" in wood
    assert "stand over" in leaves


def test_ground_warmer_than_the_air_is_told_in_kelvin() -> None:
    """Root zone 9 °C, air 6 °C over the week before."""
    wood = make_needs(bud_base_c=4, bud_sum_c_d=150, bud_sum_unchilled_c_d=300)
    crop = make_crop(wood, method="hardwood")
    for root_c, words in (
        (9.0, "3.0 K warmer than the air (9.0 °C against 6.0 °C"),
        (4.0, "2.0 K colder than the air"),
        (6.1, "as warm as the air"),
    ):
        climate = Climate(make_zone(root_c, 6.0, spaces=[make_space()]))
        text = " ".join(explain(crop, climate, 14, ()))
        assert words in text
        assert "15 November" in text
