"""A logger's file in any layout, or the option that has to be given."""

from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from propsched.errors import InvalidInputError
from propsched.files.logger import LoggerRows, Told, read_logger

DUBLIN = ZoneInfo("Europe/Dublin")
TIMES = ["2026-11-15T08:30:00", "2026-11-15T20:30:00"]
"""Of every dialect below."""
TEMPS = [9.7, -0.5]

PLAIN = "time,temp\n2026-11-15 08:30,9.7\n2026-11-15 20:30,-0.5\n"
DIALECTS: dict[str, str | bytes] = {
    "plain": PLAIN,
    "byte order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "other line ends": PLAIN.replace("\n", "\r\n"),
    "old line ends": PLAIN.replace("\n", "\r"),
    "tabs": PLAIN.replace(",", "\t"),
    "bars": PLAIN.replace(",", " | "),
    "UTF-16": (
        "Zeit\tTemperatur °C\n15.11.2026 08:30\t9,7\n15.11.2026 20:30\t-0,5\n"
    ).encode("utf-16"),
    "semicolons, decimal commas, old code page": (
        "Datum;Uhrzeit;Temperatur (°C);Feuchte (%)\n"
        "15.11.2026;08:30;9,7;80\n15.11.2026;20:30;-0,5;81\n"
    ).encode("cp1252"),
    "quoted decimal commas": (
        'time,temp\n2026-11-15 08:30,"9,7"\n2026-11-15 20:30,"-0,5"\n'
    ),
    "preamble": (
        "Logger 7\nSerial number: 123\n\nstarted,2026-11-01\n"
        "time,temp\n2026-11-15 08:30,9.7\n2026-11-15 20:30,-0.5\n"
    ),
    "row numbers, °F, twelve hours": (
        '#,"Date Time, GMT+00:00","Temp, °F"\n'
        "1,11/15/26 08:30:00 AM,49.46\n2,11/15/26 08:30:00 PM,31.1\n"
    ),
    "units in a line of their own": (
        "Time;Humidity;Temperature\n;%;°F\n"
        "15/11/2026 08:30;80;49.46\n15/11/2026 20:30;81;31.1\n"
    ),
    "units in the cells": (
        "when,reading\n2026-11-15 08:30,49.46 °F\n2026-11-15 20:30,31.1°F\n"
    ),
    "more columns": (
        "Record,Local time,Soil temp_C,Battery (V),Humidity (%RH),Dew point (°C)\n"
        "1,2026-11-15 08:30,9.7,3.01,80,6.0\n2,2026-11-15 20:30,-0.5,3.01,81,-3.0\n"
    ),
    "two clocks": (
        "UTC time,Local time,Temperature\n"
        "2026-11-15 09:30,2026-11-15 08:30,9.7\n"
        "2026-11-15 21:30,2026-11-15 20:30,-0.5\n"
    ),
    "no header": "2026-11-15 08:30,9.7\n2026-11-15 20:30,-0.5\n",
    "trailing commas": "time,temp,\n2026-11-15 08:30,9.7,\n2026-11-15 20:30,-0.5,\n",
    "a minus sign of print": PLAIN.replace("-0.5", "−0.5"),
    "seconds since 1970": "timestamp,temp\n1794731400,9.7\n1794774600,-0.5\n",
    "an unnamed temperature": (
        "id,when,value\n1,2026-11-15 08:30,9.7\n2,2026-11-15 20:30,-0.5\n"
    ),
}


def read(folder: Path, text: str | bytes, **told: object) -> LoggerRows:
    file = folder / "logger.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_logger(file, DUBLIN, Told(**told))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", DIALECTS)
def test_every_dialect_says_the_same(tmp_path: Path, name: str) -> None:
    rows = read(tmp_path, DIALECTS[name])
    assert rows.times.astype(str).tolist() == TIMES
    assert rows.temps_c.tolist() == TEMPS
    assert rows.skipped == ()


@pytest.mark.parametrize(
    ("text", "option", "told"),
    [
        ("Time,Temp\n05/11/2026 08:30,9.7\n06/11/2026 08:30,9\n", "--day-first",
         {"day_first": True}),
        ("Time,T1,T2\n2026-11-15 08:30,9.7,8\n2026-11-15 09:30,9.6,8\n",
         "--temp-column", {"temp_column": "T1"}),
        ("Time,a,b\n2026-11-15 08:30,9.7,8.5\n2026-11-15 09:30,9.6,8\n",
         "--temp-column", {"temp_column": "2"}),
        ("On,Off,Temp\n2026-11-15 08:30,2026-11-15 08:31,9.7\n", "--time-column",
         {"time_column": "on"}),
        ("Time,Temp\n2026-11-15 08:30,55.7\n2026-11-15 09:30,55\n", "--fahrenheit",
         {"fahrenheit": True}),
        ("Day,Temp\n2026-11-15,9.7\n2026-11-16,9.5\n", "--time-column", None),
    ],
)  # fmt: skip
def test_what_is_open_is_asked_for(
    tmp_path: Path, text: str, option: str, told: dict[str, object] | None
) -> None:
    """The fault names the option, and the option settles it."""
    with pytest.raises(InvalidInputError, match=option):
        read(tmp_path, text)
    if told is not None:
        assert len(read(tmp_path, text, **told).times) >= 1


