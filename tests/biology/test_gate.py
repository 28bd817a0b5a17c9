"""From when a crop may be planted out."""

from datetime import date, timedelta

import numpy as np
import pytest
from builders import make_crop, make_space, make_zone

from propsched.biology.gate import planting_out_gate, running_mean

FIRST = date(2026, 11, 1)


def springs(*last_frosts: date, frost_c: float = -2.0):
    """One winter for each date of the last night at ``frost_c``; then 8 °C."""
    days = 300
    outdoor = np.full((len(last_frosts), days), 8.0)
    for k, last in enumerate(last_frosts):
        outdoor[k, : (last - FIRST).days + 1] = frost_c
    return make_zone(
        12.0, 8.0, outdoor_c=np.repeat(outdoor, 24, axis=-1), days=days, first=FIRST,
        winters=len(last_frosts), spaces=[make_space(kind="windowsill")],
    )  # fmt: skip


def gate(zone, **crop) -> date:
    return zone.horizon.date(planting_out_gate(make_crop(**crop), zone))


def test_one_late_frost_in_ten_is_put_up_with_and_two_are_not() -> None:
    """The trade's rule: risk of frost at most one year in ten."""
    usual, late, later = date(2027, 4, 28), date(2027, 5, 12), date(2027, 5, 30)

    assert gate(springs(*[usual] * 8, late, later)) == date(2027, 5, 13)
    assert gate(springs(*[usual] * 9, later)) == date(2027, 4, 29)


def test_plants_are_a_degree_colder_than_the_screen() -> None:
    zone = springs(date(2027, 4, 28), frost_c=0.5)

    assert gate(zone, out_min_c=0.0) == date(2027, 4, 29)
    assert gate(zone, out_min_c=-0.6) == FIRST


def test_a_crop_harder_than_any_frost_may_go_out_on_the_first_day() -> None:
    assert gate(springs(date(2027, 4, 28)), out_min_c=-8.0) == FIRST


def test_frost_before_february_and_after_midsummer_is_not_asked() -> None:
    assert gate(springs(date(2027, 1, 31))) == FIRST
    assert gate(springs(date(2027, 7, 30))) == date(2027, 6, 21)


def test_a_spring_that_is_cold_to_the_end_of_what_is_known_stays_shut() -> None:
    zone = make_zone(5.0, -5.0, days=180, first=FIRST)

    assert planting_out_gate(make_crop(), zone) == 180


def test_the_soil_has_to_be_warm_in_the_median_winter() -> None:
    """Root zone 8 °C to 9 May, then 14: its five-day mean is 12.8 °C on 13 May."""
    warm = (date(2027, 5, 10) - FIRST).days
    root = np.where(np.arange(24 * 300) < 24 * warm, 8.0, 14.0)
    zone = make_zone(root, 8.0, days=300, first=FIRST, spaces=[make_space()])

    assert gate(zone, out_min_c=-8, out_soil_c=12.0) == date(2027, 5, 13)
    assert gate(zone, out_min_c=-8, out_soil_c=7.0) == FIRST


def test_under_glass_the_unheated_house_is_asked() -> None:
    outdoor = springs(date(2027, 5, 20)).outdoor_c
    house = make_space(id="house", kind="glasshouse")
    zone = make_zone(
        12.0, 4.0, outdoor_c=outdoor, days=300, first=FIRST, spaces=[house]
    )

    assert gate(zone, destination="under-glass", out_min_c=3.0) == FIRST
    assert gate(zone, destination="outdoors", out_min_c=3.0) == date(2027, 5, 21)


def test_without_a_house_under_glass_is_a_degree_above_outdoors() -> None:
    zone = springs(date(2027, 5, 20), frost_c=-0.5)

    assert gate(zone, destination="under-glass", out_min_c=0.0) == FIRST
    assert gate(zone, destination="under-glass", out_min_c=0.6) == date(2027, 5, 21)


def test_a_season_that_begins_after_midsummer_asks_the_next_spring() -> None:
    zone = make_zone(12.0, 8.0, outdoor_c=-2.0, days=200, first=date(2026, 6, 25))

    assert planting_out_gate(make_crop(), zone) == 0


@pytest.mark.parametrize(
    ("season_start", "south", "opens"),
    [
        (date(2026, 8, 1), False, date(2027, 5, 13)),
        (date(2026, 9, 1), False, date(2027, 5, 13)),
        (date(2026, 11, 1), False, date(2027, 5, 13)),
        (date(2027, 3, 1), False, date(2027, 5, 13)),
        (date(2027, 6, 25), False, date(2028, 5, 13)),
        (date(2026, 8, 1), True, date(2026, 11, 13)),
        (date(2026, 11, 1), True, date(2026, 11, 13)),
        (date(2027, 1, 2), True, date(2027, 11, 13)),
        (date(2027, 3, 1), True, date(2027, 11, 13)),
    ],
)
def test_the_first_spring_of_the_season_is_asked_and_not_that_of_the_run_up(
    season_start: date, south: bool, opens: date
) -> None:
    """
    Simulated from 92 days before the season; last frost on 12 May of every year, and
    on 12 November in the south.
    """
    days, first = 460, season_start - timedelta(days=92)
    dates = [first + timedelta(days=n) for n in range(days)]
    warm = ((11, 13), (4, 30)) if south else ((5, 13), (10, 31))
    frost = np.array([not _between((d.month, d.day), *warm) for d in dates])
    zone = make_zone(
        12.0, 8.0, outdoor_c=np.repeat(np.where(frost, -2.0, 8.0), 24), first=first,
        days=days, spaces=[make_space(kind="windowsill")],
    )  # fmt: skip
    day = planting_out_gate(make_crop(), zone, season_start=season_start, south=south)

    assert zone.horizon.date(day) == opens


def _between(day, first, last) -> bool:
    return first <= day <= last if first < last else day >= first or day <= last


def test_a_running_mean_begins_with_the_days_there_are() -> None:
    assert running_mean(np.array([1.0, 3, 5, 7]), 2) == pytest.approx([1, 2, 4, 6])
