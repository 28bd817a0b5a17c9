"""Thermostats, the energy they use, and heaters of houses."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from builders import make_outlook, make_space
from builders import run_spaces as run

from propsched.domain.space import Heat
from propsched.thermal.rootzone import RootZone


def winter(zone: RootZone) -> slice:
    return slice(zone.day(date(2026, 12, 1)), zone.day(date(2027, 2, 18)))


def space(name, kind, **over):
    return make_space(id=name, kind=kind, **over)


def held(**over):
    house = space("house", "glasshouse")
    bench = space("bench", "heated-bench", inside="house", depth_cm=4.5, **over)
    return house, bench


def test_a_thermostat_holds_its_set_point():
    """With power to spare the root zone never falls below the set point."""
    zone = run(*held(heat=Heat(set_c=20, w_per_m2=400)))
    assert zone.root_c[1, :, 24:].min() == pytest.approx(20.0, abs=1e-3)


def test_energy_is_what_the_bench_loses():
    """
    A day without sun or swing: kWh by hand from (T_c − T_a) and both resistances.

    Over the cable 8.5 cm of sand at .8, below it 3.5 cm and foam of .65; the sensor
    4.5 cm deep; film 8 and 15 W/m² evaporated from the face.
    """
    still = make_outlook(days=40, tmin_c=7.0, tmax_c=7.0, solar_mj_m2=0.0)
    zone = run(*held(heat=Heat(set_c=20, w_per_m2=400)), outlook=still)
    air = float(zone.air_c[0, 0, -24:].mean())
    up = (8 * (20 - air) + 15) / (1 + 8 * 0.045 / 0.8)
    cable = 20 + up * 0.04 / 0.8
    down = (cable - air) / (1 / 0.65 + 0.035 / 0.8)
    assert zone.kwh[1, 0, -1] == pytest.approx(2.0 * 24 * (up + down) / 1000, rel=2e-3)


def test_heat_keeps_to_its_dates():
    """None before ``from``, after ``to`` or when left off; then no energy either."""
    dates = Heat(
        set_c=20, w_per_m2=200, start=date(2026, 12, 1), end=date(2026, 12, 31)
    )
    house, bench = held(heat=dates)
    off = replace(bench, id="off", heat=replace(dates, when="never"))
    zone = run(house, bench, off)
    on = np.flatnonzero(zone.kwh[1, 0] > 0)
    assert zone.horizon.date(on[0]) == date(2026, 12, 1)
    assert zone.horizon.date(on[-1]) == date(2026, 12, 31)
    assert zone.kwh[2].max() == 0.0


def test_a_lid_saves_heat():
    """A lid cuts the loss upward by some 40 % (computed); a third to a half here."""
    house, bench = held(heat=Heat(set_c=20, w_per_m2=400))
    zone = run(house, bench, replace(bench, id="lid", lid=True))
    used = zone.kwh[:, 0, winter(zone)].mean(axis=-1)
    assert 0.3 < 1 - used[2] / used[1] < 0.55


def test_a_cable_too_weak_for_its_set_point_never_rests():
    """
    A cable of 100 W/m² set to 20 in air of 3 °C, no sun: it never rests.

    The computed demonstration with winter's sun and swing has 1.96 kWh/m²·d, duty .82.
    """
    still = make_outlook(days=60, tmin_c=3.0, tmax_c=3.0, solar_mj_m2=0.0)
    _, bench = held(heat=Heat(set_c=20, w_per_m2=100))
    shed = space("house", "store", room_c=3.0)
    zone = run(shed, bench, outlook=still)
    per_m2 = float(zone.kwh[1, 0, -1]) / 2.0
    assert per_m2 == pytest.approx(2.4, abs=0.01)
    assert zone.root_c[1, 0, -1] < 20.0


def test_a_house_s_heater_holds_its_air():
    """In a glasshouse the set point is the air's, and a bench inside breathes it."""
    house = space("house", "glasshouse", heat=Heat(set_c=5, w_per_m2=300))
    _, bench = held()
    zone = run(house, bench)
    assert zone.air_c[0].min() == pytest.approx(5.0, abs=1e-3)
    assert zone.air_c[1].min() == pytest.approx(5.0, abs=0.3)
    assert zone.kwh[0].max() > 0.0
    assert zone.kwh[1].max() == 0.0
