"""Two spaces compared by readings of which the truth is known."""

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from builders import make_space
from folders import write_folder
from hypothesis import given
from hypothesis import strategies as st

from propsched.domain.season import Probe
from propsched.errors import PropschedError, UnknownNameError
from propsched.service.compare import compare
from propsched.service.pairs import daily, day_numbers, pair_readings
from propsched.thermal.probe import corrected_readings

START = datetime(2026, 11, 1)
TODAY = date(2027, 1, 15)
PROBES = (Probe(id="kitchen", offset_c=-0.5), Probe(id="other", offset_c=0.25))
Row = tuple[datetime, str, float, str]


def frame(rows: list[Row], depth: float = np.nan) -> pd.DataFrame:
    columns = ["time", "space", "temp_c", "probe"]
    table = pd.DataFrame(rows, columns=columns).assign(depth_cm=depth)
    table["time"] = table["time"].astype("datetime64[us]")
    return table.sort_values("time", ignore_index=True)


def paired(rows: list[Row] | pd.DataFrame):
    shown = rows if isinstance(rows, pd.DataFrame) else frame(rows)
    spaces = [make_space(id=i, depth_cm=8) for i in ("bed", "border")]
    corrected = corrected_readings(shown, PROBES, spaces)
    return pair_readings(corrected, shown, "bed", "border", PROBES)


def at(hour: float, day: int = 0) -> datetime:
    return START + timedelta(days=day, hours=hour)


def test_nearest_readings_within_90_minutes_are_paired_once() -> None:
    rows = [
        (at(8.0), "bed", 5.0, ""),
        (at(8.5), "border", 4.0, ""),
        (at(9.2), "border", 9.0, ""),
        (at(12.0), "bed", 6.0, ""),
        (at(13.6), "border", 2.0, ""),
    ]
    table = paired(rows).table
    assert list(table["difference_k"]) == [1.0]
    assert list(table["time"]) == [at(8.0)]


@given(
    st.lists(st.integers(0, 60), max_size=8), st.lists(st.integers(0, 60), max_size=8)
)
def test_pairs_are_the_same_whichever_comes_first(
    one: list[int], two: list[int]
) -> None:
    """Quarters of an hour; every pair within 90 minutes, nothing used twice."""
    rows = [(at(q / 4), "bed", 5.0 + q, "") for q in one]
    rows += [(at(q / 4), "border", 3.0 - q, "") for q in two]
    shown = frame(rows)
    both = [
        pair_readings(corrected_readings(shown, ()), shown, *names, ()).table
        for names in (("bed", "border"), ("border", "bed"))
    ]
    assert len(both[0]) == len(both[1])
    assert sorted(both[0]["difference_k"]) == sorted(-both[1]["difference_k"])
    for side in ("a_c", "b_c"):
        assert both[0][side].is_unique


def test_one_probe_cancels_and_two_leave_doubt() -> None:
    """One probe's offset of −0.5 drops out; two differ by 0.75 and have 0.3 K each."""
    same = paired([(at(8), "bed", 5.0, "kitchen"), (at(8), "border", 4.0, "kitchen")])
    assert list(same.table["difference_k"]) == [1.0]
    assert (same.one_probe, same.systematic_sd_k) == (True, 0.0)
    apart = paired([(at(8), "bed", 5.0, "kitchen"), (at(8), "border", 4.0, "other")])
    assert list(apart.table["difference_k"]) == pytest.approx([0.25])
    assert not apart.one_probe
    assert apart.systematic_sd_k == pytest.approx(0.3 * np.sqrt(2))


def test_minutes_of_a_logger_become_hours() -> None:
    rows = [
        (at(m / 60), space, lift + m / 1000, "")
        for m in range(0, 2880, 10)
        for space, lift in (("bed", 6.0), ("border", 5.0))
    ]
    table = paired(rows).table
    assert len(table) == 48
    assert np.allclose(table["difference_k"], 1.0)


