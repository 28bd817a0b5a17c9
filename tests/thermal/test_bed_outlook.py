"""When a hotbed can be sown and how long it serves."""

from datetime import date

import numpy as np
import pytest
from builders import make_outlook, make_site, make_space

from propsched.domain.space import Variant
from propsched.thermal import bed_outlook as bo
from propsched.thermal import guesses
from propsched.thermal.guesses import Rotting

MADE = date(2027, 2, 9)
OUTLOOK = make_outlook(first=date(2026, 11, 1), days=230, winters=3, spread_k=2.0)
WORK = np.ones(230, dtype=bool)


def bed(**over):
    plain = {"id": "bed", "kind": "hotbed", "area_m2": 2.16, "depth_cm": 10}
    return make_space(**{**plain, "make_up": MADE, **over})


def outlook_of(space, **over):
    plain = {"site": make_site(latitude=52.0), "outlook": OUTLOOK, "work_day": WORK}
    return bo.bed_outlook(Rotting(space=space, **{**plain, **over}))


@pytest.fixture(scope="module")
def usual():
    return outlook_of(bed())


@pytest.fixture(scope="module")
def reference():
    """Mean weather of 52°N, as in the prototype."""
    smooth = make_outlook(first=date(2026, 9, 1), days=300)
    work = np.ones(300, dtype=bool)
    return outlook_of(bed(), outlook=smooth, work_day=work)


def test_ready_once_no_later_day_is_too_hot():
    """Up to 34 °C on day 8, last above 30 on day 12; 15 °C is reached on day 2."""
    days = np.arange(60)
    mean = np.select([days < 2, days < 6, days <= 12], [10.0, 20.0, 33.0], 25.0)
    assert bo.ready_day(mean) == 13
    assert bo.ready_day(mean, kills_c=40.0) == 2
    assert np.isnan(bo.ready_day(np.full(60, 12.0)))
    assert np.isnan(bo.ready_day(np.full(60, 31.0)))


def test_heat_of_early_summer_is_not_the_bed_s():
    """A hot day after eight weeks does not put sowing off."""
    mean = np.full(80, 20.0)
    mean[70] = 35.0
    assert bo.ready_day(mean) == 1


def test_useful_until_the_lift_is_gone_or_it_is_cold():
    """Five days' mean of 25 °C falling by half a kelvin a day, over a frame of 8."""
    bed_c = 25 - 0.5 * np.arange(60.0)
    # the mean of days d-4..d is 26 − d/2: under 15 °C (or 8 + 5) after day 22
    assert bo.useful_days(bed_c, np.full(60, 8.0)) == 23
    # over a frame of 15 the lift of 5 K is gone after day 12
    assert bo.useful_days(bed_c, np.full(60, 15.0)) == 13
    assert np.isnan(bo.useful_days(np.full(60, 25.0), np.full(60, 8.0)))
    assert bo.useful_days(np.full(60, 9.0), np.full(60, 8.0)) == 0


def test_ranges_count_what_never_happens_as_latest():
    one = guesses.spread_of(
        np.array([1.0, 2, 3, 4, 5, 6, 7, 8, np.nan, np.nan, np.nan])
    )
    assert (one.low, one.middle) == (2, 6)
    assert np.isnan(one.high)
    assert one.never == pytest.approx(3 / 11)


def test_the_usual_bed_lies_in_growers_reports(usual):
    """The bands are what the defaults were set to; the range must meet each of them."""
    assert usual is not None
    assert list(usual.at) == [name for name, _, _ in bo.REPORTED]
    for name, low, high in bo.REPORTED:
        found = usual.at[name]
        assert low <= found.middle <= high, name
        assert found.low < found.middle < found.high


def test_sowing_and_life_are_ranges(usual):
    """
    Sow after one to three weeks or more; a bed lasts some two months (Bailey).

    "75-80 °F after about a week" and "up to eight weeks" in handbooks.
    """
    assert 0.3 < usual.too_hot < 1
    assert 7 <= usual.ready_d.low < usual.ready_d.middle <= 28
    assert usual.ready_d.middle < usual.ready_d.high
    assert 28 <= usual.useful_d.low < usual.useful_d.middle
    assert 42 <= usual.useful_d.middle <= 84
    assert (usual.draws, usual.winters) == (32, 3)


@pytest.mark.parametrize(
    ("what", "warmest", "day_28", "day_56"),
    [
        ("burns 40 % faster", 34.9, 26.3, 18.8),
        ("burns 40 % slower", 24.8, 23.5, 21.6),
        ("35 kg/m³ to burn, not 70", 20.7, 18.5, 17.5),
        ("100 kg/m³ to burn, not 70", 36.0, 30.9, 23.7),
        ("small bed, 0.6 m²", 27.4, 21.9, 17.7),
    ],
)
def test_sensitivity_of_the_reference_run(reference, what, warmest, day_28, day_56):
    """
    An independent prototype of the same bed: 9 February, 52°N, mean weather.

    Its frame had no edges and its weather was another's: within 1.6 K.
    """
    (row,) = (r for r in reference.sensitivity if r.what == what)
    assert row.warmest_c == pytest.approx(warmest, abs=1.6)
    assert row.day_28_c == pytest.approx(day_28, abs=1.6)
    assert row.day_56_c == pytest.approx(day_56, abs=1.6)


def test_a_cold_filled_bed_comes_later(usual):
    """Filled at 10 °C it is as warm, some days late; the same bed otherwise."""
    plain, *_, cold = usual.sensitivity
    assert (plain.what, cold.what) == ("as described", "filled cold, at 10 °C")
    assert cold.warmest_c == pytest.approx(plain.warmest_c, abs=1.0)
    assert cold.ready_d >= plain.ready_d


def test_old_manure_is_never_too_hot():
    """Half as much to burn: 20.7 °C at its warmest in the reference run."""
    old = outlook_of(bed(material="old"))
    assert old is not None
    assert old.too_hot < 0.2
    assert old.warm_d.low >= 1
    assert not any("35 kg" in row.what for row in old.sensitivity)


def test_a_bed_in_a_tunnel_needs_its_company():
    tunnel = make_space(id="tunnel", kind="polytunnel")
    inside = bed(inside="tunnel")
    found = outlook_of(inside, company=(Variant(tunnel),))
    assert found is not None
    assert found.at["day 7"].middle > 20


def test_no_outlook_without_a_day_or_with_too_few_days():
    for space in (bed(make_up=None), bed(make_up=date(2027, 6, 1)),
                  bed(make_up=date(2026, 9, 1))):  # fmt: skip
        assert outlook_of(space) is None
