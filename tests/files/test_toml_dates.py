"""Dates of a season.toml moved on, all else left as it is."""

from datetime import date

import pytest

from propsched.files.toml_dates import moved_dates, toml_dates, years_on

TEXT = """\
# from 2026-11-01
[season]
name = "2026-11-01"   # a string
start = 2026-11-01\t# first
end=2027-05-31
[work]
away = [{ from = 2026-12-22, to = 2027-01-02 }]
[[space]]
id = "bed – 2027-02-06"
make_up = [2028-02-29, 2027-02-06] # é
"""


def test_dates_are_found_with_their_keys() -> None:
    assert [(one.table, one.key, str(one.day)) for one in toml_dates(TEXT)] == [
        ("season", "start", "2026-11-01"),
        ("season", "end", "2027-05-31"),
        ("work", "away", "2026-12-22"),
        ("work", "away", "2027-01-02"),
        ("space", "make_up", "2028-02-29"),
        ("space", "make_up", "2027-02-06"),
    ]


def test_dates_alone_are_moved() -> None:
    moved = moved_dates(TEXT, 1, start=date(2027, 10, 20), end=date(2028, 5, 31))
    assert (
        moved
        == """\
# from 2026-11-01
[season]
name = "2026-11-01"   # a string
start = 2027-10-20\t# first
end=2028-05-31
[work]
away = [{ from = 2027-12-22, to = 2028-01-02 }]
[[space]]
id = "bed – 2027-02-06"
make_up = [2029-02-28, 2028-02-06] # é
"""
    )


@pytest.mark.parametrize(
    ("day", "years", "then"),
    [
        (date(2028, 2, 29), 1, date(2029, 2, 28)),
        (date(2028, 2, 29), 4, date(2032, 2, 29)),
        (date(2026, 11, 1), 1, date(2027, 11, 1)),
    ],
)
def test_a_leap_day_falls_back(day: date, years: int, then: date) -> None:
    assert years_on(day, years) == then
