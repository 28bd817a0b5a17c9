"""Noting: what is stored, what is refused, and nothing twice."""

import subprocess
import sys
from datetime import date, time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from folders import READINGS, write_folder
from pandas import DataFrame

from propsched.errors import InvalidInputError, PropschedError, UnknownNameError
from propsched.files.disk import LOCK
from propsched.files.logger import Told
from propsched.files.read import read_season
from propsched.service.note import note_reading
from propsched.service.note_import import import_readings
from propsched.service.noted import Place, When
from propsched.thermal.probe import corrected_readings

DAY = date(2027, 2, 6)
HALF_PAST = When(clock=time(8, 30))
BORDER = Place(space="border")
LOGGER = """\
time,temp
2027-02-05 08:00,4.1
2027-02-05 09:00,4.3
2027-02-05 09:00,4.4
2027-02-05 10:00,--
2027-02-08 10:00,5.0
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return season(tmp_path)


def season(tmp_path: Path, **over: str) -> Path:
    """The good season, of which the shipped crop table knows every crop."""
    return write_folder(tmp_path / "season", pins_csv=None, **over)


def stored(folder: Path) -> DataFrame:
    return read_season(folder, need=frozenset()).readings


def last(folder: Path) -> str:
    return (folder / "readings.csv").read_text(encoding="utf-8").splitlines()[-1]


def test_a_reading_is_one_line(folder: Path) -> None:
    """Stored as shown, with the season's only probe."""
    answer = note_reading(folder, BORDER, [9.7], at=HALF_PAST, today=DAY)
    assert last(folder) == "2027-02-06 08:30,border,,9.7,kitchen,"
    assert answer.lines == (
        "Noted: border, 8 cm deep, Sat 6 Feb 2027 08:30: 9.7 °C; "
        "9.2 °C with the offset of probe kitchen.",
    )


def test_the_offset_is_added_once_when_readings_are_used(folder: Path) -> None:
    """The probe shows half a kelvin too much: 9.7 in the file is 9.2 to everybody."""
    note_reading(folder, BORDER, [9.7], at=HALF_PAST, today=DAY)
    whole = read_season(folder, need=frozenset()).season
    right = corrected_readings(stored(folder), whole.probes, whole.spaces)
    assert right["temp_c"].iloc[-1] == pytest.approx(9.2)
    assert right["depth_cm"].iloc[-1] == 8.0


def test_a_sitting_is_its_mean_with_the_single_values_kept(folder: Path) -> None:
    answer = note_reading(
        folder, BORDER, [9.7, 9.9, 9.6], at=HALF_PAST, today=DAY, note="after rain"
    )
    assert last(folder) == (
        "2027-02-06 08:30,border,,9.73,kitchen,mean of 9.7 9.9 9.6; after rain"
    )
    assert "mean of 3, sd 0.15 K" in answer.lines[0]


def test_a_rising_sequence_is_stored_as_its_end(folder: Path) -> None:
    """12.0, 15.0, 16.5 end at 18.0 (worked by hand in the tests of settling)."""
    answer = note_reading(
        folder, BORDER, [12.0, 15.0, 16.5], settling=True, at=HALF_PAST, today=DAY
    )
    assert last(folder) == (
        "2027-02-06 08:30,border,,18,kitchen,settling 12 15 16.5 at 0 1 2 min"
    )
    assert "time constant 1.4 min" in answer.lines[0]
    assert "±" in answer.lines[0]


def test_minutes_may_be_told_one_by_one(folder: Path) -> None:
    note_reading(
        folder, BORDER, [12.0, 15.0, 16.5], settling=True, minutes=[0, 2, 4], today=DAY
    )
    assert "at 0 2 4 min" in last(folder)
    with pytest.raises(PropschedError, match="2 times for 3 readings"):
        note_reading(folder, BORDER, [1, 2, 3], settling=True, minutes=[0, 1])
    with pytest.raises(PropschedError, match="increase"):
        note_reading(folder, BORDER, [1, 2, 3], settling=True, minutes=[0, 2, 1])


