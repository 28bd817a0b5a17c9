"""Where a creeping probe ends, told while it creeps; nothing is stored."""

from math import exp
from pathlib import Path

import pytest
from folders import write_folder

from propsched.errors import PropschedError, UnknownNameError
from propsched.service.note import note_reading
from propsched.service.noted import Place
from propsched.service.settling import so_far

MINUTES = (0.0, 0.75, 1.5, 2.25)
# Newton's cooling from 20 to 11.8 °C with a time constant of one minute, as shown
TEMPS = tuple(round(11.8 + 8.2 * exp(-t), 1) for t in MINUTES)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path)


def test_the_end_of_a_known_curve_is_told(folder: Path) -> None:
    told = so_far(folder, TEMPS, MINUTES)
    assert told.end_c is not None
    assert told.half_c is not None
    assert abs(told.end_c - 11.8) <= told.half_c
    assert not told.at_rest
    assert (told.temps_c, told.minutes) == (TEMPS, MINUTES)


def test_it_is_what_noting_them_would_store(folder: Path) -> None:
    told = so_far(folder, TEMPS, MINUTES)
    space = "bench"
    noted = note_reading(
        folder, Place(space=space), TEMPS, minutes=MINUTES, settling=True
    )
    assert told.end_c is not None
    assert f": {told.end_c:g} °C" in noted.lines[0]
    assert f"±{told.half_c:.1f} K (80 %)" in noted.lines[0]


def test_too_few_or_too_straight_cannot_be_told(folder: Path) -> None:
    few = so_far(folder, TEMPS[:2], MINUTES[:2])
    assert (few.end_c, few.why) == (None, "2 readings are too few: 3 at the least")
    straight = so_far(folder, (14.0, 13.0, 12.0), (0.0, 1.0, 2.0))
    assert straight.end_c is None
    assert "do not get smaller" in straight.why


def test_readings_at_rest_are_averaged(folder: Path) -> None:
    told = so_far(folder, (11.8, 11.8, 11.8, 11.8), (0.0, 2.0, 4.0, 6.0))
    assert (told.end_c, told.at_rest) == (11.8, True)


def test_what_cannot_be_asked(folder: Path) -> None:
    with pytest.raises(PropschedError, match="of one moment"):
        so_far(folder, TEMPS, (0.0, 1.0, 1.0, 2.0))
    with pytest.raises(UnknownNameError, match="no probe"):
        so_far(folder, TEMPS, MINUTES, probe="rod")


def test_nothing_is_stored(folder: Path) -> None:
    before = sorted((p.name, p.read_bytes()) for p in folder.iterdir())
    so_far(folder, TEMPS, MINUTES)
    assert sorted((p.name, p.read_bytes()) for p in folder.iterdir()) == before
