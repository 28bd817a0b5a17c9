"""Batches and pins changed by name, and what is said of it."""

from datetime import date
from pathlib import Path

import pytest
from folders import write_folder

from propsched.domain.batch import Pin
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.read import read_season
from propsched.service.amend import drop_pin, set_batch, set_pin

BATCHES = """\
batch,crop,method,wanted,available_from,wanted_by,priority,repeat,split
leek,leek,seed,200,2027-02-01,2027-05-20,3,,yes
lettuce,lettuce,seed,24,2027-03-01,2027-04-24,3,every 14 days × 2,
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_folder(tmp_path)
    for name in ("pins.csv", "daybook.csv"):
        (tmp_path / name).unlink(missing_ok=True)
    (tmp_path / "batches.csv").write_text(BATCHES, encoding="utf-8")
    return tmp_path


def test_a_priority_is_changed_and_told(folder: Path) -> None:
    (line,) = set_batch(folder, "leek", "priority", "5").lines
    assert line.startswith("leek: priority 3 → 5 in batches.csv. ")
    assert read_season(folder, need=frozenset()).batches[0].priority == 5


def test_a_date_of_a_later_sowing_moves_the_row(folder: Path) -> None:
    (line,) = set_batch(folder, "lettuce-2", "wanted_by", "2027-05-15").lines
    assert "wanted by 2027-04-24 → 2027-05-01" in line
    assert "all 2 sowings" in line
    assert "that of lettuce-2 is 2027-05-15" in line
    lettuce = read_season(folder, need=frozenset()).batches[1]
    assert lettuce.wanted_by == date(2027, 5, 1)


def test_of_a_half_the_row_is_changed(folder: Path) -> None:
    (line,) = set_batch(folder, "leek (2 of 2)", "priority", "1").lines
    assert "leek: priority 3 → 1" in line
    assert "both halves" in line


def test_a_pin_is_set_changed_and_dropped(folder: Path) -> None:
    day = date(2027, 2, 6)
    pin = Pin(batch="lettuce-1", stage="start", space="house", start=day)
    (line,) = set_pin(folder, pin).lines
    assert line.startswith(
        "lettuce-1: start pinned to house from 2027-02-06 in pins.csv."
    )
    (line,) = set_pin(folder, Pin(batch="lettuce-1", stage="start", start=day)).lines
    assert "now pinned from 2027-02-06" in line
    (line,) = drop_pin(folder, "lettuce-1", "start").lines
    assert line.startswith("lettuce-1: start is pinned no more.")
    assert read_season(folder, need=frozenset()).pins == ()


def test_a_half_is_pinned_with_the_other(folder: Path) -> None:
    pin = Pin(batch="leek (1 of 2)", stage="start", space="house")
    (line,) = set_pin(folder, pin).lines
    assert "leek: start pinned to house in pins.csv, for both halves" in line


def test_what_is_not_there_is_told(folder: Path) -> None:
    with pytest.raises(UnknownNameError, match='no batch "leeks"'):
        set_batch(folder, "leeks", "priority", "5")
    with pytest.raises(PropschedError, match="not pinned"):
        drop_pin(folder, "leek", "start")
