"""Rows raised from seed against days, weeks and chilling that others print."""

import csv
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from propsched.biology.chilling import dormancy
from propsched.biology.response import rate_per_day
from propsched.domain.crop import Crop, Needs
from propsched.files.crop_table import read_crop_table

CROPS = read_crop_table()
REFERENCE = Path(__file__).parents[1] / "reference"
ROUNDED = 0.1
"""Days and temperatures are printed whole: a tenth is no difference."""


def lines(name: str) -> Iterator[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as text:
        yield from csv.DictReader(text)


PRINTED = [row for row in lines("days_elsewhere.csv") if row["role"] == "fitted"]
OTHERS = [row for row in lines("days_elsewhere.csv") if row["role"] == "other"]
WEEKS = {
    "tomato": (5, 6), "chilli": (6, 8), "sweet pepper": (6, 8), "aubergine": (6, 7),
    "leek": (6, 8), "onion": (5, 6), "kale": (4, 6), "cabbage": (5, 6),
    "cauliflower": (5, 6), "brussels sprouts": (4, 5), "broccoli": (4, 5),
    "kohlrabi": (4, 6), "okra": (6, 8), "watermelon": (3, 5),
}  # fmt: skip
"""Weeks to a transplant after emergence: University of California ANR 2013."""
LARGER = {
    "cucumber": (3, 4), "melon": (2, 3), "pumpkin": (2, 3), "courgette": (2, 3),
}  # fmt: skip
"""The same for cucurbits, which British growers plant larger and hardened."""
SMALLER = {"lettuce": (4, 5), "endive": (5, 7)}
"""The same for salads, which are planted smaller from modules."""


def stage(name: str, which: str) -> Needs:
    crop = CROPS.get(name, "seed")
    return next(needs for needs in crop.stages if needs.stage == which)


def emergence(name: str, temp_c: float) -> float:
    """Days to half up, in the medium of the source."""
    return 1 / rate_per_day(temp_c, replace(stage(name, "start"), tray_factor=1.0))


def weeks_after_emergence(name: str, temp_c: float = 17.5) -> float:
    """Growing and hardening; 65–70 °F by day and a little less by night."""
    later = [n for n in CROPS.get(name, "seed").stages if n.stage != "start"]
    return sum(n.days or 1 / rate_per_day(temp_c, n) for n in later) / 7


def middle(row: dict[str, str], low: str, high: str) -> float:
    return (float(row[low]) + float(row[high])) / 2


def error(row: dict[str, str]) -> float:
    told = emergence(row["crop"], middle(row, "from_c", "to_c"))
    return abs(told / middle(row, "days_low", "days_high") - 1)


def test_emergence_beyond_the_large_table_is_told_within_10_percent() -> None:
    """Sources as named in the reference table; most sums were worked out from them,
    so that it is their arithmetic and their cardinal temperatures that are held."""
    assert len(PRINTED) >= 45
    assert np.median([error(row) for row in PRINTED]) <= 0.10


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row["crop"])
def test_no_row_is_off_by_more_than_20_percent(row: dict[str, str]) -> None:
    """Sources as named in the reference table."""
    assert error(row) <= 0.20, row["source"]


def agrees(row: dict[str, str]) -> bool:
    """Whether the days told across its temperatures meet the days it prints."""
    quick = emergence(row["crop"], float(row["to_c"])) * (1 - ROUNDED)
    slow = emergence(row["crop"], float(row["from_c"])) * (1 + ROUNDED)
    return quick <= float(row["days_high"]) and slow >= float(row["days_low"])


@pytest.mark.parametrize(
    "row", OTHERS, ids=lambda row: f"{row['crop']}-{row['from_c']}"
)
def test_sources_no_figure_was_taken_from_agree_or_say_why_not(
    row: dict[str, str],
) -> None:
    assert agrees(row) or row["exception"], row["source"]


def test_two_in_three_of_the_other_sources_agree() -> None:
    assert len(OTHERS) >= 15
    assert np.mean([agrees(row) for row in OTHERS]) >= 2 / 3


def test_no_exception_stands_where_the_source_agrees() -> None:
    for row in OTHERS:
        assert not (agrees(row) and row["exception"]), row


def test_growing_on_takes_the_printed_weeks() -> None:
    """University of California ANR 2013: 14 vegetables, median within a tenth."""
    errors = {
        name: weeks_after_emergence(name) / ((low + high) / 2) - 1
        for name, (low, high) in WEEKS.items()
    }

    assert np.median(np.abs(list(errors.values()))) <= 0.10
    assert max(map(abs, errors.values())) <= 0.25


