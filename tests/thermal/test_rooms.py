"""Sills, cupboards and sheds, and lamps in them."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from builders import by_day, make_space
from builders import run_spaces as run

from propsched.domain.space import Lamp
from propsched.thermal.rooms import shed_air, sill_air
from propsched.thermal.rootzone import RootZone


def winter(zone: RootZone) -> slice:
    return slice(zone.day(date(2026, 12, 1)), zone.day(date(2027, 2, 18)))


def space(name, kind, **over):
    return make_space(id=name, kind=kind, **over)


def test_wet_compost_on_a_sill_is_cooler_than_its_room():
    """1 to 2 K below the room (worked: evaporation), more at a cold window."""
    zone = run(space("sill", "windowsill", room_c=18.0))
    low = 18.0 - by_day(zone.root_c)[0, 0, winter(zone)].mean()
    assert 1.0 < low < 4.0


def test_a_cupboard_is_dark_and_steady():
    """No light, no swing."""
    zone = run(space("c", "warm-cupboard", room_c=22.0))
    assert zone.light_mol.max() == 0.0
    assert zone.root_c[0, 0, 24:] == pytest.approx(22.0, abs=0.1)


def test_a_shed_follows_the_air_damped():
    """Same mean as outdoors, less than half the swing."""
    zone = run(space("s", "store"))
    room, out = by_day(zone.air_c)[0, 0], by_day(zone.outdoor_c)[0]
    assert room[10:].mean() == pytest.approx(out[10:].mean(), abs=0.3)
    assert np.ptp(room, axis=-1).mean() < 0.5 * np.ptp(out, axis=-1).mean()


def test_a_lamp_adds_light_heat_and_energy():
    """5 mol and 100 W for 16 h: 1.6 kWh a day."""
    sill = space("sill", "windowsill")
    zone = run(sill, replace(sill, id="lit", lamp=Lamp(mol_m2_d=5, w=100)))
    assert zone.light_mol[1] - zone.light_mol[0] == pytest.approx(5.0, abs=1e-4)
    assert zone.kwh[1] == pytest.approx(1.6)
    assert (zone.root_c[1].mean() - zone.root_c[0].mean()) > 0.5


def test_a_shed_takes_its_lag_to_follow():
    """After one time constant 63 % of a step is through."""
    step = np.r_[np.zeros((48, 1)), np.ones((24, 1))]
    assert shed_air(step, 24.0)[-1, 0] == pytest.approx(1 - np.exp(-1))


def test_air_at_a_window():
    """A fifth of the way from the room to outdoors."""
    assert sill_air(18.0, np.array([-2.0]), 0.2) == pytest.approx([14.0])
