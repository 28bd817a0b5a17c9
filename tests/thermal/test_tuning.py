"""Other figures than the defaults, one set for every variant."""

from dataclasses import fields

import numpy as np
import pytest
from builders import by_day, make_outlook, make_site, make_space

from propsched.domain.space import Heat, Variant
from propsched.thermal.places import make_place
from propsched.thermal.simulate import simulate
from propsched.thermal.tuning import PRIORS, Tuning, concerning, draw

DAYS = 60


def run(space, *tunings, outlook=None):
    outlook = outlook or make_outlook(days=DAYS)
    variants = [Variant(space, str(i)) for i in range(len(tunings))]
    work = np.ones(outlook.horizon.days, dtype=bool)
    return simulate(make_site(), variants, outlook, work_day=work, tunings=tunings)


def root(zone):
    return by_day(zone.root_c)[:, 0].mean(axis=-1)


def test_defaults_change_nothing():
    """A tuning of ones and noughts is the model as it is, to the last bit."""
    space = make_space(cover="straw")
    outlook = make_outlook(days=DAYS)
    plain = simulate(
        make_site(), [Variant(space)], outlook, work_day=np.ones(DAYS, dtype=bool)
    )
    got = run(space, Tuning(), Tuning(deep_k=3.0), outlook=outlook)
    assert (got.root_c[0] == plain.root_c[0]).all()
    assert (got.root_c[1] != plain.root_c[0]).any()


@pytest.mark.parametrize(
    ("over", "field", "more", "warmer"),
    [
        ({}, "radiation", 1.3, True),
        ({"kind": "windowsill"}, "wet", 1.5, False),
        ({"kind": "windowsill"}, "room_k", 2.0, True),
        ({"kind": "glasshouse"}, "sun", 1.2, True),
        ({"kind": "glasshouse"}, "air_changes", 4.0, False),
        ({"kind": "cold-frame"}, "edge", 3.0, False),
        ({}, "deep_k", 2.0, True),
    ],
)
def test_which_way_each_figure_works(over, field, more, warmer):
    """Autumn means, by reasoning about the sign."""
    zone = run(make_space(**over), Tuning(), Tuning(**{field: more}))
    change = (root(zone)[1] - root(zone)[0]).mean()
    assert change > 0.01 if warmer else change < -0.01


def test_a_shift_of_the_room_is_felt_whole():
    """A sill follows its room but for the share of outdoors in it."""
    zone = run(make_space(kind="windowsill"), Tuning(), Tuning(room_k=2.0))
    assert (root(zone)[1] - root(zone)[0])[5:] == pytest.approx(2.0, abs=0.05)


def test_ground_of_greater_resistance_swings_less():
    """Turf of more resistance halves nothing but damps the day."""
    zone = run(make_space(cover="turf"), Tuning(), Tuning(layer=3.0))
    swing = np.ptp(by_day(zone.root_c)[:, 0], axis=-1).mean(axis=-1)
    assert swing[1] < 0.8 * swing[0]


def test_measured_radiation_is_left_as_it_is():
    """The factor is on what is guessed from the range of temperature."""
    known = make_outlook(days=DAYS, solar_mj_m2=5.0)
    zone = run(make_space(), Tuning(), Tuning(radiation=1.5), outlook=known)
    assert (zone.root_c[0] == zone.root_c[1]).all()


def test_beds_burn_faster_and_longer():
    """Twice the rate is hotter soon; twice the charge is hotter in the end."""
    space = make_space(kind="hotbed", make_up=make_outlook().horizon.date(10))
    zone = run(space, Tuning(), Tuning(decay_rate=1.6), Tuning(decay_charge=1.6))
    plain, fast, full = root(zone)
    assert fast[20] > plain[20] + 1
    assert full[55] > plain[55] + 1


def test_what_concerns_a_place():
    """Figures that a place lacks are not varied."""

    def of(**over):
        space = make_space(**over)
        return concerning(make_place(space, {space.id: space}, make_site()))

    assert "room_k" not in of()
    assert {"air_changes", "edge", "sun"} <= of(kind="cold-frame")
    assert not {"radiation", "deep_k", "layer"} & of(kind="store")
    assert {"decay_rate", "decay_charge"} <= of(kind="hotbed")
    heat = Heat(set_c=20, w_per_m2=80)
    assert "base" in of(kind="heated-bench", heat=heat)
    everything = {f.name for f in fields(Tuning)}
    assert set(PRIORS) == everything


def test_guesses_spread_as_the_priors_say():
    """Log-normal factors, normal shifts; the first is the defaults."""
    guesses = draw(4000, seed=1, only=frozenset({"film", "deep_k"}))
    assert guesses[0] == Tuning()
    film = np.log([t.film for t in guesses])
    assert film.std() == pytest.approx(PRIORS["film"].sd, rel=0.05)
    assert abs(film.mean()) < 0.02
    assert np.std([t.deep_k for t in guesses]) == pytest.approx(1.0, rel=0.05)
    assert {t.conductivity for t in guesses} == {1.0}
