"""Weather from elsewhere goes into the season's files, and nowhere else."""

import os
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from folders import WEATHER, write_folder

from propsched.cli.main import cli
from propsched.errors import ExitCode
from propsched.files.read import read_season

SHARED = Path(os.environ.get("PROPSCHED_SHARED", Path(__file__).parents[3] / "shared"))
HISTORY = frozenset({"history"})
STATION = """\
date,tmin_c,tmax_c,rain_mm
2026-10-31,3.0,9.0,1.0
2026-11-01,4.0,11.5,0.2
2026-11-02,2.0,7.0,3.0
2026-11-03,0.4,8.8,0.0
2026-11-04,1.0,7.0,0.0
2026-11-05,2.5,6.0,
"""


def run(folder: Path, *words: str, text: str | None = None) -> Result:
    line = ["weather", str(folder), "--today", "2026-11-04", *words]
    return CliRunner().invoke(cli, line, input=text)


def station(tmp_path: Path, text: str = STATION) -> str:
    path = tmp_path / "station.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def text_of(folder: Path, name: str = "weather.csv") -> str:
    return (folder / name).read_text(encoding="utf-8")


def test_measured_days_take_the_place_of_the_forecast_alone(tmp_path: Path) -> None:
    """Days that were observed otherwise stay, and are told."""
    folder = write_folder(tmp_path / "season")
    done = run(folder, "--import", station(tmp_path))
    assert done.exit_code == ExitCode.DONE, done.output
    assert text_of(folder) == (
        "date,tmin_c,tmax_c,solar_mj_m2,kind,rain_mm,note\n"
        "2026-10-31,3,9,,observed,1,from station.csv\n"
        "2026-11-01,4.0,11.5,5.1,observed,0.2,\n"
        "2026-11-02,-0.5,8.0,,observed,,\n"
        "2026-11-03,0.4,8.8,,observed,0,from station.csv\n"
        "2026-11-04,1,7,,observed,0,from station.csv\n"
    )
    assert (
        "weather.csv: 2 days added, 1 day replaced, 1 day completed, 1 day left as they"
        " were; 2026-10-31 to 2026-11-04." in done.stdout
    )
    assert "2026-11-02: tmin_c -0.5, not 2, tmax_c 8, not 7 (--replace" in done.stderr
    assert "1 day after 2026-11-04 left out" in done.stderr
    again = run(folder, "--import", station(tmp_path))
    assert "4 days there already, 1 day left as they were" in again.stdout