def test_the_nearest_depths_are_compared() -> None:
    rows = frame([(at(8), "bed", 5.0, ""), (at(8), "bed", 9.0, ""),
                  (at(8), "border", 4.0, "")])  # fmt: skip
    rows["depth_cm"] = [15.0, 2.0, 10.0]
    both = paired(rows)
    assert both.depths_cm == (15.0, 10.0)
    assert list(both.table["difference_k"]) == [1.0]


def test_times_of_day_count_the_same_however_often_read() -> None:
    """Three mornings at 1 K and one afternoon at 3 K make a day of 2 K."""
    hours = [(6, 1.0), (7, 1.0), (8, 1.0), (14, 3.0)]
    rows = [(at(h), "bed", 5 + d, "") for h, d in hours]
    rows += [(at(h), "border", 5.0, "") for h, _ in hours]
    table = paired(rows).table
    assert list(daily(table, "difference_k")) == [2.0]
    assert list(daily(table, "difference_k", "afternoon")) == [3.0]


def test_a_night_belongs_to_the_day_on_which_it_begins() -> None:
    rows = [(at(h), s, 5.0, "") for h in (23, 27) for s in ("bed", "border")]
    by_day = daily(paired(rows).table, "difference_k", "night")
    assert list(by_day.index) == [pd.Timestamp(START.date())]
    assert list(day_numbers(by_day.index)) == [0.0]


def season(folder: Path, rows: list[Row], days: int = 70) -> Path:
    """Weather that swings between −2 and 14 °C, and these readings."""
    dates = [START + timedelta(days=n) for n in range(days)]
    weather = "date,tmin_c,tmax_c\n" + "".join(
        f"{d:%Y-%m-%d},{air(n) - 3:.2f},{air(n) + 3:.2f}\n" for n, d in enumerate(dates)
    )
    readings = "time,space,depth_cm,temp_c,probe,note\n" + "".join(
        f"{t:%Y-%m-%d %H:%M},{s},8,{c:.2f},{p},\n" for t, s, c, p in rows
    )
    return write_folder(
        folder / "season", weather_csv=weather, readings_csv=readings,
        history_csv=None, batches_csv=None, daybook_csv=None, pins_csv=None,
        crops_csv=None,
    )  # fmt: skip


def air(day: float) -> float:
    return 6 + 5 * np.sin(day / 7)


def logged(lift, days: int = 60, hours: tuple[int, ...] = tuple(range(24))):
    """Hourly readings of border and house, ``lift(day, hour)`` K apart, some noise."""
    rng = np.random.default_rng(4)
    rows: list[Row] = []
    for day in range(days):
        own = 0.3 * rng.normal()
        for hour in hours:
            warmth = air(day) + 2
            rows.append((at(hour, day), "border", warmth, "kitchen"))
            up = lift(day, hour) + own + 0.1 * rng.normal()
            rows.append((at(hour, day), "house", warmth + up, "kitchen"))
    return rows


def asked(folder: Path, rows: list[Row], *spaces: str, **over):
    names = spaces or ("house", "border")
    return compare(season(folder, rows), *names, today=TODAY, winters=3, **over)


def test_a_steady_lift_is_told_with_its_interval(tmp_path: Path) -> None:
    answer = asked(tmp_path, logged(lambda day, hour: 0.8))
    one = answer.whole.interval
    assert one is not None
    assert one.low < 0.8 < one.high
    assert re.fullmatch(
        r"house is warmer than border by 0\.[78] °C, between 0\.\d and 0\.\d",
        answer.verdict,
    )
    assert {row.when for row in answer.by_time} == {"morning", "afternoon", "night"}
    assert answer.whole.days == len(answer.days) == 60
    assert answer.days[0].air_c == pytest.approx(air(0))


def test_turned_round_the_sign_turns(tmp_path: Path) -> None:
    rows = logged(lambda day, hour: 0.8, days=20)
    answer = asked(tmp_path, rows, "border", "house")
    assert answer.verdict.startswith("border is colder than house by 0.")
    assert answer.whole.mean_k == pytest.approx(-0.8, abs=0.2)


