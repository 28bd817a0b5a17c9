"""Observed, then forecast, then each winter as one past winter or a generated one."""

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from builders import make_season, make_site

from propsched.domain.quantities import Horizon
from propsched.errors import InvalidInputError, PropschedError
from propsched.thermal.outlook import LEAST_WINTERS, make_outlook
from propsched.thermal.outlook_types import Outlook

TODAY = date(2026, 11, 15)
HORIZON = Horizon(date(2026, 8, 1), 304)  # to 31 May 2027
EMPTY = pd.DataFrame({"date": pd.Series(dtype="datetime64[ns]")})
NORMALS = {
    "normals_tmin_c": (1.6, 1.5, 2.6, 4.0, 6.6, 9.4, 11.4, 11.2, 9.2, 6.6, 3.7, 1.9),
    "normals_tmax_c": (7.4, 8, 10.1, 12.7, 15.8, 18.4, 20.2, 19.8, 17.4, 13.8, 10, 7.7),
}  # invented


def code(day: date) -> float:
    """A value that tells the day: year in tens, day of the year in thousandths."""
    return (day.year - 2000) + day.timetuple().tm_yday / 1000


def rows(first: date, last: date, **columns: Any) -> pd.DataFrame:
    days = [first + timedelta(days=i) for i in range((last - first).days + 1)]
    plain = {
        "date": pd.to_datetime(days),
        "tmin_c": [code(d) for d in days],
        "tmax_c": [code(d) + 5 for d in days],
        "kind": "",
    }
    return pd.DataFrame({**plain, **columns})


def past(first_year: int, last_year: int) -> pd.DataFrame:
    """Whole years from 1 August to 31 July."""
    return rows(date(first_year, 8, 1), date(last_year, 7, 31))


WEATHER = rows(date(2026, 9, 1), date(2026, 11, 22))


def outlook(**over: Any) -> Outlook:
    asked: dict[str, Any] = {
        "season": make_season(),
        "weather": WEATHER,
        "history": past(2001, 2026),
        "today": TODAY,
        "horizon": HORIZON,
        "winters": 25,
        "seed": 1,
    }
    asked.update(over)
    season, weather, history = (asked.pop(k) for k in ("season", "weather", "history"))
    return make_outlook(season, weather, history, **asked)


def test_every_winter_has_the_weather_rows_and_the_rest_is_one_past_winter() -> None:
    made = outlook()
    assert made.tmin_c.shape == (25, 304)
    assert made.winters[0] == "2001/02"
    assert made.winters[-1] == "2025/26"
    for day in (date(2026, 9, 1), date(2026, 11, 1), TODAY):
        assert set(made.tmin_c[:, HORIZON.day(day)]) == {code(day)}
    for k, back in enumerate(range(25, 0, -1)):
        for day in (date(2026, 8, 1), date(2026, 12, 7), date(2027, 5, 31)):
            then = day.replace(year=day.year - back)
            assert made.tmin_c[k, HORIZON.day(day)] == code(then)
    assert (made.tmin_c <= made.tmax_c).all()


def test_days_are_labelled_by_where_they_come_from() -> None:
    kind = outlook().kind
    assert len(kind) == 304
    assert set(kind[:31]) == {"outlook"}
    assert set(kind[31 : HORIZON.day(TODAY) + 1]) == {"observed"}
    assert kind[HORIZON.day(TODAY) + 1 :][:7] == ("forecast",) * 7
    assert set(kind[HORIZON.day(date(2026, 11, 23)) :]) == {"outlook"}


def test_a_row_marked_forecast_stays_one_and_no_row_after_today_is_observed() -> None:
    marks = ["forecast"] * 3 + ["observed"] * (len(WEATHER) - 3)
    kind = outlook(weather=WEATHER.assign(kind=marks)).kind
    assert kind[31:35] == ("forecast", "forecast", "forecast", "observed")
    assert kind[HORIZON.day(TODAY) + 1] == "forecast"


def test_a_today_before_the_first_row_makes_all_rows_forecast() -> None:
    made = outlook(today=date(2026, 8, 10))
    assert "observed" not in made.kind
    forecast = made.tmin_c[:, HORIZON.day(TODAY)].mean()
    assert forecast == pytest.approx(code(TODAY))


def test_no_weather_at_all_leaves_the_past_winters_alone() -> None:
    made = outlook(weather=EMPTY)
    assert set(made.kind) == {"outlook"}
    assert len(made.winters) == 25


def test_days_of_the_season_that_only_the_history_knows_are_observed() -> None:
    made = outlook(history=rows(date(2001, 8, 1), date(2026, 8, 20)))
    assert made.kind[19:21] == ("observed", "outlook")
    assert set(made.tmin_c[:, 0]) == {code(date(2026, 8, 1))}


def test_the_season_s_own_autumn_completes_the_latest_winter() -> None:
    """Days after 31 July 2027 lie after the history of the winter 2025/26."""
    horizon = Horizon(date(2026, 9, 1), 400)  # to 5 October 2027
    made = outlook(horizon=horizon, history=past(2001, 2026).iloc[31:])
    # August 2026 is known to neither, so the latest winter is left out
    assert made.winters[-1] == "2024/25"
    whole = outlook(
        horizon=horizon,
        history=past(2001, 2026),
        weather=rows(date(2026, 8, 1), date(2026, 11, 22)),
    )
    assert whole.winters[-1] == "2025/26"
    end = horizon.day(date(2027, 10, 5))
    assert whole.tmin_c[-1, end] == code(date(2026, 10, 5))