def test_an_option_that_names_no_column_shows_what_there_is(tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError, match='did you mean "temp"'):
        read(tmp_path, PLAIN, temp_column="tmp")


def test_decimal_commas_among_commas_are_refused(tmp_path: Path) -> None:
    """9,7 in a table of commas would be read as 9."""
    text = "time,temp\n2026-11-15 08:30,9,7\n2026-11-15 20:30,8,5\n"
    with pytest.raises(InvalidInputError, match=r"logger\.csv:2: .*decimal comma"):
        read(tmp_path, text)


@pytest.mark.parametrize("text", ["", "nonsense", "a,b\n1,2\n", b"\x00\x01\x02" * 99])
def test_what_is_no_table_of_readings_is_refused(
    tmp_path: Path, text: str | bytes
) -> None:
    with pytest.raises(InvalidInputError, match="export the logger's data"):
        read(tmp_path, text)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError, match="cannot be read"):
        read_logger(tmp_path / "no.csv", DUBLIN, Told())


def test_rows_that_cannot_be_used_are_named_with_their_line(tmp_path: Path) -> None:
    text = (
        "preamble\ntime,temp\n2026-11-15 08:30,9.7\n2026-11-15 09:30,\n"
        "2026-11-15 10:30,ERROR\n\n2026-11-15 11:30,-127\n2026-02-30 12:30,9\n"
        "2026-11-15 13:30,9,5\n2026-11-15 20:30,-0.5\nEND OF DATA\n"
    )
    rows = read(tmp_path, text)
    assert rows.times.astype(str).tolist() == TIMES
    assert rows.lines.tolist() == [3, 10]
    assert [line for line, _ in rows.skipped] == [4, 5, 7, 8, 9, 11]
    assert rows.skipped[2] == (7, 'temperature is "-127"')


def test_it_says_what_it_understood(tmp_path: Path) -> None:
    rows = read(tmp_path, DIALECTS["row numbers, °F, twelve hours"])
    assert rows.understood == (
        'time from "Date Time, GMT+00:00" (month before day), '
        'temperature from "Temp, °F" in °F'
    )


@given(
    st.lists(st.floats(-40, 80).map(lambda t: round(t, 1)), min_size=2, max_size=30),
    st.sampled_from([(",", "."), (";", ","), (";", "."), ("\t", ",")]),
    st.booleans(),
)
def test_what_is_written_is_read_again(
    tmp_path_factory: pytest.TempPathFactory,
    temps: list[float],
    marks: tuple[str, str],
    fahrenheit: bool,
) -> None:
    """Any temperatures in any of the common layouts."""
    mark, point = marks
    shown = [t * 1.8 + 32 if fahrenheit else t for t in temps]
    times = np.datetime64("2026-11-13T08:30:00") + 600 * np.arange(len(temps))
    lines = [mark.join(["Time", f"Temp ({'°F' if fahrenheit else '°C'})"])]
    for when, temp in zip(times.astype(str), shown, strict=True):
        lines.append(
            mark.join([when.replace("T", " "), f"{temp:.2f}".replace(".", point)])
        )
    rows = read(tmp_path_factory.mktemp("any"), "\n".join(lines))
    assert rows.times.tolist() == times.tolist()
    assert rows.temps_c == pytest.approx(temps, abs=0.011)


@given(st.data())
def test_no_damage_is_a_bug(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Any text, or any dialect with a piece cut out or put in, is read or refused."""
    start = data.draw(st.sampled_from([b"", *map(_bytes, DIALECTS.values())]))
    at = data.draw(st.integers(0, len(start)))
    end = data.draw(st.integers(at, min(len(start), at + 9)))
    alphabet = '0123456789.,;:-/ \t\n"TAPM°Cé\x00'
    piece = data.draw(st.text() | st.text(alphabet=alphabet, max_size=20))
    damaged = start[:at] + piece.encode() + start[end:]
    try:
        rows = read(tmp_path_factory.mktemp("any"), damaged)
    except InvalidInputError:
        return
    assert len(rows.times) == len(rows.temps_c) == len(rows.lines)
    assert not np.isnat(rows.times).any()
    assert ((rows.temps_c >= -60) & (rows.temps_c <= 100)).all()


def _bytes(text: str | bytes) -> bytes:
    return text if isinstance(text, bytes) else text.encode()
