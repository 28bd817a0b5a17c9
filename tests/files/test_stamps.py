"""Clock times as loggers write them."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from propsched.files.stamps import (
    CannotTellError,
    ahead_of_utc,
    kind_of,
    read_stamps,
)

BERLIN = ZoneInfo("Europe/Berlin")
HALF_PAST = datetime(2026, 11, 15, 8, 30)


def read(*cells: str, clocks: list[str] | None = None, **over: object) -> list[object]:
    plain = {"day_first": None, "zone": BERLIN, **over}
    return read_stamps(cells, clocks, **plain).times.astype(object).tolist()  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "cell",
    [
        "2026-11-15 08:30", "2026-11-15T08:30:00", "2026/11/15 8:30",
        "2026-11-15 08:30:00.000", "2026-11-15 08:30:00,5", "20261115 08:30",
        "15/11/2026 08:30", "15.11.2026 08:30:00", "15.11.2026, 8.30",
        "11/15/2026 08:30", "11/15/26 8:30 AM", "11/15/2026 08:30:00 a.m.",
        "15 Nov 2026 08:30", "15-Nov-26 08:30", "Nov 15, 2026 08:30",
        "Sunday, 15 November 2026 08:30", "Sun 15.11.2026 08h30",
        "2026-11-15T07:30Z", "2026-11-15 07:30:00 UTC", "2026-11-15T02:30:00-05:00",
        "1794727800", "1794727800000",
    ],
)  # fmt: skip
def test_one_moment_in_many_dialects(cell: str) -> None:
    """Half past eight on 15 November 2026 in Berlin, an hour ahead of UTC."""
    (found,) = read(cell)
    assert isinstance(found, datetime)
    assert found.replace(microsecond=0) == HALF_PAST
    assert kind_of(cell) in ("moment", "epoch")


@pytest.mark.parametrize(
    ("cell", "hour"),
    [("12:05 AM", 0), ("1:05 am", 1), ("11:05 AM", 11), ("12:05 PM", 12),
     ("1:05 pm", 13), ("11:05 P.M.", 23)],
)  # fmt: skip
def test_a_clock_of_twelve_hours(cell: str, hour: int) -> None:
    """Midnight is 12 AM, noon 12 PM."""
    assert read("2026-11-15", clocks=[cell]) == [datetime(2026, 11, 15, hour, 5)]


@pytest.mark.parametrize(
    "cell",
    ["", "9.7", "9.70", "-3,5", "END", "10.11", "1234", "2026-11-15", "08:30", "24:61",
     "13:05 PM", "2026-13-15 08:3", "15/11/2026", "1:2:3"],
)  # fmt: skip
def test_what_is_no_moment(cell: str) -> None:
    assert kind_of(cell) not in ("moment", "epoch")


def test_the_whole_column_tells_day_from_month() -> None:
    """One day after the twelfth settles it for all rows."""
    assert read("05/11/2026 08:30", "13/11/2026 08:30")[0] == datetime(
        2026, 11, 5, 8, 30
    )
    assert read("05/11/2026 08:30", "05/13/2026 08:30")[0] == datetime(
        2026, 5, 11, 8, 30
    )


def test_days_up_to_the_twelfth_need_to_be_told() -> None:
    cells = ["05/11/2026 08:30", "06/11/2026 08:30"]
    with pytest.raises(CannotTellError):
        read(*cells)
    assert read(*cells, day_first=True)[0] == datetime(2026, 11, 5, 8, 30)
    assert read(*cells, day_first=False)[0] == datetime(2026, 5, 11, 8, 30)


def test_a_column_that_contradicts_itself_is_not_guessed() -> None:
    with pytest.raises(CannotTellError):
        read("13/11/2026 08:30", "11/14/2026 08:30")


def test_a_year_of_two_digits_is_what_changes_least() -> None:
    last = [f"{day}-11-26 08:30" for day in (13, 14, 15)]
    first = [f"26-11-{day} 08:30" for day in (13, 14, 15)]
    days = [datetime(2026, 11, day, 8, 30) for day in (13, 14, 15)]
    assert read(*last) == read(*first) == days
    with pytest.raises(CannotTellError):
        read("26-11-25 08:30")


def test_days_that_the_calendar_lacks_are_no_times() -> None:
    found = read("2026-02-30 08:30", "2026-11-31 08:30", "2028-02-29 08:30", "x", "")
    assert found == [None, None, datetime(2028, 2, 29, 8, 30), None, None]


def test_summer_time_of_the_site() -> None:
    """Berlin is two hours ahead of UTC from 28 March 2027 on."""
    assert read("2027-03-27T12:00Z", "2027-03-28T12:00Z") == [
        datetime(2027, 3, 27, 13), datetime(2027, 3, 28, 14)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("head", "minutes"),
    [("Time (UTC)", 0), ("Date Time, GMT+01:00", 60), ("UTC-5", -300),
     ("GMT+0530", 330), ("Time", None), ("Outcut", None)],
)  # fmt: skip
def test_a_header_may_name_the_offset(head: str, minutes: int | None) -> None:
    assert ahead_of_utc(head) == minutes


def test_a_header_s_offset_holds_for_cells_without_one() -> None:
    found = read("2026-11-15 07:30", "2026-11-15T08:30+01:00", ahead=0)
    assert found == [HALF_PAST, HALF_PAST]


FORMATS = (
    "%Y-%m-%d %H:%M:%S", "%d/%m/%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p",
    "%d.%m.%Y %H:%M:%S", "%d %b %Y %H:%M:%S", "%B %d, %Y %I:%M:%S %p",
)  # fmt: skip


@given(
    st.lists(
        st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1)), min_size=1, max_size=8
    ),
    st.sampled_from(FORMATS),
)
def test_what_is_written_is_read_again(times: list[datetime], form: str) -> None:
    """Against strftime, with the order told where it stays open."""
    exact = [when.replace(microsecond=0) for when in times]
    cells = [when.strftime(form) for when in exact]
    assert read(*cells, day_first=not form.startswith("%m")) == exact


@given(st.integers(1, 400))
def test_a_run_of_more_than_twelve_days_is_never_mistaken(start: int) -> None:
    """Thirteen days in a row hold one after the twelfth, whichever comes first."""
    first = datetime(2026, 1, 1, 8, 30) + timedelta(days=start)
    run = [first + timedelta(days=day) for day in range(20)]
    for form in ("%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"):
        assert read(*[when.strftime(form) for when in run]) == run


def test_no_cells_are_no_fault() -> None:
    assert np.size(read()) == 0
