"""A cell is read as what it says, or refused; never as something else."""

from collections.abc import Callable
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from propsched.domain.batch import Repeat
from propsched.domain.container import Container
from propsched.files.cells import (
    CellError,
    container,
    day,
    moment,
    number,
    repeat,
    whole,
    yes_no,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2.5", 2.5), ("-2.5", -2.5), ("+2.5", 2.5), ("−2.5", -2.5), (".5", 0.5),
        ("3.", 3.0), ("1E-05", 1e-5), ("2,5", 2.5), ("0,125", 0.125),
        ("-0,125", -0.125),
        ("1234", 1234.0), ("1.234", 1.234), ("12,34", 12.34), ("1234,5", 1234.5),
    ],
)  # fmt: skip
def test_numbers_that_can_be_read_one_way(text: str, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize(
    "text",
    ["1,234", "1.234,5", "1,234.5", "1,234,567", "12.345.678", "1_000", "0x10", "nan",
     "inf", "1e999", "١٢", "2 5", "--2", "2..5", "e5", "", "5 °C", "½", "1e"],
)  # fmt: skip
def test_numbers_that_cannot_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        number(text)


def test_grouping_is_only_doubted_where_it_could_be() -> None:
    assert number("4,125", decimal_comma=True, largest=999) == 4.125
    for text in ("4,125", "4.125"):
        with pytest.raises(CellError, match=r"write 4125 or 4\.125"):
            number(text, decimal_comma=True)


@given(st.floats(-999, 999).map(lambda x: round(x, 6)), st.booleans())
def test_any_number_is_read_back(value: float, comma: bool) -> None:
    text = f"{value:.6f}"
    if comma:
        text = text.replace(".", ",")
    assert number(text, decimal_comma=comma, largest=999) == value


@given(st.text(max_size=8))
def test_no_text_is_read_as_another_number(text: str) -> None:
    """What is accepted is what Python's own reader makes of it, comma as point."""
    try:
        value = number(text)
    except CellError:
        return
    assert value == float(text.replace(",", ".").replace("−", "-"))


def test_whole_numbers() -> None:
    assert whole("40") == 40
    assert whole("40.0") == 40
    for text in ("4.5", "1,234", "1.234", "9" * 30, "four"):
        with pytest.raises(CellError):
            whole(text)


@given(st.dates(date(1800, 1, 1), date(2200, 12, 31)))
def test_any_day_is_read_back(when: date) -> None:
    assert day(when.isoformat()) == when


@pytest.mark.parametrize(
    "text",
    ["01/11/2026", "1.11.2026", "2026-1-1", "20261101", "2026-W44-7", "2026-305",
     "2026-02-29", "0026-01-01", "46327", "2026-11-01 00:00", "1 Nov 2026"],
)  # fmt: skip
def test_days_in_other_dress_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        day(text)


def test_moments() -> None:
    zone = ZoneInfo("Europe/Dublin")
    plain = datetime(2027, 6, 1, 8, 30)
    assert moment("2027-06-01 08:30", zone) == plain
    assert moment("2027-06-01T08:30:00", zone) == plain
    assert moment("2027-06-01T07:30Z", zone) == plain
    assert moment("2027-06-01 08:30+01:00", zone) == plain
    assert moment("2027-06-01", zone, day_will_do=True) == datetime(2027, 6, 1)
    for text in ("2027-06-01", "08:30", "2027-06-01 8:30", "2027-06-31 08:30"):
        with pytest.raises(CellError):
            moment(text, zone)


@pytest.mark.parametrize(
    "text",
    ["every 14 days × 4", "every 14 days x 4", "Every 14 days X4", "every 14 day×4"],
)
def test_repeats(text: str) -> None:
    assert repeat(text) == Repeat(every_days=14, times=4)


@pytest.mark.parametrize(
    "text", ["every 0 days × 4", "every 14 days × 0", "14 days × 4", "every 14 days"]
)
def test_repeats_that_make_no_sense_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        repeat(text)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("tray", Container(name="tray")),
        ("Half tray", Container(name="half-tray")),
        ("9cm-pot", Container(name="9cm-pot")),
        ("9cm-pot 3", Container(name="9cm-pot", holds=3)),
        ("module-tray 40", Container(name="module-tray", holds=40)),
        ("row", Container(name="row")),
        ("row 15x30", Container(name="row", in_row_cm=15, rows_cm=30)),
        ("row 7.5 × 20", Container(name="row", in_row_cm=7.5, rows_cm=20)),
    ],
)
def test_containers(text: str, value: Container) -> None:
    assert container(text) == value


@pytest.mark.parametrize(
    "text",
    ["trey", "tray 0", "tray 9999", "row 15", "row 0x30", "row axb", "40", "pot"],
)
def test_containers_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(CellError):
        container(text)


def test_yes_and_no() -> None:
    assert yes_no("Yes")
    assert not yes_no("n")
    for text in ("1", "maybe"):
        with pytest.raises(CellError):
            yes_no(text)


@pytest.mark.parametrize("parse", [number, whole, day, repeat, container, yes_no])
@given(text=st.text(min_size=1, max_size=12).map(str.strip).filter(bool))
def test_whatever_is_typed_is_read_or_refused(
    parse: Callable[[str], object], text: str
) -> None:
    try:
        parse(text)
    except CellError as error:
        refused = error
    else:
        return
    assert refused.what
    assert refused.right