def test_colder_on_mild_afternoons_is_seen(tmp_path: Path) -> None:
    """Warmer by 1 K but for afternoons, where it turns at 8 °C of air."""

    def lift(day: int, hour: int) -> float:
        return -0.3 * (air(day) - 8) if 11 <= hour < 18 else 1.0

    answer = asked(tmp_path, logged(lift))
    assert "warmer" in answer.verdict
    assert "colder on mild afternoons (above 8 °C)" in answer.verdict


def test_a_time_of_day_with_the_other_sign_is_told(tmp_path: Path) -> None:
    answer = asked(tmp_path, logged(lambda day, hour: -0.6 if 11 <= hour < 18 else 1.5))
    assert "colder in the afternoons" in answer.verdict


def test_no_difference_is_said_to_be_none(tmp_path: Path) -> None:
    answer = asked(tmp_path, logged(lambda day, hour: 0.0))
    assert answer.verdict.startswith("no difference to be seen: house less border")


def test_too_few_readings_say_how_many_more(tmp_path: Path) -> None:
    """Noise of 1.5 K around .3 K for ten mornings: the days wanted do narrow it."""
    rng = np.random.default_rng(9)
    noise = 1.5 * rng.normal(size=60)
    rows = logged(lambda day, hour: 0.3 + noise[day], days=10, hours=(8,))
    answer = asked(tmp_path, rows)
    assert answer.verdict.startswith("not enough readings yet: about ")
    assert f"about {answer.more_days} more days like these" in answer.verdict
    assert answer.more_days is not None
    assert answer.more_days > 5
    assert any("mornings" in line for line in answer.remarks)


def test_a_few_days_or_none_ask_for_readings(tmp_path: Path) -> None:
    few = asked(tmp_path, logged(lambda day, hour: 1.0, days=3))
    assert few.verdict == (
        "not enough readings yet: both were read on 3 days, at least 2 days more are "
        "needed"
    )
    none = asked(tmp_path, [(at(8), "border", 5.0, "")])
    assert "never read within 90 minutes" in none.verdict
    assert none.days == ()
    folder = season(tmp_path, [])
    (folder / "readings.csv").unlink()
    missing = compare(folder, "house", "border", today=TODAY, winters=3)
    assert missing.verdict == none.verdict


def test_the_model_is_set_beside_the_same_hours(tmp_path: Path) -> None:
    """A heated bench over open ground in winter: the model has it 5 to 18 K warmer."""
    rows = [
        (at(8, day), space, temp, "kitchen")
        for day in range(40, 60)
        for space, temp in (("bench", 18.5), ("border", 5.5))
    ]
    answer = asked(tmp_path, rows, "bench", "border")
    assert answer.whole.model_k is not None
    assert 5 < answer.whole.model_k < 18
    assert answer.season is not None
    assert answer.season.low_k <= answer.season.mean_k <= answer.season.high_k
    assert all(day.model_k is not None for day in answer.days)


def test_only_days_asked_for_and_none_after_today(tmp_path: Path) -> None:
    rows = logged(lambda day, hour: 1.0, hours=(8,))
    span = {"since": date(2026, 11, 10), "until": date(2026, 11, 20)}
    assert asked(tmp_path, rows, **span).whole.days == 11
    early = compare(
        season(tmp_path / "b", rows), "house", "border", today=date(2026, 11, 5),
        winters=2,
    )  # fmt: skip
    assert early.whole.days == 5


def test_unknown_or_equal_spaces_are_refused(tmp_path: Path) -> None:
    rows = logged(lambda day, hour: 1.0, days=2)
    with pytest.raises(UnknownNameError, match="no space 'moon' – the season has"):
        asked(tmp_path, rows, "moon", "border")
    with pytest.raises(PropschedError, match="with itself"):
        asked(tmp_path, rows, "border", "border")
