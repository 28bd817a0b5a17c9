"""A season begun from nothing."""

import tomllib
from datetime import date
from pathlib import Path

from click.testing import CliRunner

from propsched.cli.main import cli
from propsched.files.read import read_season


def test_a_new_season_reads_without_a_fault(tmp_path: Path) -> None:
    folder = tmp_path / 'a "new" one'
    result = CliRunner().invoke(cli, ["new", str(folder), "--today", "2026-10-03"])
    assert result.exit_code == 0, result.output
    files = read_season(folder)
    assert files.season.name == 'a "new" one'
    assert (files.season.start, files.season.end) == (
        date(2026, 11, 1),
        date(2027, 5, 31),
    )
    assert files.batches


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "weather.csv").write_text("mine")
    result = CliRunner().invoke(cli, ["new", str(tmp_path)])
    assert result.exit_code == 2
    assert "weather.csv: is already there" in result.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["weather.csv"]


def test_the_south_has_its_winter_in_june(tmp_path: Path) -> None:
    CliRunner().invoke(
        cli, ["new", str(tmp_path), "--latitude", "-41", "--today", "2026-10-03"]
    )
    with (tmp_path / "season.toml").open("rb") as file:
        season = tomllib.load(file)
    normals = season["site"]["normals_tmin_c"]
    assert season["season"]["start"] == date(2026, 5, 1)
    assert min(range(12), key=normals.__getitem__) in (5, 6, 7)


def test_an_end_before_the_start_is_bad_usage(tmp_path: Path) -> None:
    result = CliRunner().invoke(
        cli, ["new", str(tmp_path), "--start", "2027-05-01", "--end", "2027-04-01"]
    )
    assert result.exit_code == 2
    assert not list(tmp_path.iterdir())


def site_of(folder: Path, *words: str) -> tuple[str, str]:
    """Time zone and currency that a new season has."""
    result = CliRunner().invoke(cli, ["new", str(folder), *words])
    assert result.exit_code == 0, result.output
    season = read_season(folder).season
    return season.site.timezone, season.heat.currency


def test_clock_and_currency_are_nobodys_where_the_garden_is_elsewhere(
    tmp_path: Path,
) -> None:
    assert site_of(tmp_path / "a") == ("Europe/London", "£")
    assert site_of(tmp_path / "b", "--latitude", "-41") == ("UTC", "")
    given = ("--timezone", "Pacific/Auckland", "--currency", 'N"Z$')
    assert site_of(tmp_path / "c", "--latitude", "-41", *given) == (
        "Pacific/Auckland",
        'N"Z$',
    )


def test_a_time_zone_that_is_none_is_bad_usage(tmp_path: Path) -> None:
    result = CliRunner().invoke(
        cli, ["new", str(tmp_path / "new"), "--timezone", "Europe/Londn"]
    )
    assert result.exit_code == 2
    assert "Europe/London" in result.stderr
    assert not (tmp_path / "new").exists()


def test_the_weather_is_of_the_seasons_own_days(tmp_path: Path) -> None:
    """Invented days of before it would be taken for measured ones."""

    def weather(today: str, *words: str) -> tuple[date, set[str]]:
        folder = tmp_path / today
        CliRunner().invoke(cli, ["new", str(folder), "--today", today, *words])
        rows = read_season(folder).weather
        return rows["date"].iloc[0].date(), set(rows["kind"])

    assert weather("2026-10-03") == (date(2026, 11, 1), {"forecast"})
    assert weather("2026-11-23") == (date(2026, 11, 17), {"observed"})
    later = ("--start", "2030-11-01", "--end", "2031-05-31")
    assert weather("2026-11-24", *later) == (date(2030, 11, 1), {"forecast"})