def test_a_sequence_that_cannot_say_stores_nothing(folder: Path) -> None:
    with pytest.raises(PropschedError, match="wait longer"):
        note_reading(folder, BORDER, [10.0, 11.0, 12.0], settling=True, today=DAY)
    assert (folder / "readings.csv").read_text() == READINGS


@pytest.mark.parametrize(
    ("place", "temps", "at", "what"),
    [
        (Place(space="bordr"), [9.0], HALF_PAST, 'did you mean "border"'),
        (Place(space="border", probe="stem"), [9.0], HALF_PAST, "no probe"),
        (BORDER, [97.0, 197.0], HALF_PAST, "must be -60 to 100"),
        (BORDER, [], HALF_PAST, "no temperature"),
        (BORDER, [9.0], When(day=date(2027, 2, 7), clock=time(8)), "future"),
        (BORDER, [9.0], When(day=date(2027, 2, 5)), "--time"),
    ],
)
def test_what_cannot_be_is_refused(
    folder: Path, place: Place, temps: list[float], at: When, what: str
) -> None:
    with pytest.raises(PropschedError, match=what):
        note_reading(folder, place, temps, at=at, today=DAY)
    assert (folder / "readings.csv").read_text() == READINGS


def test_the_same_reading_is_not_stored_twice(folder: Path) -> None:
    """A blank depth is the space's, so 8 cm is the same; another value is not."""
    note_reading(folder, BORDER, [9.7], at=HALF_PAST, today=DAY)
    deep = Place(space="border", depth_cm=8)
    with pytest.raises(PropschedError, match="already"):
        note_reading(folder, deep, [9.7], at=HALF_PAST, today=DAY)
    note_reading(folder, deep, [9.9], at=HALF_PAST, today=DAY)
    assert len(stored(folder)) == 4


def test_a_fault_in_another_file_loses_no_reading(tmp_path: Path) -> None:
    """Nobody goes out into the frost again because of a slip in weather.csv."""
    folder = write_folder(
        tmp_path / "s", weather_csv="nonsense", batches_csv="x\n1\n",
        readings_csv=READINGS + "what,is,this,1,2,3\n",
    )  # fmt: skip
    note_reading(folder, BORDER, [9.7], at=HALF_PAST, today=DAY)
    assert last(folder).endswith("border,,9.7,kitchen,")


def test_the_model_s_hour_is_told_when_asked_for(folder: Path) -> None:
    at = When(day=date(2026, 11, 2), clock=time(14))
    answer = note_reading(folder, BORDER, [30.5], at=at, today=DAY, model=True)
    assert len(answer.lines) == 2
    assert "above it" in answer.lines[1]
    model = float(answer.lines[1].split("has ")[1].split(" °C")[0])
    off = float(answer.lines[1].split("is ")[1].split(" K")[0])
    assert model + off == pytest.approx(30.0, abs=0.11)
    assert 0 < model < 20


def imported(folder: Path, text: str = LOGGER, **over: object) -> tuple[str, ...]:
    file = folder / "logger.csv"
    file.write_text(text)
    plain = {"today": DAY, **over}
    answer = import_readings(folder, file, BORDER, Told(), **plain)  # type: ignore[arg-type]
    return (*answer.lines, *answer.notes)


def test_a_logger_s_file_is_stored_without_doubles(folder: Path) -> None:
    lines = imported(folder)
    assert lines[1] == "Noted: 2 new readings of border; 1 doubles left alone."
    assert lines[-1] == (
        '2 rows left out – line 5: temperature is "--"; line 6: lies in the future'
    )
    assert last(folder) == "2027-02-05 09:00,border,,4.3,,"
    assert len(stored(folder)) == 4