def test_observed_days_are_replaced_only_when_asked_for(tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season")
    done = run(folder, "--import", station(tmp_path), "--replace")
    assert done.exit_code == ExitCode.DONE
    assert "2026-11-02,2,7,,observed,3,from station.csv" in text_of(folder)
    assert "2026-11-01,4.0,11.5,5.1,observed,0.2," in text_of(folder)


def test_the_layout_of_the_file_is_kept(tmp_path: Path) -> None:
    """Byte order mark, remarks, CRLF, semicolons, decimal commas and own order."""
    old = (
        "\ufeff# of the garden\r\nkind;tmax_c;tmin_c;date\r\n"
        "observed;11,5;4;2026-11-01\r\n# frost\r\nforecast;8;-0,5;2026-11-02\r\n"
    )
    folder = write_folder(tmp_path / "season", weather_csv=old)
    new = "date,tmin_c,tmax_c\n2026-11-02,-1.5,7\n2026-11-03,0,6\n"
    done = run(folder, "--import", station(tmp_path, new))
    assert done.exit_code == ExitCode.DONE, done.output
    assert (folder / "weather.csv").read_bytes().decode() == (
        "\ufeff# of the garden\r\nkind;tmax_c;tmin_c;date;note\r\n"
        "observed;11,5;4;2026-11-01;\r\n# frost\r\n"
        "observed;7;-1,5;2026-11-02;from station.csv\r\n"
        "observed;6;0;2026-11-03;from station.csv\r\n"
    )


def test_days_that_would_leave_a_hole_are_refused(tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season", weather_csv=WEATHER)
    before = text_of(folder)
    new = "date,tmin_c,tmax_c\n2026-09-01,8,15\n2026-09-02,8,15\n"
    done = run(folder, "--import", station(tmp_path, new))
    assert done.exit_code == ExitCode.BAD_INPUT
    assert "59 days are missing before 2026-11-01" in done.stderr
    assert "nothing was taken" in done.stderr
    old = run(folder, "--import", station(tmp_path, new.replace("2026", "2020")))
    assert "are for --history" in old.stderr
    assert text_of(folder) == before


def test_past_winters_go_into_the_history_without_holes(tmp_path: Path) -> None:
    """One day is filled between its neighbours; beside a longer hole days go."""
    first = date(2020, 1, 1)
    days = [first + timedelta(n) for n in range(300)]
    missing = {days[50], *days[100:110]}
    text = "date,tmin_c,tmax_c\n" + "".join(
        f"{day},{n % 7},{n % 7 + 5}\n"
        for n, day in enumerate(days)
        if day not in missing
    )
    folder = write_folder(tmp_path / "season", history_csv=None)
    done = run(folder, "--import", station(tmp_path, text), "--history")
    assert done.exit_code == ExitCode.DONE, done.output
    history = read_season(folder, need=frozenset(), only=HISTORY).history
    there = set(history["date"].dt.date)
    assert days[50] in there
    row = history[history["date"].dt.date == days[50]].iloc[0]
    assert (row["tmin_c"], row["tmax_c"]) == ((0 + 2) / 2, (5 + 7) / 2)
    assert there == {*days[:100], *days[160:]}
    assert "1 day missing in it filled on the straight line" in done.stderr
    assert "50 days after gaps of more than 3 days left out" in done.stderr


def test_a_pasted_forecast_never_hides_what_was_observed(tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season")
    text = "2 Nov 5/9\n3 Nov -2/4\n4 Nov -3/3\n5 Nov -1/5\n4 May 9/20\n"
    done = run(folder, "--forecast", "-", text=text)
    assert done.exit_code == ExitCode.DONE, done.output
    assert text_of(folder).splitlines()[2:] == [
        "2026-11-02,-0.5,8.0,,observed",
        "2026-11-03,-2,4,,forecast",
        "2026-11-04,-3,3,,forecast",
        "2026-11-05,-1,5,,forecast",
    ]
    assert "temperatures in °C, taken to be so" in done.stdout
    assert "2026-11-02: observed already" in done.stderr
    assert "2027-05-04 is no day that a forecast of today can tell" in done.stderr


def test_without_options_it_says_what_there_is(tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season", history_csv=None)
    said = run(folder).stdout
    assert said.splitlines() == [
        "weather.csv: 3 days, 2026-11-01 to 2026-11-03, 1 of them a forecast",
        "history.csv: no days",
    ]


@pytest.mark.parametrize(
    "words",
    [
        ("--history",),
        ("--import", "x.csv", "--forecast", "-"),
        ("--import", "nowhere.csv"),
        ("--forecast", "nowhere.txt"),
    ],
)
def test_what_makes_no_sense_is_refused(words: tuple[str, ...], tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season")
    assert run(folder, *words, text="").exit_code == ExitCode.BAD_INPUT


def test_17_winters_of_a_station_become_a_history(tmp_path: Path) -> None:
    path = SHARED / "data" / "ie_gurteen_daily.csv"
    if not path.is_file():
        pytest.skip("the measured stations are not here (PROPSCHED_SHARED)")
    folder = write_folder(tmp_path / "season", history_csv=None)
    done = run(folder, "--import", str(path), "--history")
    assert done.exit_code == ExitCode.DONE, done.output
    history = read_season(folder, need=frozenset(), only=HISTORY).history
    assert len(history) == len(path.read_text(encoding="utf-8").splitlines()) - 1
    assert "solar_mj_m2 from W/m² (24-h mean)" in done.stdout
