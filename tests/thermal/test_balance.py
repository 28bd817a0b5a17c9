"""What flows into a space adds up, and each flow is what it is called."""

from datetime import date

import numpy as np
import pytest
from builders import make_outlook, make_site, make_space, run_spaces

from propsched.domain.space import Heat, Lamp, Variant
from propsched.thermal import materials as m
from propsched.thermal.balance import TERMS, Balance, heat_balance
from propsched.thermal.tuning import Tuning

DAYS = 120
OUTLOOK = make_outlook(
    first=date(2026, 11, 1), days=DAYS, winters=3, mean_c=6.0, spread_k=2.5
)
HOUSE = make_space(id="house", kind="glasshouse", heat=Heat(set_c=5, w_per_m2=150))
SPACES = {
    s.id: s
    for s in (
        make_space(id="bare"),
        make_space(id="straw", cover="straw"),
        make_space(id="snow", cover="snow", cover_cm=10.0),
        make_space(id="fleece", cover="fleece"),
        make_space(id="frame", kind="cold-frame", night_mat=True, vent="automatic"),
        HOUSE,
        make_space(
            id="bench", kind="heated-bench", inside="house", lid=True, area_m2=0.7,
            heat=Heat(set_c=18, w_per_m2=100),
        ),
        make_space(id="sill", kind="windowsill", lamp=Lamp(mol_m2_d=5, w=40)),
        make_space(id="bed", kind="hotbed", make_up=date(2026, 12, 20)),
        make_space(id="heap", kind="heap", make_up=date(2026, 11, 20)),
        make_space(id="pond", kind="check-point", depth_cm=30),
        make_space(id="tunnel", kind="polytunnel"),
    )
}  # fmt: skip


def of(*ids: str, tuning: Tuning | None = None) -> Balance:
    """Balance of the first, in the company of the others."""
    return heat_balance(
        make_site(latitude=52.0),
        [Variant(SPACES[i]) for i in ids],
        0,
        OUTLOOK,
        work_day=np.ones(DAYS, dtype=bool),
        tunings=None if tuning is None else [tuning] * len(ids),
    )


@pytest.mark.parametrize("space", [s for s in SPACES if s != "bench"])
def test_flows_add_up_to_the_heat_taken_up(space: str) -> None:
    """Within a millionth of a W/m² of the change of the layers' own heat content."""
    balance = of(space)
    total = sum(balance.flows.values())
    assert set(balance.flows) == set(TERMS)
    assert np.abs(balance.storage).max() > 0.1
    assert np.abs(total - balance.storage).max() < 1e-6


def test_flows_add_up_inside_a_house_and_under_other_figures() -> None:
    for balance in (of("bench", "house"), of("bed", tuning=Tuning(decay_rate=1.4))):
        total = sum(balance.flows.values())
        assert np.abs(total - balance.storage).max() < 1e-6


def test_nothing_flows_that_is_not_there() -> None:
    bare = of("bare").flows
    for term in ("lamp", "heater", "decay", "side", "ventilation"):
        assert not bare[term].any(), term


def test_bare_ground_absorbs_all_but_what_it_reflects() -> None:
    """FAO-56 Eq. 38: net shortwave is (1 − albedo) of what arrives; 8 MJ/m²·d here."""
    sunny = make_outlook(first=date(2027, 3, 1), days=10, solar_mj_m2=8.0)
    balance = heat_balance(
        make_site(latitude=52.0), [Variant(SPACES["bare"])], 0, sunny,
        work_day=np.ones(10, dtype=bool),
    )  # fmt: skip
    absorbed = (1 - m.BARE_ALBEDO.value) * 8.0e6 / 86_400
    assert balance.flows["sun"] == pytest.approx(absorbed, rel=1e-6)
    assert (balance.flows["sky"] < 0).all()
    assert (balance.flows["evaporation"] < 0).all()


def test_the_heater_is_what_the_meter_counts() -> None:
    """Mean W/m² × area × 24 h is the kWh of the same simulation."""
    zone = run_spaces(SPACES["bench"], SPACES["house"], outlook=OUTLOOK)
    for place, row in (("bench", 0), ("house", 1)):
        other = "house" if place == "bench" else "bench"
        flow = of(place, other).flows["heater"]
        kwh = flow * SPACES[place].area_m2 * 24 / 1000
        assert kwh == pytest.approx(zone.kwh[row].mean(axis=0), rel=1e-4, abs=1e-5)


def test_the_lamp_is_its_watts_over_the_area_for_16_h() -> None:
    """On an open sill the half that warms the air is the room's."""
    all_of_it = 40 / SPACES["sill"].area_m2 * 16 / 24
    on_pots = (1 - m.LAMP_TO_AIR.value) * all_of_it
    assert of("sill").flows["lamp"] == pytest.approx(on_pots)


def test_a_bed_burns_what_it_holds_and_no_more() -> None:
    """Heat set free in all: degradable matter × heat of combustion, less the steam."""
    balance = of("bed")
    made = balance.horizon.day(date(2026, 12, 20))
    decay = balance.flows["decay"]
    assert not decay[:made].any()
    held = m.FUELS["fresh"].degradable_kg_m3.value * 0.60 * m.HEAT_J_KG.value
    freed = decay.sum() * 86_400
    assert 0.5 * held < freed < held


def test_glass_is_opened_on_warm_days_only() -> None:
    """Vents let heat out; in a cold spell they stay shut."""
    warm = make_outlook(first=date(2027, 4, 1), days=20, mean_c=16.0)
    cold = make_outlook(first=date(2027, 1, 1), days=20, mean_c=2.0)
    out = [
        heat_balance(
            make_site(latitude=52.0), [Variant(SPACES["frame"])], 0, weather,
            work_day=np.ones(20, dtype=bool),
        ).flows["ventilation"].mean()
        for weather in (warm, cold)
    ]  # fmt: skip
    assert out[0] < -5
    assert out[1] == pytest.approx(0, abs=1e-9)


def test_the_days_before_are_the_same_however_far_it_is_gone_through() -> None:
    whole, short = (
        heat_balance(
            make_site(latitude=52.0), [Variant(SPACES["bed"])], 0, OUTLOOK,
            work_day=np.ones(DAYS, dtype=bool), until=until,
        )
        for until in (None, 60)
    )  # fmt: skip
    assert short.horizon.days == 60
    for term in TERMS:
        assert (short.flows[term] == whole.flows[term][:60]).all()
