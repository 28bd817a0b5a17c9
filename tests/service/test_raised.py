"""A batch joined to its crop row: containers, numbers, dates."""

from datetime import date

import numpy as np
import pytest
from builders import make_batch, make_season, make_space

from propsched.advice.effort import leave_minutes, start_minutes
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.quantities import Horizon
from propsched.domain.space import Reserved, Variant
from propsched.service.ground import Ground, capacity
from propsched.service.raised import Raised, raised
from propsched.service.tasks import start_window
from propsched.thermal.rootzone import RootZone

TRAY, POT = Container(name="tray"), Container(name="9cm-pot")


def tomato(**over: object) -> Crop:
    plain: dict[str, object] = {
        "name": "tomato",
        "method": "seed",
        "stages": (
            Needs(stage="start", container=TRAY, fraction=((10, 0.4), (20, 0.8))),
            Needs(stage="seedling", container=TRAY),
            Needs(stage="prick-out", container=POT),
            Needs(stage="harden", container=POT),
        ),
    }
    return Crop(**{**plain, **over})  # type: ignore[arg-type]


def ground(today: date = date(2026, 11, 1), **over: object) -> Ground:
    season = make_season(**over)
    hours = np.zeros((1, 1, 24), dtype=np.float32)
    zone = RootZone(
        variants=tuple(Variant(space) for space in season.spaces),
        horizon=Horizon(season.start, 1),
        winters=("a",),
        root_c=hours,
        air_c=hours,
        light_mol=hours[:, :, :1],
        kwh=hours[:, :, :1],
        outdoor_c=hours[0],
    )
    return Ground(season=season, zone=zone, offset=0, today=today)


def test_a_container_on_the_way_confirms_the_way() -> None:
    """Tomatoes "in 9 cm pots" are still sown in trays."""
    one = raised(make_batch(container=POT), tomato())
    assert [n.container.name for n in one.crop.stages] == [
        "tray",
        "tray",
        "9cm-pot",
        "9cm-pot",
    ]


def test_another_container_replaces_the_one_it_is_started_in() -> None:
    """Sown in modules, a crop stays in them until its next container."""
    modules = Container(name="module-tray", holds=24)
    one = raised(make_batch(container=modules), tomato())
    assert [n.container.holds for n in one.crop.stages] == [24, 24, None, None]


def test_blank_sown_is_what_the_wanted_plants_call_for() -> None:
    """40 plants at 80 % best fraction and a packet of 50 % take 100 seeds."""
    one = raised(make_batch(wanted=40, germination_pct=50.0), tomato())
    assert one.sown == 100
    assert one.spare == pytest.approx(1.0)


def test_spare_seed_is_counted_but_not_pricked_out() -> None:
    """Twice the seed gives twice the seedlings; room is taken by those wanted."""
    one = raised(make_batch(wanted=40, sown=100), tomato())
    assert one.spare == pytest.approx(2.0)
    assert [one.plants(k) for k in range(4)] == [100, 40, 40, 40]


def test_area_grows_with_the_container() -> None:
    """40 seedlings fill one tray, then 40 pots of 9 cm: 0.09 m² becomes 0.32."""
    assert TRAY.area_m2(40) == pytest.approx(0.0912)
    assert POT.area_m2(40) == pytest.approx(0.324)


def test_plants_in_the_row_are_made_one_by_one_and_lifted_by_the_handful() -> None:
    assert start_minutes(0.5, 60) == 30
    assert leave_minutes("row", 60) == 6
    assert leave_minutes("9cm-pot", 24) == 24


def window(crop: Crop, where: Ground, **over: object) -> tuple[int, int]:
    return start_window(Raised(make_batch(**over), crop, 40, 1.0), where)


def test_nothing_starts_before_its_material_exists() -> None:
    """Dormant wood of December to February, in a season from 1 November."""
    wood = tomato(material=(12, 1, 2))
    assert window(wood, ground()) == (30, 30 + 31 + 31 + 28 - 1)


def test_the_growers_dates_go_before_the_usual_months() -> None:
    wood = tomato(material=(12, 1, 2))
    days = {"available_from": date(2026, 11, 11), "available_to": date(2026, 11, 20)}
    assert window(wood, ground(), **days) == (10, 19)


def test_nothing_starts_before_today() -> None:
    assert window(tomato(), ground(today=date(2026, 12, 1)))[0] == 30


def test_reserved_area_is_not_free_on_its_days() -> None:
    """Both days of a reservation count; area never falls below nothing."""
    kept = Reserved(area_m2=3, start=date(2026, 11, 2), end=date(2026, 11, 3))
    space = make_space(area_m2=2.0, reserved=(kept,))
    free = capacity(ground(spaces=(space,)))
    assert free[0, :4].tolist() == [2000, 0, 0, 2000]


def test_a_hotbed_has_no_room_until_it_is_made_up() -> None:
    bed = make_space(id="bed", kind="hotbed", make_up=date(2026, 11, 3))
    assert capacity(ground(spaces=(bed,)))[0, :4].tolist() == [0, 0, 0, 2000]


def test_a_place_that_is_only_measured_has_no_room() -> None:
    pond = make_space(id="pond", kind="check-point", area_m2=0.0)
    assert not capacity(ground(spaces=(pond,))).any()


def test_old_seed_is_sown_more_thickly() -> None:
    """Onion keeps a year: 95 % new, 70 % after one (Knott's Handbook, 1997)."""
    onion = tomato(name="onion", latin="Allium cepa", stages=tomato().stages[:1])
    dates = {"wanted": 80, "wanted_by": date(2027, 10, 1)}
    fresh = raised(make_batch(**dates), onion)
    new = raised(make_batch(**dates, seed_year=2027), onion)
    old = raised(make_batch(**dates, seed_year=2026), onion)
    dead = raised(make_batch(**dates, seed_year=1990), onion)

    assert fresh.sown == new.sown == 100
    assert old.sown == pytest.approx(100 * 0.95 / 0.70, abs=1)
    assert dead.sown == 2000


def test_the_packet_s_germination_is_where_age_starts() -> None:
    onion = tomato(name="onion", latin="Allium cepa", stages=tomato().stages[:1])
    plain = {"wanted": 80, "wanted_by": date(2027, 10, 1), "germination_pct": 80.0}
    old = raised(make_batch(**plain, seed_year=2026), onion)

    assert raised(make_batch(**plain), onion).sown == 125
    assert old.sown == pytest.approx(100 / 0.389, abs=2)


def test_wood_has_no_seed_year() -> None:
    wood = tomato(method="hardwood", stages=tomato().stages[:1])
    one = make_batch(wanted=80, wanted_by=date(2027, 5, 1), seed_year=2000)

    assert raised(one, wood).sown == 100
