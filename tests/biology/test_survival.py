"""Each way of failing, alone."""

import numpy as np
import pytest
from builders import make_crop, make_needs, make_space, make_zone, sine_days
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.emergence import TABLE

from propsched.biology.development import grow
from propsched.biology.light import light_factor
from propsched.biology.response import rate_per_day
from propsched.biology.standing import can_stand, closeness, has_open_air
from propsched.biology.survival import damping_after, damping_before
from propsched.domain.container import Container
from propsched.files.crop_table import read_crop_table


def success(zone=None, method="seed", **needs) -> float:
    crop = make_crop(make_needs(**needs), method=method)
    zone = zone or make_zone(12.0)
    return float(grow(crop, None, zone, end_day=1, quantile=0.8)[0].success[0, 0])


def test_without_a_fault_all_come_through() -> None:
    assert success() == pytest.approx(1.0)


def test_the_final_fraction_is_the_tables_relative_to_its_best() -> None:
    """Carrot, Harrington & Minges 1954: 48 % at 5 °C, 93 % at 10 °C, best 96 %."""
    assert len(TABLE["carrot"][0]) == 7
    table = ((5, 0.48), (10, 0.93), (20, 0.96), (35, 0.74))

    assert success(make_zone(10.0), fraction=table) == pytest.approx(0.93 / 0.96)
    assert success(make_zone(5.0), fraction=table, floor_c=None, opt_c=8) == (
        pytest.approx(0.48 / 0.96, abs=0.01)
    )


def test_days_below_the_floor_rot_by_the_day() -> None:
    """100 °C·d above 2 °C at 10 °C: 13 days, each losing a twentieth."""
    zone = make_zone(10.0)

    assert success(zone, floor_c=11, rot_per_day=0.05) == pytest.approx(0.95**13)
    assert success(zone, floor_c=10, rot_per_day=0.05) == pytest.approx(1.0)


def test_seed_that_lies_too_cold_to_get_on_wastes_away_and_wood_waits() -> None:
    cold = make_zone(5.0)

    behind = 1 - (5 - 2) / (24 - 2) / 0.35
    assert success(cold) == pytest.approx((1 - 0.005) ** (34 * behind), rel=0.01)
    assert success(cold, method="hardwood") == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("air_c", "left"), [(1.0, 1), (0.0, 1), (-1.5, 0.5), (-2.4, 0.2), (-3.0, 0)]
)
def test_frost_harms_tops_from_the_damage_temperature_to_three_below(
    air_c: float, left: float
) -> None:
    zone = make_zone(12.0, air_c)

    assert success(zone, stage="grow", damage_c=0.0) == pytest.approx(left, abs=1e-3)


def test_frost_in_the_air_spares_seed_still_in_the_ground() -> None:
    zone = make_zone(12.0, -4.0)

    assert success(zone, damage_c=0.0) == pytest.approx(1.0)
    assert success(zone, damage_c=0.0, method="tip") < 0.01


def test_one_frosty_winter_of_four_costs_a_quarter() -> None:
    air = np.array([10.0, 10.0, -9.0, 10.0])[None, :, None]
    zone = make_zone(12.0, air, winters=4)

    assert success(zone, stage="grow", damage_c=0.0) == pytest.approx(0.75)


def test_frost_after_the_stage_is_through_does_not_count() -> None:
    air = np.where(np.arange(24 * 200) < 24 * 10, 5.0, -9.0)

    assert success(make_zone(12.0, air), stage="grow", damage_c=0.0) == 1.0
    assert success(make_zone(11.9, air), stage="grow", damage_c=0.0) == 0.0


def test_roots_die_in_a_frozen_pot() -> None:
    wood = {"root_kill_c": 3.0, "method": "hardwood"}

    assert success(make_zone(2.5), **wood) == pytest.approx(0.5)
    assert success(make_zone(1.9), **wood) == 0.0
    assert success(make_zone(3.5), **wood) == 1.0


def test_a_hotbed_still_heating_kills() -> None:
    assert success(make_zone(31.5), hot_c=30) == pytest.approx(0.5)
    assert success(make_zone(34.0), hot_c=30) == 0.0


def test_cold_nights_set_back_by_how_cold_they_are() -> None:
    """Ten nights 4 K below the minimum: 10 × 16 × 0.13 %."""
    air = sine_days(10.0, 4.0, 200)
    zone = make_zone(12.0, air)
    left = success(zone, stage="grow", min_c=10.0)

    assert left == pytest.approx(np.exp(-0.208), rel=1e-3)
    assert success(zone, stage="grow", min_c=6.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("space", "wish", "left"),
    [
        ({"kind": "propagator"}, "close", 1.0),
        ({"kind": "heated-bench"}, "close", 0.5),
        ({"kind": "heated-bench", "lid": True}, "close", 1.0),
        ({"kind": "heated-bench", "lid": True}, "dry", 0.5),
        ({"kind": "heated-bench"}, "dry", 1.0),
        ({"kind": "propagator"}, "open", 1.0),
    ],
)
def test_the_wrong_air_about_halves_success(space, wish: str, left: float) -> None:
    zone = make_zone(12.0, spaces=[make_space(**space)])

    assert success(zone, air=wish) == pytest.approx(left)