def test_the_same_file_again_adds_nothing(folder: Path) -> None:
    imported(folder)
    before = (folder / "readings.csv").read_bytes()
    assert "0 new readings of border; 3 doubles" in imported(folder)[1]
    assert (folder / "readings.csv").read_bytes() == before


def test_a_file_that_has_grown_adds_its_new_rows(folder: Path) -> None:
    imported(folder)
    grown = LOGGER + "2027-02-06 08:00,4.9\n"
    assert "1 new reading of border" in imported(folder, grown)[1]


def test_the_layout_of_readings_csv_is_kept(tmp_path: Path) -> None:
    """A spreadsheet's semicolons, decimal commas and order of columns."""
    own = "temp_c;space;time;note;probe;depth_cm\r\n7,5;border;2026-11-01 08:30;;;\r\n"
    folder = season(tmp_path, readings_csv=own)
    imported(folder)
    raw = (folder / "readings.csv").read_bytes().decode()
    assert raw.startswith(own)
    assert raw.endswith("4,3;border;2027-02-05 09:00;;;\r\n")
    assert stored(folder)["temp_c"].tolist() == [7.5, 4.1, 4.3]


def test_an_import_that_fails_leaves_everything_as_it_was(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All rows or none, and no half-written file beside it."""
    before = {path.name for path in folder.iterdir()} | {"logger.csv", LOCK}

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("propsched.files.disk.os.fsync", full)
    with pytest.raises(InvalidInputError, match="No space left"):
        imported(folder)
    assert (folder / "readings.csv").read_text() == READINGS
    assert {path.name for path in folder.iterdir()} <= before


def test_an_import_into_faulty_readings_is_refused(tmp_path: Path) -> None:
    """Doubles cannot be told then; the fault is named."""
    folder = season(tmp_path, readings_csv=READINGS + "x,border,,1,,\n")
    with pytest.raises(InvalidInputError, match=r"readings\.csv:4"):
        imported(folder)


def test_an_unknown_space_is_refused_with_a_near_match(folder: Path) -> None:
    with pytest.raises(UnknownNameError, match="bench"):
        import_readings(folder, folder / "x.csv", Place(space="bensh"), Told())


@pytest.mark.slow
def test_two_imports_at_once_store_each_row_once(folder: Path) -> None:
    """Two programs on one season wait for one another."""
    times = pd.date_range("2027-01-01", periods=500, freq="1h")
    rows = "".join(f"{when:%Y-%m-%d %H:%M},5.0\n" for when in times)
    file = folder / "logger.csv"
    file.write_text("time,temp\n" + rows)
    command = [sys.executable, "-m", "propsched", "note", str(folder)]
    options = ["--import", str(file), "--space", "border", "--today", "2027-02-06"]
    runs = [subprocess.Popen([*command, *options]) for _ in range(2)]
    assert [run.wait(60) for run in runs] == [0, 0]
    assert len(stored(folder)) == 502


@pytest.mark.slow
def test_100_000_rows_arrive_as_they_were(folder: Path) -> None:
    """Every time and temperature of a long file, °F and days first."""
    times = pd.date_range("2026-11-01", periods=100_000, freq="1min")
    temps = np.round(48 + 6 * np.sin(np.arange(100_000) / 720), 1)
    rows = zip(times, temps, strict=True)
    text = "Date,Time,Temp (°F)\n" + "".join(
        f"{when:%d/%m/%Y},{when:%I:%M:%S %p},{temp}\n" for when, temp in rows
    )
    lines = imported(folder, text)
    assert "100,000 new readings" in lines[1]
    assert "0 new readings" in imported(folder, text)[1]
    there = stored(folder)
    there = there[there["probe"] == ""].query("space == 'border'")
    assert (there["time"].to_numpy() == times.to_numpy()).all()
    assert there["temp_c"].to_numpy() == pytest.approx((temps - 32) / 1.8, abs=0.0051)
