"""Readings made from a place whose figures are known: are they found again?"""

from dataclasses import fields
from datetime import date

import numpy as np
import pandas as pd
import pytest
from builders import make_outlook, make_site, make_space

from propsched.domain.space import Variant
from propsched.thermal.learn import LEAST_DAYS, MOST_SD, learn
from propsched.thermal.simulate import simulate
from propsched.thermal.tuning import PRIORS, Tuning

SITE = make_site(latitude=52.0)
KNOWN_D = 126
"""Days whose weather is the same in all three winters."""


def known(outlook):
    for values in (outlook.tmin_c, outlook.tmax_c):
        values[:, :KNOWN_D] = values[0, :KNOWN_D]
    return outlook


OUTLOOK = known(make_outlook(first=date(2026, 9, 1), days=140, winters=3, spread_k=3.0))
WORK = np.ones(140, dtype=bool)


def run(space, tuning):
    """Hours of the first winter at the rooting depth."""
    zone = simulate(SITE, [Variant(space)], OUTLOOK, work_day=WORK, tunings=[tuning])
    return zone.root_c[0, 0]


def read(space, hours, days, *, seed=1, noise_c=0.3):
    """What a probe shows at nine in the morning."""
    day = np.asarray(days)
    noise = np.random.default_rng(seed).normal(0, noise_c, day.size)
    first = pd.Timestamp(OUTLOOK.horizon.first)
    return pd.DataFrame(
        {
            "time": [first + pd.Timedelta(days=int(d), hours=9) for d in day],
            "space": space.id,
            "depth_cm": space.depth_cm,
            "temp_c": hours[24 * day + 9] + noise,
            "sd_c": 0.42,
        }
    )


def learnt(space, readings, **over):
    return learn(
        SITE, [Variant(space)], OUTLOOK, readings,
        **{"today": 120, "work_day": WORK, **over},
    )  # fmt: skip


def miss(space, tuning, truth, days):
    off = (run(space, tuning) - truth).reshape(-1, 24).mean(axis=1)[days]
    return float(np.sqrt((off**2).mean()))


PLACES = {
    "windowsill": (make_space(kind="windowsill"), Tuning(room_k=3.0)),
    "mulch": (
        make_space(cover="straw", cover_cm=10.0),
        Tuning(layer=2.0, film=0.8, conductivity=1.3),
    ),
    "frame": (
        make_space(kind="cold-frame"),
        Tuning(sun=0.7, air_changes=2.5, radiation=0.85),
    ),
    "hotbed": (
        make_space(kind="hotbed", make_up=date(2026, 11, 20), area_m2=2.0),
        Tuning(decay_charge=1.7, decay_rate=1.4),
    ),
}


@pytest.mark.parametrize("name", PLACES)
def test_days_to_come_are_met_better_by_what_was_learnt(name):
    """Readings to day 120; scored on the twenty days after, no offset added."""
    space, true = PLACES[name]
    truth = run(space, true)
    days = range(81, 121, 2)
    got = learnt(space, read(space, truth, days))[space.id]
    ahead = slice(121, 140)
    before = miss(space, Tuning(), truth, ahead)
    assert before > 0.4
    assert miss(space, got, truth, ahead) < 0.75 * before


def test_a_space_as_described_is_left_nearly_so():
    """Nothing but noise to learn from."""
    space = make_space(kind="cold-frame")
    plain = run(space, Tuning())
    got = learnt(space, read(space, plain, range(63, 121, 3)))[space.id]
    assert miss(space, got, plain, slice(62, 140)) < 0.2


def test_no_figure_leaves_what_is_known_of_it():
    space = make_space(kind="cold-frame")
    absurd = run(space, Tuning()) + 25
    got = learnt(space, read(space, absurd, range(63, 121, 3)))[space.id]
    for field in fields(Tuning):
        value = getattr(got, field.name)
        moved = value if field.name.endswith("_k") else np.log(value)
        assert abs(moved) <= MOST_SD * PRIORS[field.name].sd + 1e-9


def test_few_readings_move_no_figure():
    space = make_space()
    truth = run(space, Tuning(film=0.5))
    few = read(space, truth, range(100, 100 + LEAST_DAYS - 1))
    assert learnt(space, few) == {}
    # and many on one day are one day
    day = pd.concat([read(space, truth, [100], seed=s) for s in range(20)])
    assert learnt(space, day) == {}
    assert learnt(space, few.iloc[:0]) == {}


def test_readings_of_days_without_weather_do_not_count():
    space, true = PLACES["mulch"]
    late = read(space, run(space, true), range(KNOWN_D, KNOWN_D + 12))
    assert learnt(space, late, today=139) == {}


def test_readings_of_a_bed_before_it_is_made_up_do_not_count():
    space = make_space(kind="hotbed", make_up=date(2026, 12, 20), area_m2=2.0)
    ground = run(space, Tuning())
    assert learnt(space, read(space, ground, range(40, 100, 3))) == {}


def test_an_inner_space_learns_in_the_air_of_the_outer_one():
    house = make_space(id="house", kind="glasshouse")
    sill = make_space(id="tray", kind="cold-frame", inside="house")
    both = [Variant(house), Variant(sill)]
    zone = simulate(
        SITE, both, OUTLOOK, work_day=WORK, tunings=[Tuning(), Tuning(sun=0.6)]
    )
    rows = read(sill, zone.root_c[1, 0], range(63, 121, 3))
    got = learn(SITE, both, OUTLOOK, rows, today=120, work_day=WORK)
    assert list(got) == ["tray"]


def test_the_same_readings_teach_the_same():
    space, true = PLACES["mulch"]
    rows = read(space, run(space, true), range(63, 121, 3))
    assert learnt(space, rows) == learnt(space, rows)