def test_nothing_after_today_is_taken_for_past() -> None:
    """A replay of an old season must not see what came later."""
    made = outlook(
        season=make_season(start=date(2023, 11, 1), end=date(2024, 5, 31)),
        weather=rows(date(2023, 9, 1), date(2023, 11, 22)),
        today=date(2023, 11, 15),
        horizon=Horizon(date(2023, 8, 1), 305),
    )
    assert made.winters[-1] == "2022/23"
    christmas = HORIZON.day(date(2026, 12, 25))
    assert made.kind[christmas] == "outlook"
    assert code(date(2023, 12, 25)) not in made.tmin_c[:, christmas]


def test_the_29th_of_february_follows_the_28th_of_a_common_year() -> None:
    horizon = Horizon(date(2027, 8, 1), 305)
    made = outlook(
        season=make_season(start=date(2027, 11, 1), end=date(2028, 5, 31)),
        weather=EMPTY,
        history=past(2001, 2027),
        today=date(2027, 9, 1),
        horizon=horizon,
    )
    leap = horizon.day(date(2028, 2, 29))
    assert made.tmin_c[-1, leap] == code(date(2027, 2, 28))
    in_2024 = made.winters.index("2023/24")
    assert made.tmin_c[in_2024, leap] == code(date(2024, 2, 29))
    assert made.tmin_c[in_2024, leap + 1] == code(date(2024, 3, 1))


def test_a_past_29th_of_february_is_skipped_in_a_common_year() -> None:
    made = outlook()
    day = HORIZON.day(date(2027, 2, 28))
    k = made.winters.index("2023/24")
    assert list(made.tmin_c[k, day : day + 2]) == [
        code(date(2024, 2, 28)),
        code(date(2024, 3, 1)),
    ]


def test_a_past_winter_with_a_long_gap_is_left_out_and_a_short_one_bridged() -> None:
    history = past(2001, 2026)
    gap = history["date"].between("2010-01-10", "2010-01-13")
    made = outlook(history=history[~gap])
    assert "2009/10" not in made.winters
    assert len(made.winters) == 24
    short = history["date"].between("2010-01-10", "2010-01-12")
    blank = history["tmin_c"].where(~short)
    for bridged in (outlook(history=history[~short]),
                    outlook(history=history.assign(tmin_c=blank))):  # fmt: skip
        k = bridged.winters.index("2009/10")
        day = HORIZON.day(date(2027, 1, 11))
        assert bridged.tmin_c[k, day] == pytest.approx(code(date(2010, 1, 11)))


def test_the_latest_winters_are_taken_where_fewer_are_asked_for() -> None:
    made = outlook(winters=3)
    assert made.winters == ("2023/24", "2024/25", "2025/26")


def test_missing_winters_are_generated_from_the_normals() -> None:
    made = outlook(
        season=make_season(site=make_site(**NORMALS)), history=past(2020, 2026)
    )
    assert made.winters[:6] == tuple(f"{y}/{y - 1999}" for y in range(2020, 2026))
    assert made.winters[6:] == tuple(f"generated {k}" for k in range(1, 20))
    assert (made.tmin_c <= made.tmax_c).all()
    assert np.isfinite(made.tmin_c).all()
    assert np.isnan(made.solar_mj_m2[6:, -1]).all()


def test_normals_alone_are_enough_and_the_seed_decides() -> None:
    season = make_season(site=make_site(**NORMALS))
    made = outlook(season=season, history=EMPTY)
    again = outlook(season=season, history=EMPTY)
    other = outlook(season=season, history=EMPTY, seed=2)
    assert len(made.winters) == 25
    np.testing.assert_array_equal(made.tmin_c, again.tmin_c)
    assert not np.array_equal(made.tmin_c, other.tmin_c)
    january = slice(HORIZON.day(date(2027, 1, 1)), HORIZON.day(date(2027, 2, 1)))
    # 25 Januaries with a spread of about 1.7 K: standard error 0.35 K
    assert made.tmin_c[:, january].mean() == pytest.approx(1.6, abs=1.05)


def test_a_few_whole_years_serve_as_normals_where_none_are_given() -> None:
    flat = past(2020, 2023).assign(tmin_c=4.0, tmax_c=10.0)
    made = outlook(history=flat, weather=EMPTY)
    assert made.winters[3] == "generated 1"
    assert made.tmax_c[3:].mean() == pytest.approx(10.0, abs=0.5)


def test_neither_normals_nor_history_says_what_to_add() -> None:
    with pytest.raises(PropschedError, match="add normals_tmin_c and normals_tmax_c"):
        outlook(history=EMPTY)
    with pytest.raises(InvalidInputError, match="no monthly normals and 0 whole past"):
        outlook(history=rows(date(2025, 11, 1), date(2026, 4, 30)))


def test_normals_that_contradict_one_another_are_the_user_s_to_mend() -> None:
    site = make_site(normals_tmin_c=(5.0,) * 12, normals_tmax_c=(10.0,) * 11 + (5.0,))
    with pytest.raises(InvalidInputError, match="not below"):
        outlook(season=make_season(site=site), history=EMPTY)


def test_twenty_whole_winters_are_enough() -> None:
    history = past(2026 - LEAST_WINTERS, 2026)
    assert len(outlook(history=history).winters) == LEAST_WINTERS


def test_what_a_row_does_not_tell_is_unknown() -> None:
    weather = WEATHER.assign(solar_mj_m2=3.5, snow_cm=np.nan)
    made = outlook(weather=weather)
    day = HORIZON.day(TODAY)
    assert set(made.solar_mj_m2[:, day]) == {3.5}
    assert np.isnan(made.snow_cm[:, day]).all()
    assert np.isnan(made.wind_m_s).all()
