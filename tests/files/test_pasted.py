"""A forecast pasted from anywhere: days, lowest and highest, parted by anything."""

from datetime import date

import pytest

from propsched.errors import InvalidInputError
from propsched.files.pasted import PastedTold, read_pasted

TODAY = date(2026, 11, 28)
WANTED = {
    date(2026, 11, 29): {"tmin_c": -1.5, "tmax_c": 6.0},
    date(2026, 12, 13): {"tmin_c": 3.0, "tmax_c": 9.0},
}


def read(text: str, **told: bool | None) -> tuple[dict[date, dict[str, float]], str]:
    found, how = read_pasted(text, "pasted", PastedTold(**told), today=TODAY)
    return found.days, how


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-29 -1.5 6\n2026-12-13 3 9",
        "2026-11-29,-1.5,6\n2026-12-13,3,9\n",
        "date;min;max\n2026-11-29;-1,5;6,0\n2026-12-13;3,0;9,0\n",
        "2026-11-29\t-1.5\t6\r\n2026-12-13\t3\t9\r\n",
        "2026-11-29: −1.5 °C / 6 °C\n\n2026-12-13: 3°C/9°C",
        "Sun 29 Nov | -1.5 | 6\nSun 13 Dec | 3 | 9",
        "Sunday, 29 November 2026  low -1.5C high 6C\n13 December 2026 low 3C high 9C",
        "Nov 29, 2026  -1.5  6\nDec 13, 2026  3  9",
        "29.11.2026 -1,5 6,0\n13.12.2026 3,0 9,0",
        "29/11/2026 -1.5 6\n13/12/2026 3 9",
        "11/29/2026 -1.5 6\n12/13/2026 3 9",
        "2026/11/29 29.3F 42.8F\n2026/12/13 37.4F 48.2F",
        "temperatures in °F\n2026-11-29 29.3 42.8\n2026-12-13 37.4 48.2",
        "# day, high, low\n2026-11-29 6 -1.5\n2026-12-13 9 3",
    ],
)
def test_one_forecast_in_many_forms(text: str) -> None:
    days, how = read(text)
    assert {
        d: {n: round(v, 6) for n, v in x.items()} for d, x in days.items()
    } == WANTED
    assert ("°F" in how) == ("F" in text)
    assert ("highest before lowest" in how) == ("high, low" in text)


def test_the_unit_is_always_told() -> None:
    assert "in °C, taken to be so" in read("2026-11-29 -1.5 6")[1]
    assert "taken" not in read("2026-11-29 -1.5C 6C")[1]
    days, how = read("2026-11-29 23 50", fahrenheit=True)
    assert days[date(2026, 11, 29)] == {"tmin_c": -5.0, "tmax_c": 10.0}
    assert how == "temperatures in °F, lowest before highest"


def test_a_year_that_is_not_given_is_the_next() -> None:
    days, _ = read("2 Jan 1 5\n27 Nov 0 4")
    assert sorted(days) == [date(2026, 11, 27), date(2027, 1, 2)]


def test_what_is_no_row_is_told() -> None:
    text = (
        "Forecast for the garden\n2026-11-29 -1.5 6\n2026-11-30 5\n2026-11-31 1 2\n"
        "2026-12-01 1 2 3\n2026-12-02 80 90 C\n"
    )
    found, _ = read_pasted(text, "pasted", PastedTold(fahrenheit=False), today=TODAY)
    assert list(found.days) == [date(2026, 11, 29)]
    told = dict(reversed(found.odd))
    assert told[1] == "has no day that the calendar has"
    assert told[3] == "has 1 temperatures, not 2"
    assert "must be a day" in told[4] or "2026-11-31" in told[4]
    assert told[5] == "has 3 temperatures, not 2"
    assert told[6] == "tmin_c of 2026-12-02 would be 80"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "holds no forecast .* – a line is such as"),
        ("rain at first, then sun", "holds no forecast"),
        ("5/11/2026 1 2\n6/11/2026 2 3", "say --day-first or --month-first"),
        ("2026-11-29 40 60", "say --fahrenheit or --celsius"),
        ("2026-11-29 4C 60F", "say --fahrenheit or --celsius"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked_for(text: str, what: str) -> None:
    with pytest.raises(InvalidInputError, match=what):
        read(text)


def test_the_order_of_day_and_month_can_be_told() -> None:
    text = "5/11/2026 1 2"
    assert list(read(text, day_first=True)[0]) == [date(2026, 11, 5)]
    assert list(read(text, day_first=False)[0]) == [date(2026, 5, 11)]
