"""The example seasons are what their maker writes, and say that they are invented."""

import importlib.util
import sys
from datetime import date
from math import ceil
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
import pytest

from propsched.biology.development import grow
from propsched.domain.repeats import expand
from propsched.files.read import read_season
from propsched.service.climate import warmth
from propsched.service.loaded import load

EXAMPLES = Path(__file__).parents[1] / "examples"
FOLDERS = ("walled-garden", "windowsill-five")


@pytest.fixture(scope="module")
def maker() -> ModuleType:
    path = EXAMPLES / "make_examples.py"
    spec = importlib.util.spec_from_file_location("make_examples", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("folder", FOLDERS)
def test_made_files_are_the_maker_s_byte_for_byte(
    maker: ModuleType, folder: str, tmp_path: Path
) -> None:
    (example,) = (e for e in maker.EXAMPLES if e.folder == folder)
    written = maker.write_example(example, tmp_path)
    assert len(written) >= 1
    for path in written:
        assert path.read_bytes() == (EXAMPLES / folder / path.name).read_bytes()


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_example_says_that_it_is_invented(folder: str) -> None:
    for path in sorted((EXAMPLES / folder).iterdir()):
        if path.name in {"season.toml", "README.md", "weather.csv", "history.csv",
                         "readings.csv"}:  # fmt: skip
            assert "invented" in path.read_text(encoding="utf-8")[:300], path


def test_walled_garden_history_is_25_whole_plausible_years() -> None:
    """Bounds: what lowland places at 53° N have had in living memory, from memory."""
    path = EXAMPLES / "walled-garden" / "history.csv"
    assert path.stat().st_size < 400_000
    days = pd.read_csv(path, comment="#", parse_dates=["date"]).set_index("date")
    assert days.index[0] == pd.Timestamp("2001-08-01")
    assert days.index[-1] == pd.Timestamp("2026-07-31")
    assert (np.diff(days.index) == np.timedelta64(1, "D")).all()
    assert (days["tmin_c"] <= days["tmax_c"]).all()
    assert days["tmin_c"].between(-20, 22).all()
    assert days["tmax_c"].between(-10, 38).all()
    winter = days[days.index.month.isin([11, 12, 1, 2, 3])]
    frosts = (winter["tmin_c"] < 0).groupby(winter.index.year).sum()
    assert 10 < frosts.mean() < 60


@pytest.mark.parametrize(("folder", "batches", "spaces"), [
    ("walled-garden", 47, 10), ("windowsill-five", 5, 4),
])  # fmt: skip
def test_examples_are_read_without_a_fault_or_note(
    folder: str, batches: int, spaces: int
) -> None:
    files = read_season(EXAMPLES / folder)
    assert files.notes == ()
    assert len(expand(files.batches)) == batches
    assert sum(space.stands for space in files.season.spaces) == spaces


def test_walled_garden_raises_by_every_method_in_unlike_places() -> None:
    files = read_season(EXAMPLES / "walled-garden")
    methods = {batch.method for batch in files.batches}
    assert methods == {
        "seed", "hardwood", "evergreen", "tip", "basal", "root", "division", "tuber",
    }  # fmt: skip
    assert len({space.kind for space in files.season.spaces}) >= 9


def hand_worked() -> list[tuple[str, float, float, float, int]]:
    """Rows of the small example's table: crop, heat sum, base, quotient, days."""
    text = (EXAMPLES / "windowsill-five" / "README.md").read_text(encoding="utf-8")
    rows = [line.strip("|").split("|") for line in text.splitlines() if "|" in line]
    return [
        (crop.strip(), float(heat), float(base), float(quotient), int(days))
        for crop, heat, base, quotient, days in rows[2:]
    ]


def test_batches_worked_by_hand_in_the_small_example_come_out_as_the_program_s() -> (
    None
):
    """A constant 20 °C: days are the heat sum over (20 − base), rounded up."""
    loaded = load(EXAMPLES / "windowsill-five", date(2027, 3, 1))
    warm = warmth(loaded, winters=3, seed=0)
    cupboard, day = warm.zone.of("cupboard"), warm.horizon.day(date(2027, 3, 6))
    assert len(hand_worked()) == 4
    for name, heat, base, quotient, days in hand_worked():
        crop = loaded.files.crops.get(name, "seed")
        (start,) = (needs for needs in crop.stages if needs.stage == "start")
        assert (start.sum_c_d * start.tray_factor, start.base_c) == (heat, base), name
        assert quotient == pytest.approx(heat / (20 - base), abs=0.005)
        assert days == ceil(heat / (20 - base))
        grown = grow(crop, None, warm.zone, end_day=day + 1, quantile=0.8)
        (grown_start,) = (stage for stage in grown if stage.stage == "start")
        assert grown_start.median[cupboard, day] == days, name
        assert grown_start.booked[cupboard, day] == days, name
