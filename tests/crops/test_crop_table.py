"""The shipped crop table as a whole: complete, every figure with its basis."""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from propsched.domain.crop import BASES, METHODS, Crop, Needs
from propsched.files.crop_table import read_crop_table

FOLDER = Path(__file__).parents[2] / "crops"
TABLE = read_crop_table(shipped=FOLDER)
ROWS = [pytest.param(crop, id=f"{crop.name}-{crop.method}") for crop in TABLE.crops]

WALLED_GARDEN = {
    "hardwood": "blackcurrant, gooseberry, dogwood, willow, rambler rose, fig, "
    "grape vine",
    "evergreen": "holly, yew, viburnum tinus, lavender",
    "tip": "pelargonium, fuchsia",
    "root": "oriental poppy, japanese anemone, acanthus, phlox",
    "division": "hosta, day lily, rhubarb, agapanthus",
    "tuber": "dahlia, canna, ginger lily, potato",
    "basal": "dahlia",
    "seed": "rowan, primrose, columbine, christmas rose, broad bean, sweet pea, onion, "
    "leek, lettuce, cauliflower, tomato, chilli, aubergine, cucumber, celery, "
    "french bean, parsnip, lobelia",
}
"""Crops of the example season, by method."""
POISONOUS = (
    ("yew", "evergreen"),
    ("monkshood", "seed"),
    ("christmas rose", "seed"),
    ("hellebore", "division"),
    ("foxglove", "seed"),
    ("lobelia", "seed"),
    ("cherry laurel", "evergreen"),
    ("sweet pea", "seed"),
    ("castor oil plant", "seed"),
    ("laburnum", "seed"),
    ("yew", "seed"),
    ("lupin", "seed"),
    ("delphinium", "seed"),
    ("bluebell", "seed"),
    ("spindle", "seed"),
    ("horse chestnut", "seed"),
    ("cherry laurel", "seed"),
)
"""Common knowledge of the trade."""
_EVERY = {"container", "wait_d", "min_per_container", "share_air"}
_CLOCK = {"base_c", "opt_c", "max_c", "sum_c_d"}
_LIGHT = {"light_min_mol", "light_want_mol"}
NEEDED = {
    "warm": _EVERY | {"warm_weeks", "warm_from_c", "warm_to_c"},
    "chill": _EVERY | {"cold_weeks", "cold_from_c", "cold_to_c"},
    "start": _EVERY | _CLOCK,
    "harden": _EVERY | _LIGHT | {"days", "damage_c"},
}
GROWING = _EVERY | _CLOCK | _LIGHT | {"damage_c"}


