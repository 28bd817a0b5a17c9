"""Frost tolerance follows the weather, held against published plants."""

import numpy as np
import pytest
from builders import make_crop, make_needs, make_zone

from propsched.biology.development import grow
from propsched.biology.hardening import (
    frost_limit,
    hardened,
    limits_c,
    newcomer,
    settles_at,
)

SOFT_C, HARD_C = -3.0, -8.5
"""Cabbage: unhardened, and the middle of −7 to −10 °C."""


def crop(**soft: object):
    early = make_needs(**{"stage": "grow", "sum_c_d": 500, "damage_c": -2.0, **soft})
    off = make_needs(stage="harden", sum_c_d=0, days=14, damage_c=-7.0)
    return make_crop(early, off)


def test_cabbage_hardened_at_three_degrees_stands_as_published() -> None:
    """Kohn & Levitt 1965: killed at −7 to −10 °C after hardening at +3 °C. The
    middle of it is the hardened figure, so only the time is free here."""
    state = hardened(np.full(28, 3.0))[-1]

    assert -10 <= frost_limit(SOFT_C, HARD_C, state) <= -7


def test_cabbage_hardened_for_six_weeks_into_frost_stands_twenty_degrees() -> None:
    """Kohn & Levitt 1965: −20 °C after six weeks falling from +5 to −3 °C. In sample:
    the cold end of the target was set by it."""
    state = hardened(np.linspace(5.0, -3.0, 42))[-1]

    assert frost_limit(SOFT_C, HARD_C, state) == pytest.approx(-20.0, abs=1.0)


def test_most_of_it_comes_in_the_fortnight_that_hardening_off_takes() -> None:
    """7–14 days, extension pages."""
    week, fortnight = hardened(np.full(14, 3.0))[[6, 13]]

    assert 0.6 < week < 0.8
    assert fortnight > 0.9


def test_warmth_takes_it_away_the_faster_the_warmer() -> None:
    """Gusta & Fowler 1976: faster at 20 °C than at 10 and 15 °C."""
    left = []
    for warm_c in (10.0, 15.0, 20.0):
        left.append(hardened(np.r_[np.full(60, 3.0), np.full(5, warm_c)])[-1])

    assert left[0] > left[1] > left[2]
    assert left[2] < 0.25


def test_nothing_hardens_in_a_warm_house() -> None:
    assert settles_at(np.array([10.0, 15.0, 30.0])).tolist() == [0, 0, 0]
    assert hardened(np.full(50, 12.0)).max() == 0


def test_the_limits_are_those_of_the_stage_and_of_hardening_off() -> None:
    one = crop()

    assert limits_c(one, one.stages[0]) == (-2.0, -7.0)
    assert limits_c(one, one.stages[1]) == (-2.0, -7.0)
    tender = make_crop(*(make_needs(stage=s, damage_c=0.0) for s in ("grow", "harden")))
    assert limits_c(tender, tender.stages[0]) is None
    assert limits_c(make_crop(make_needs()), make_needs()) is None


def success(air_c: np.ndarray, one=None) -> float:
    zone = make_zone(np.full_like(air_c, 12.0), air_c, days=air_c.size // 24)
    first = grow(one or crop(), None, zone, end_day=20, quantile=0.8)[0]
    return float(first.success[0, 0])


def frost_on(day: int, before_c: float) -> np.ndarray:
    air = np.full(24 * 120, before_c)
    air[24 * day + 5] = -6.0
    return air


def test_a_frost_kills_the_soft_and_spares_the_hardened() -> None:
    """−6 °C: soft plants are harmed from −2, hardened ones from −7 °C."""
    assert success(frost_on(40, 3.0)) == pytest.approx(1.0)
    assert success(frost_on(40, 12.0)) == 0.0


def test_a_frost_in_the_first_days_finds_them_soft() -> None:
    """Harm from −2 °C, total 3 K below; after a day a sixth of the way is made."""
    assert success(frost_on(1, 3.0)) == 0.0
    assert success(frost_on(0, 3.0)) == 0.0


def test_day_by_day_a_frost_finds_them_harder() -> None:
    shares = [success(frost_on(day, 3.0)) for day in range(1, 30, 2)]

    assert shares == sorted(shares)
    assert 0.2 < success(frost_on(5, 3.0)) < 0.9
    assert shares[-1] == pytest.approx(1.0)


def test_a_newcomer_is_where_a_plant_left_soft_there_would_be() -> None:
    """The closed form against following such a plant day by day through cold that
    lasts and grows."""
    mean_c = np.linspace(8.0, 1.0, 60)
    resident, arrived = hardened(mean_c), 20
    fresh = hardened(mean_c[arrived:])
    days = np.arange(1, fresh.size + 1)
    told = newcomer(resident[arrived:], resident[arrived - 1], days)

    assert told == pytest.approx(fresh, abs=1e-9)


def test_nine_tenths_of_the_difference_are_gone_in_a_fortnight() -> None:
    """Hardening off takes 7 to 14 days (extension pages)."""
    week, fortnight = (float(newcomer(1.0, 1.0, days)) for days in (7, 14))

    assert 0.6 < week < 0.8
    assert fortnight > 0.9


def test_warmth_of_a_week_leaves_little_and_a_warm_day_in_the_cold_much() -> None:
    """Rapacz 2002 Ann. Bot. 89:543, oilseed rape: the loss goes with the mean of the
    days, 2/12, 12/12 and 20/20 °C in this order."""
    left = [
        hardened(np.r_[np.full(60, 2.0), np.full(7, mean_c)])[-1]
        for mean_c in (7.0, 12.0, 20.0)
    ]

    assert left == sorted(left, reverse=True)
    assert left[0] > 0.5
    assert left[1] < 0.4
    assert left[2] < 0.15


def test_what_the_crop_table_has_soft_for_good_never_hardens() -> None:
    tender = make_crop(
        make_needs(stage="grow", sum_c_d=500, damage_c=-1.0),
        make_needs(stage="harden", sum_c_d=0, days=14, damage_c=-1.0),
    )

    assert success(frost_on(40, 3.0), tender) == 0.0
