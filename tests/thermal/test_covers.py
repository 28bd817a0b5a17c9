"""Air under glass: worked balances, vents, and what covers do over a season."""

import numpy as np
import pytest
from builders import make_site, make_space

from propsched.domain.space import Lamp
from propsched.errors import UnknownNameError
from propsched.thermal import materials as m
from propsched.thermal.covers import cover_loss, inside_air, sky_drop, vented_loss
from propsched.thermal.places import make_place, rectangle_edge
from propsched.thermal.surface import outdoor_film


@pytest.mark.parametrize(
    ("u", "ratio", "changes", "height", "loss", "air"),
    [
        (5.8, 3.0, 1.0, 2.0, 18.07, -2.91),
        (5.8, 1.25, 1.0, 0.35, 7.37, -1.43),
        (1.2, 1.25, 1.0, 0.35, 1.617, 2.75),
    ],
)
def test_a_clear_night_at_minus_5_over_ground_at_5(
    u, ratio, changes, height, loss, air
):
    """Glasshouse, frame, frame with a night mat; worked by hand at ΔL 60 W/m²."""
    h = cover_loss(u, ratio, changes, height)
    assert h == pytest.approx(loss, abs=0.005)
    got = inside_air(7.7, 5.0, h, -5.0, -sky_drop(u, 0.0, 60.0))
    assert got == pytest.approx(air, abs=0.005)


def test_single_glass_with_still_air():
    """EN ISO 6946: 1/(.13 + .04 + .004/1.0) = 5.75 W/m²K; the table takes 5.8."""
    assert m.GLAZINGS["cold-frame"].u_w_m2k.value == pytest.approx(
        1 / (0.13 + 0.04 + 0.004), abs=0.06
    )


def test_film_outdoors():
    """
    5.8 u and radiation's 4.7, at least still air's 2.8; 2 m/s where unknown.

    FAO-56: r_a = 208/u s/m (box of Eq. 6), air of 1206 J/m³K; 2 m/s is its mean of
    2000 weather stations.
    """
    assert outdoor_film(np.array([0.0, 4.0, np.nan])) == pytest.approx(
        [7.5, 27.9, 16.3]
    )
    assert m.FILM_WIND.value == pytest.approx(1206 / 208, abs=0.01)


def test_vents_hold_the_air_at_their_temperature():
    """Between shut and open the air is what the vents are set to."""
    loss = vented_loss(7.7, 15.0, 7.0, 60.0, 5.0, 120.0, 18.0)
    assert 7.0 < loss < 60.0
    assert inside_air(7.7, 15.0, loss, 5.0, 120.0) == pytest.approx(18.0)


def test_vents_do_what_they_can():
    """Too much sun: all open. Warmer outside than the vents are set: all open."""
    assert vented_loss(7.7, 15.0, 7.0, 30.0, 15.0, 500.0, 18.0) == 30.0
    assert vented_loss(7.7, 25.0, 7.0, 30.0, 20.0, 50.0, 18.0) == 30.0
    assert vented_loss(7.7, 5.0, 7.0, 30.0, 5.0, 10.0, 18.0) == 7.0


def test_an_array_gives_what_its_scalars_give():
    """Formulas of covers take both."""
    two = np.array([1.0, 2.0])
    for formula, n in [
        (cover_loss, 4),
        (sky_drop, 3),
        (inside_air, 5),
        (vented_loss, 7),
    ]:
        both = formula(*[two * (i + 1) for i in range(n)])
        one = [formula(*[x * (i + 1) for i in range(n)]) for x in (1.0, 2.0)]
        assert list(both) == one


def place_of(*spaces):
    known = {s.id: s for s in spaces}
    return make_place(spaces[0], known, make_site())


def test_light_of_a_bench_is_that_of_its_house():
    """A propagator's lid and the glass above it both take light."""
    house = make_space(id="house", kind="glasshouse")
    bench = place_of(make_space(id="b", kind="heated-bench", inside="house"), house)
    lidded = place_of(make_space(id="p", kind="propagator", inside="house"), house)
    glass = m.LIGHT_SHARE["glasshouse"].value
    assert bench.light == pytest.approx(glass)
    assert lidded.light == pytest.approx(glass * m.LID_SUN.value)
    assert place_of(make_space(id="c", kind="warm-cupboard")).light == 0.0


def test_light_given_is_taken_as_the_share_of_outdoors():
    """The owner's figure counts as it stands."""
    house = make_space(id="house", kind="glasshouse")
    own = make_space(id="b", kind="heated-bench", inside="house", light=0.4)
    assert place_of(own, house).light == 0.4


def test_lamp_power_is_per_area():
    """A lamp of 60 W over 2 m² gives 30 W/m²."""
    space = make_space(kind="windowsill", lamp=Lamp(mol_m2_d=5, w=60), area_m2=2.0)
    assert place_of(space).skin.lamp_w_m2 == 30.0


def test_a_space_inside_nothing_known_is_a_fault():
    """The message names the space and what there is."""
    with pytest.raises(UnknownNameError, match=r'"b" stands inside "gone"'):
        place_of(make_space(id="b", kind="heated-bench", inside="gone"))


def test_a_space_inside_itself_is_a_fault():
    """Also by way of another."""
    a = make_space(id="a", kind="glasshouse", inside="b")
    b = make_space(id="b", kind="glasshouse", inside="a")
    with pytest.raises(UnknownNameError, match="inside itself"):
        place_of(a, b)


def test_edge_of_a_pit():
    """1.2 × 1.8 m: 6 m around 2.16 m²."""
    assert rectangle_edge(2.16) == pytest.approx(6 / 2.16)


def test_mulch_thickness_and_snow():
    """8 cm of straw at .20 W/mK resist .4 m²K/W; a mat counts at night only."""
    straw = place_of(make_space(cover="straw")).skin
    assert straw.layer_day == straw.layer_night == pytest.approx(0.4)
    mat = place_of(make_space(cover="mat")).skin
    assert mat.layer_day == 0.0 < mat.layer_night


def test_snow_conducts_as_measured():
    """Sturm 1997: 0.138 − 1.01ρ + 3.233ρ² at .2 g/cm³, 10 cm resist 1.53 m²K/W."""
    k = 0.138 - 1.01 * 0.2 + 3.233 * 0.2**2
    assert pytest.approx(k, abs=5e-4) == m.SNOW_K.value
    assert pytest.approx(1.53, abs=0.01) == 0.1 / m.SNOW_K.value
