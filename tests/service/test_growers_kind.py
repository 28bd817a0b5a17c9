"""What growers say of plants beyond the ten answers, on the walled garden."""

from datetime import date

import pytest
from benchmarks.growers_answers import Ranked, alone, day_of, garden, half

from propsched.biology.rank import rank_spaces
from propsched.files.crop_table import shipped_table

pytestmark = pytest.mark.slow

TABLE = shipped_table()
SOWN = date(2026, 11, 15)


def asked(crop: str, method: str, on: date) -> dict[str, Ranked]:
    """Every space, best first, for a crop of the table started on one day."""
    ready = garden()
    ground, variants = ready.ground, ready.ground.zone.variants
    rows = rank_spaces(
        TABLE.get(crop, method),
        ground.climate,
        ground.offset + day_of(on),
        end_day=ground.offset + ground.days,
        quantile=ready.loaded.season.weights.quantile,
    )
    return {variants[row.variant].space.id: row for row in rows}


@pytest.mark.parametrize("crop", ["rowan", "beech", "hazel"])
def test_tree_seed_sown_in_autumn_comes_up_in_the_border_in_spring(crop: str) -> None:
    """Parks Community UK and the Garden Seed Handbook, as in the crop table."""
    rows = asked(crop, "seed", SOWN)
    assert rows["border"].success >= 0.8
    assert date(2027, 3, 15) <= half(rows["border"]) <= date(2027, 5, 31)
    assert rows["windowsill"].success < 0.2 < rows["refrigerator"].success


def test_acorns_sown_in_autumn_shoot_in_the_border_in_may() -> None:
    """Common practice, four weeks either way; some are lost (Gosling 2007)."""
    row = asked("english oak", "seed", date(2026, 11, 7))["border"]
    assert date(2027, 4, 17) <= half(row) <= date(2027, 6, 15)
    assert 0.5 <= row.success <= 0.9


def test_chillies_in_january_want_heat() -> None:
    """18 °C at least (Harrod Horticultural); not a frame before spring."""
    rows = asked("chilli", "seed", date(2027, 1, 20))
    assert next(iter(rows)) == "propagator"
    assert not rows["cold-frame"].allowed or rows["cold-frame"].success == 0


@pytest.mark.parametrize("crop", ["onion", "shallot", "garlic"])
def test_sets_and_cloves_go_straight_into_the_ground(crop: str) -> None:
    """Common practice: through in four to eight weeks, never on a windowsill."""
    rows = asked(crop, "tuber", date(2027, 3, 1))
    assert rows["windowsill"].success == 0
    assert 25 <= (rows["border"].days or 0) <= 60


def test_hellebore_seed_lies_warm_before_it_is_cold() -> None:
    """Rice: old seed in winter six weeks at 15 °C, then outdoors; never only cold."""
    rows = asked("hellebore", "seed", SOWN)
    assert next(iter(rows)) in ("windowsill", "bench")
    assert rows["refrigerator"].success == 0


def test_autumn_broad_beans_are_worth_more_than_spring_ones_and_stand_cool() -> None:
    """Common practice: sown in November under cover or out, hardy."""
    autumn, way = alone("broad-bean", date(2026, 11, 21))
    spring, _ = alone("broad-bean", date(2027, 2, 13))
    assert autumn > spring
    assert way is not None
    names = [v.space.id for v in garden().ground.zone.variants]
    assert "windowsill" not in {names[stop.variant] for stop in way.stops}
