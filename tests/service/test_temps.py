"""What ``temps`` answers: reading, model, corrected value and range."""

from datetime import date, timedelta

import numpy as np
import pytest
from folders import write_folder

from propsched.errors import UnknownNameError
from propsched.report.machine import temps_csv
from propsched.service.climate import readings_of, warmth
from propsched.service.loaded import load
from propsched.service.temps import temps

TODAY = date(2026, 12, 20)
FORECAST_D = 7


def weather(forecast_d=FORECAST_D):
    """Invented: a wave of nine days on a slow fall."""
    rows = ["date,tmin_c,tmax_c,kind"]
    first = date(2026, 8, 1)
    for n in range((TODAY - first).days + forecast_d + 1):
        mean = 16 - 0.08 * n + 3 * np.sin(2 * np.pi * n / 9)
        day = first + timedelta(days=n)
        kind = "observed" if day <= TODAY else "forecast"
        rows.append(f"{day},{mean - 3.5:.1f},{mean + 3.5:.1f},{kind}")
    return "\n".join(rows) + "\n"


def readings(*rows):
    lines = [f"{time},{space},8,{temp},kitchen," for time, space, temp in rows]
    return "\n".join(["time,space,depth_cm,temp_c,probe,note", *lines]) + "\n"


def answer(tmp_path, rows=(), *, space="border", today=TODAY, forecast_d=FORECAST_D):
    folder = write_folder(
        tmp_path / f"season-{len(rows)}-{today}-{forecast_d}",
        weather_csv=weather(forecast_d),
        readings_csv=readings(*rows),
        daybook_csv=None,
        pins_csv=None,
        crops_csv=None,
        batches_csv=None,
    )
    found = temps(folder, today=today, spaces=[space])
    return {row.date: row for row in found.rows}


def width(row):
    return row.high_c - row.low_c


def test_without_readings_the_model_stands(tmp_path):
    rows = answer(tmp_path)
    assert all(row.root_mean_c == row.model_c for row in rows.values())
    assert {row.reading_c for row in rows.values()} == {None}
    assert {row.source for row in rows.values()} == {"model", "forecast", "outlook"}


def test_a_reading_moves_its_day_and_less_the_days_about_it(tmp_path):
    plain = answer(tmp_path)
    day = date(2026, 12, 15)
    shown = plain[day].root_mean_c + 4.5
    # the kitchen probe has an offset of −0.5
    told = answer(tmp_path, [(f"{day} 13:30", "border", shown + 0.5)])
    row = told[day]
    assert row.source == "reading"
    # half past one is not the day's mean: the model says by how much
    assert row.reading_c == pytest.approx(shown, abs=1.5)
    assert row.model_c == plain[day].root_mean_c
    assert row.model_c + 1 < row.root_mean_c < row.reading_c
    later = [told[day + timedelta(days=n)] for n in (0, 1, 3, 5)]
    moved = [r.root_mean_c - r.model_c for r in later]
    assert moved == sorted(moved, reverse=True)
    assert moved[-1] > 0
    assert {r.source for r in later[1:]} == {"model"}
    assert {r.reading_c for r in later[1:]} == {None}
    # the days before know of it too
    before = told[day - timedelta(days=2)]
    assert before.root_mean_c > before.model_c
    assert width(row) < width(plain[day])
    assert row.root_min_c > plain[day].root_min_c + 1


def test_readings_of_one_space_leave_the_others_alone(tmp_path):
    plain = answer(tmp_path, space="house")
    told = answer(tmp_path, [("2026-12-15 13:30", "border", 15.0)], space="house")
    assert told == plain


def test_readings_after_today_are_not_known(tmp_path):
    rows = [(f"2026-12-{d} 13:30", "border", 12.0) for d in range(16, 20)]
    early = date(2026, 12, 15)
    assert answer(tmp_path, rows, today=early) == answer(tmp_path, today=early)


def test_an_unread_space_is_unsure_and_a_read_one_surer_until_the_outlook(tmp_path):
    rows = [(f"2026-12-{d:02d} 09:30", "border", 6.0) for d in (6, 13, 20)]
    plain, told = answer(tmp_path), answer(tmp_path, rows)
    assert width(told[TODAY]) < 0.8 * width(plain[TODAY])
    spring = date(2027, 4, 1)
    assert width(told[spring]) == pytest.approx(width(plain[spring]), rel=0.25)


def test_the_range_grows_through_the_forecast(tmp_path):
    rows = answer(tmp_path)
    widths = [width(rows[TODAY + timedelta(days=n)]) for n in (0, 2, 4, 7)]
    assert widths == sorted(widths)
    assert widths[-1] > widths[0] + 1
    assert rows[TODAY + timedelta(days=FORECAST_D)].source == "forecast"


def test_a_forecast_is_worth_having(tmp_path):
    """Days ahead are surer with a forecast than without."""
    with_it, without = answer(tmp_path), answer(tmp_path, forecast_d=0)
    for n in (1, 3, 5):
        day = TODAY + timedelta(days=n)
        assert width(with_it[day]) < width(without[day])


def test_the_csv_keeps_its_columns(tmp_path):
    folder = write_folder(tmp_path, weather_csv=weather(), pins_csv=None)
    head = temps_csv(temps(folder, today=TODAY)).splitlines()[0]
    assert head == (
        "date,space,root_mean_c,root_min_c,root_max_c,low_c,high_c,air_min_c,source"
    )


def test_an_unknown_space_is_named_with_those_there_are(tmp_path):
    with pytest.raises(UnknownNameError, match="border, house, bench, hotbed, pond"):
        answer(tmp_path, space="attic")


def test_where_and_plan_reckon_with_what_was_read(tmp_path):
    """The root zone handed on is the corrected one, in every winter."""
    rows = [(f"2026-12-{d:02d} 09:30", "border", 11.0) for d in range(6, 21, 2)]
    folder = write_folder(
        tmp_path, weather_csv=weather(), readings_csv=readings(*rows), pins_csv=None
    )
    loaded = load(folder, TODAY)
    told = warmth(loaded, winters=20, seed=0)
    plain = warmth(loaded, winters=20, seed=0, by_readings=False)
    v = told.zone.of("border")
    now = 24 * told.horizon.day(TODAY) + 9
    read = 11.0 - 0.5
    assert abs(told.zone.root_c[v, 0, now] - read) < 1.0
    assert plain.zone.root_c[v, 0, now] < read - 2
    assert set(told.learnt) == {"border"}
    assert plain.learnt == {}
    later = told.zone.root_c[v] - told.modelled.root_c[v]
    # the offset is the same in every winter
    assert np.ptp(later, axis=0).max() < 1e-4
    assert (told.zone.air_c == told.modelled.air_c).all()


def test_clock_times_are_taken_out_of_summer_time(tmp_path):
    """A reading at 13:30 in April is one of 12:30 by the sun's clock."""
    rows = [("2026-11-10 13:30", "border", 9.0), ("2027-04-10 13:30", "border", 9.0)]
    folder = write_folder(
        tmp_path, weather_csv=weather(), readings_csv=readings(*rows), pins_csv=None
    )
    times = readings_of(load(folder, date(2027, 4, 20)))["time"]
    assert [str(t) for t in times] == ["2026-11-10 13:30:00", "2027-04-10 12:30:00"]