def test_cucurbits_are_planted_larger_and_salads_smaller_than_printed() -> None:
    """University of California ANR 2013, against British practice."""
    for name, (_, high) in LARGER.items():
        assert high < weeks_after_emergence(name) <= 2 * high
    for name, (low, _) in SMALLER.items():
        assert low / 2 <= weeks_after_emergence(name) < low


def test_bedding_is_ready_in_the_printed_weeks() -> None:
    """Iowa State University Extension 2023: weeks from sowing to planting."""
    for name, at_c, low, high in (
        ("begonia", 22.5, 10, 12), ("petunia", 23.9, 8, 10), ("coleus", 22.5, 8, 10),
        ("snapdragon", 21.1, 8, 10), ("busy lizzie", 22.5, 8, 10),
        ("ageratum", 22.5, 8, 8), ("china aster", 21.1, 6, 8), ("zinnia", 21.1, 5, 5),
        ("statice", 21.1, 8, 10), ("scarlet sage", 22.5, 8, 8),
        ("rudbeckia", 21.1, 10, 10), ("lisianthus", 23.9, 14, 14),
        ("pelargonium", 22.5, 12, 12), ("sunflower", 21.1, 3, 4),
        ("nasturtium", 19.7, 5, 6),
    ):  # fmt: skip
        weeks = emergence(name, at_c) / 7 + weeks_after_emergence(name)
        assert low - 0.3 <= weeks <= high + 0.3, name


PRINTED_TREATMENTS = {
    "usda-woody-seed-2008": "USDA Woody Plant Seed Manual",
    "uk-tree-seed-list": "UK tree-seed treatment list",
    "sylvanseeds-2021": "SylvanSeeds",
    "alpine-seed-2021": "New Phytol.",
    "niimi-2006": "Niimi",
    "marin-2018": "Marin",
    "ahmad-hitchmough-2007": "Ahmad",
}
"""How the table of treatments names what the crop table has a key for."""


def spans(cell: str) -> tuple[float, float] | None:
    """Ends of "13", "13-17" or "13+"; None where the cell says something else."""
    ends = cell.replace("+", "").split("-")
    try:
        return float(ends[0]), float(ends[-1])
    except ValueError:
        return None


def printed_chill(crop: Crop) -> str | None:
    """Source of the row's cold weeks, where the table of treatments has it."""
    key = next(
        figure.source
        for figure in crop.figures
        if (figure.stage, figure.name) == ("chill", "cold_weeks")
    )
    return PRINTED_TREATMENTS.get(key)


ALL_CHILLED = [
    crop for crop in CROPS.crops if any(n.stage == "chill" for n in crop.stages)
]
CHILLED = [crop for crop in ALL_CHILLED if printed_chill(crop)]


def test_most_seed_to_be_chilled_rests_on_a_printed_treatment() -> None:
    assert len(CHILLED) >= 45
    assert len(CHILLED) >= 0.8 * len(ALL_CHILLED)


@pytest.mark.parametrize("crop", CHILLED, ids=lambda crop: crop.name)
def test_weeks_of_chilling_are_those_of_a_printed_treatment(crop: Crop) -> None:
    """USDA Woody Plant Seed Manual 2008, SylvanSeeds 2021, British trade list: a
    treatment of the same species (or genus) and source spans the row's weeks."""
    asked, said = dormancy(crop), printed_chill(crop)
    assert asked
    assert said
    genus, *species = crop.latin.split()
    for row in lines("stratification.csv"):
        wanted = {f"{genus} {species[0]}" if species else genus, f"{genus} (general)"}
        plant = " ".join(row["latin"].split()[:2])
        if plant not in wanted or said not in row["source"]:
            continue
        cold, warm = spans(row["weeks_cold"]), spans(row["weeks_warm"])
        if cold is None or (warm is None and row["weeks_warm"][-1:].isdigit()):
            continue
        if not cold[0] - 0.2 <= asked.cold_weeks <= cold[1] + 0.6:
            continue
        if warm is None or warm[0] - 0.2 <= asked.warm_weeks <= warm[1] + 0.2:
            return
    pytest.fail(f"{crop.latin}: {asked.warm_weeks} + {asked.cold_weeks} weeks")