def lines(name: str) -> Iterator[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as text:
        yield from csv.DictReader(text)


def all_lines() -> list[dict[str, str]]:
    return [row for name in (*METHODS, "groups") for row in lines(name)]


def stage(crop: Crop, name: str) -> Needs:
    return next(needs for needs in crop.stages if needs.stage == name)


def test_there_are_far_more_rows_than_the_walled_garden_asks_for() -> None:
    assert len(TABLE.crops) >= 210
    assert len({crop.latin for crop in TABLE.crops}) >= 150
    assert sum(crop.method == "seed" for crop in TABLE.crops) >= 150
    assert {crop.method for crop in TABLE.crops} == set(METHODS)


def test_every_crop_of_the_walled_garden_is_there() -> None:
    wanted = {(n, m) for m, names in WALLED_GARDEN.items() for n in names.split(", ")}

    assert wanted <= {crop.key for crop in TABLE.crops}


def test_every_figure_has_a_basis_and_a_basis_from_print_its_source() -> None:
    for row in all_lines():
        assert row["basis"] in BASES, row
        assert row["source"] or row["basis"] not in ("published", "derived"), row


def test_every_derived_figure_says_how() -> None:
    for row in all_lines():
        assert row["note"] or row["basis"] != "derived", row


def test_what_is_remembered_is_never_called_published() -> None:
    for row in all_lines():
        if re.search(r"\b(memory|recalled|remembered|assumed)\b", row["note"]):
            assert row["basis"] != "published", row
        if row["source"] == "bierhuizen-wagenvoort-1974":
            assert row["basis"] == "memory", row


def test_every_source_is_cited_and_used() -> None:
    """A source that only disagrees is named in a note."""
    cited = {row["key"] for row in lines("sources")}
    used = {row["source"] for row in all_lines()} - {""}
    told = {key for key in cited for row in all_lines() if key in row["note"]}

    assert used <= cited
    assert used | told == cited
    assert all(row["citation"] for row in lines("sources"))


def test_every_group_is_used() -> None:
    groups = {row["group"] for row in lines("groups")}
    liked = {
        name for row in all_lines() if row["figure"] == "like"
        for name in row["value"].split()
    }  # fmt: skip

    assert groups == liked


@pytest.mark.parametrize("crop", ROWS)
def test_a_row_gives_what_each_of_its_stages_needs(crop: Crop) -> None:
    given: dict[str, set[str]] = {needs.stage: set() for needs in crop.stages}
    for figure in crop.figures:
        if figure.stage:
            given[figure.stage].add(figure.name)

    assert crop.latin
    for needs in crop.stages:
        missing = NEEDED.get(needs.stage, GROWING) - given[needs.stage]
        assert not missing, needs.stage
        weeks = needs.warm_weeks + needs.cold_weeks
        assert needs.sum_c_d > 0 or needs.days > 0 or weeks > 0
        assert needs.light_min_mol <= needs.light_want_mol or not needs.light_want_mol
        assert not needs.fraction or max(f for _, f in needs.fraction) >= 0.99
        assert needs.floor_c is None or needs.rot_per_day > 0
        assert needs.container.name == "row" or needs.container.area_m2(40) < 4


@pytest.mark.parametrize("crop", ROWS)
def test_only_dormant_wood_has_a_bud_clock_and_all_of_it_has(crop: Crop) -> None:
    races = [needs.stage for needs in crop.stages if needs.bud_base_c is not None]

    assert races == (["start"] if crop.method == "hardwood" else [])
    if races:
        start = stage(crop, "start")
        assert 0 < start.bud_sum_c_d < start.bud_sum_unchilled_c_d


@pytest.mark.parametrize("crop", ROWS)
def test_hardening_takes_one_to_three_weeks(crop: Crop) -> None:
    """7–14 days by extension pages, 14–21 in cool maritime practice."""
    for needs in crop.stages:
        if needs.stage == "harden":
            assert 7 <= needs.days <= 21
            assert needs.wait_d >= 14


@pytest.mark.parametrize("crop", ROWS)
def test_waiting_reaches_the_next_weekend(crop: Crop) -> None:
    """A grower who moves plants at weekends; unpotting the dark is a daily duty."""
    for needs in crop.stages:
        assert needs.any_day or needs.wait_d >= 4, needs.stage


@pytest.mark.parametrize(("name", "method"), POISONOUS)
def test_the_poisonous_say_so(name: str, method: str) -> None:
    assert TABLE.get(name, method).hazard


def test_hot_house_fruit_is_bound_for_the_house() -> None:
    for name in ("tomato", "chilli", "aubergine", "cucumber"):
        crop = TABLE.get(name, "seed")
        assert crop.destination == "under-glass"
        assert crop.edible


def test_cold_bolts_celery_and_rots_french_beans() -> None:
    """Celery initiates at 10 °C; beans want 12 °C of soil (common practice)."""
    assert TABLE.get("celery", "seed").bolts_below_c == 10
    bean = stage(TABLE.get("french bean", "seed"), "start")
    assert bean.floor_c == 12
    assert bean.rot_per_day > 0


def test_a_crop_is_found_by_its_other_names() -> None:
    for typed, name in (
        ("laurustinus", "viburnum tinus"),
        ("eggplant", "aubergine"),
        ("Vitis vinifera", "grape vine"),
        ("mountain ash", "rowan"),
        ("aquilegia", "columbine"),
    ):
        assert name in {crop.name for crop in TABLE.find(typed)}, typed
