"""The starter folder is right, says what is invented, and overwrites nothing."""

from datetime import date
from pathlib import Path

import pytest

from propsched.errors import InvalidInputError
from propsched.files.read import read_season
from propsched.files.season_toml import toml_keys
from propsched.files.template import write_new_season


@pytest.mark.parametrize(
    ("today", "start"),
    [
        (date(2026, 11, 25), date(2026, 11, 1)),
        (date(2027, 2, 28), date(2026, 11, 1)),
        (date(2027, 7, 1), date(2027, 11, 1)),
        (date(2028, 2, 29), date(2027, 11, 1)),
    ],
)
def test_the_starter_folder_passes_every_check(
    today: date, start: date, tmp_path: Path
) -> None:
    written = write_new_season(tmp_path / "new", today)
    files = read_season(tmp_path / "new")
    assert set(written) == set((tmp_path / "new").iterdir())
    assert files.season.start == start
    assert len(files.batches) == 3
    assert len(files.season.spaces) >= 3
    days = [day.date() for day in files.weather["date"]]
    assert days[-1] == today if today >= start else days[0] == start
    assert files.daybook == files.pins == ()


def test_a_southern_winter_and_a_name_with_quotes(tmp_path: Path) -> None:
    write_new_season(
        tmp_path / "new", date(2027, 2, 1), name='Jo\'s "plot" \\ 2', latitude=-37.5
    )
    season = read_season(tmp_path / "new").season
    assert season.name == 'Jo\'s "plot" \\ 2'
    assert (season.start, season.end) == (date(2027, 5, 1), date(2027, 11, 30))
    low = season.site.normals_tmin_c
    assert low is not None
    assert min(low) == low[6]


def test_invented_weather_says_so_in_every_row(tmp_path: Path) -> None:
    write_new_season(tmp_path, date(2026, 11, 25))
    _, *rows = (tmp_path / "weather.csv").read_text(encoding="utf-8").splitlines()
    assert rows
    assert all("invented" in row for row in rows)


def test_the_keys_it_shows_behind_a_mark_are_right_too(tmp_path: Path) -> None:
    """Every line that is off can be switched on."""
    write_new_season(tmp_path, date(2026, 11, 25))
    path = tmp_path / "season.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    keys = {key for table in toml_keys().values() for key in table}
    on = [
        line.removeprefix("# ")
        if line.startswith("# [")
        or line.removeprefix("# ").partition(" =")[0].strip() in keys
        else line
        for line in lines
    ]
    assert sum(a != b for a, b in zip(lines, on, strict=True)) >= 9
    path.write_text("\n".join(on), encoding="utf-8")
    assert read_season(tmp_path).season.work.away


def test_version_control_passes_over_the_lock(tmp_path: Path) -> None:
    """The lock of the writers stays in the folder; one's own list is left alone."""
    write_new_season(tmp_path / "new", date(2026, 11, 25))
    assert (tmp_path / "new" / ".gitignore").read_text() == ".propsched.lock\n.*.part\n"
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / ".gitignore").write_text("mine\n")
    written = write_new_season(tmp_path / "own", date(2026, 11, 25))
    assert (tmp_path / "own" / ".gitignore").read_text() == "mine\n"
    assert tmp_path / "own" / ".gitignore" not in written


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "batches.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(InvalidInputError, match=r"batches\.csv: is already there"):
        write_new_season(tmp_path, date(2026, 11, 25))
    assert [path.name for path in tmp_path.iterdir()] == ["batches.csv"]