def test_leafy_cuttings_lose_by_waiting_unrooted() -> None:
    short, long = (success(make_zone(t), method="evergreen") for t in (22.0, 4.0))

    assert 0.9 < long < short < 1.0


def test_seedlings_damp_off_faster_in_close_dim_places() -> None:
    """2 % a week in airy, 10 % in close and dim ones (from memory of the trade)."""
    needs = {"stage": "seedling", "sum_c_d": 140, "light_min_mol": 5.0}
    lid = [make_space(kind="propagator")]
    dim = make_zone(12.0, light_mol=4.9, spaces=lid)

    assert success(make_zone(12.0), **needs) == pytest.approx(0.98**2, abs=1e-3)
    assert success(dim, **needs) < 0.82


def test_light_below_the_minimum_draws_seedlings() -> None:
    needs = make_needs(light_min_mol=5, light_want_mol=10)
    mol = np.array([1.25, 2.5, 5.0, 7.5, 10.0, 30.0])
    factor = light_factor(mol, needs)

    assert factor == pytest.approx([0, 0.3, 0.9, 0.95, 1, 1])
    assert factor.tolist() == [light_factor(float(m), needs) for m in mol]


def test_seed_that_wants_light_stays_asleep_in_the_dark() -> None:
    needs = make_needs(light_to_start=True)

    assert light_factor(0.0, needs) == 0.0
    assert light_factor(5.0, needs) == 1.0


@given(st.floats(0, 40), st.floats(0, 10))
@settings(deadline=None)
def test_more_light_never_harms(mol: float, more: float) -> None:
    needs = make_needs(light_min_mol=4, light_want_mol=9)

    assert light_factor(mol + more, needs) >= light_factor(mol, needs) - 1e-12


def test_rows_go_only_where_there_is_soil() -> None:
    row, pot = Container(name="row"), Container(name="9cm-pot")

    for kind in ("open-ground", "cold-frame", "polytunnel", "glasshouse"):
        assert can_stand(make_space(kind=kind), row)
    for kind in ("hotbed", "windowsill", "propagator", "heated-bench", "store"):
        assert not can_stand(make_space(kind=kind), row)
        assert can_stand(make_space(kind=kind), pot)


def test_nothing_stands_at_a_check_point_or_where_there_is_no_area() -> None:
    pot = Container(name="9cm-pot")

    assert not can_stand(make_space(kind="check-point"), pot)
    assert not can_stand(make_space(kind="heap", area_m2=0), pot)


def test_only_places_that_open_harden_off() -> None:
    assert has_open_air(make_space(kind="open-ground"), "harden")
    assert has_open_air(make_space(kind="cold-frame", vent="daily"), "harden")
    assert not has_open_air(make_space(kind="cold-frame", vent="shut"), "harden")
    assert not has_open_air(make_space(kind="windowsill"), "harden")
    assert has_open_air(make_space(kind="windowsill"), "prick-out")


def test_a_shut_frame_is_close_and_a_lid_overrides_the_kind() -> None:
    assert closeness(make_space(kind="cold-frame", vent="shut")) == 1.0
    assert 0 < closeness(make_space(kind="cold-frame")) < 1
    assert closeness(make_space(kind="propagator", lid=False)) == 0.0
    assert closeness(make_space(kind="open-ground")) == 0.0


def test_seed_rots_by_its_own_pace_and_not_by_the_temperature() -> None:
    """
    Leach 1947: melon, a crop of warmth, damps off before emergence most at low
    temperatures, and spinach, a crop of coolness, hardly there. Figures of the crop
    table, at 12 °C for three weeks.
    """
    paces = {}
    for name in ("watermelon", "spinach"):
        crop = read_crop_table().get(name, "seed")
        needs = next(n for n in crop.stages if n.stage == "start")
        paces[name] = rate_per_day(12.0, needs) / rate_per_day(needs.opt_c, needs)
    melon, spinach = (damping_before(np.array(paces[n])) for n in paces)

    assert melon > 0.004
    assert spinach < 0.25 * melon
    assert damping_before(np.array([0.0, 0.35, 1.0])) == pytest.approx(
        [-np.log(0.995), 0, 0]
    )


def test_damping_off_asks_for_both_close_and_dim() -> None:
    """2 % a week, 10 % in close and dim places (from memory of the trade)."""
    close, dim = np.array([0.0, 1.0, 0.0, 1.0]), np.array([False, False, True, True])

    assert damping_after(close, dim).tolist() == [0.02, 0.02, 0.02, 0.10]
