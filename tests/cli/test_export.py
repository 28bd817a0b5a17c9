"""``propsched export``: files where they were asked for, and nowhere else."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from tui_season import TODAY, garden_plan, write_garden

from propsched.cli.main import cli
from propsched.errors import ExitCode
from propsched.files.write import write_plan


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "season"
    write_garden(folder)
    write_plan(folder, garden_plan())
    return folder


def export(season: Path, *options: str) -> object:
    days = ("--today", TODAY.isoformat(), "--winters", "2")
    return CliRunner().invoke(cli, ["export", str(season), *days, *options])


def test_everything_at_once(season: Path, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in season.iterdir()}
    out = tmp_path / "deep" / "out"
    result = export(
        season, "--html", str(out / "week.html"), "--ics", str(out / "jobs.ics"),
        "--csv", str(out / "tables"), "--svg", str(out / "pictures"),
    )  # fmt: skip
    assert result.exit_code == ExitCode.DONE, result.output
    told = [Path(line) for line in result.stdout.splitlines()]
    assert {path for path in out.rglob("*") if path.is_file()} == set(told)
    assert (out / "week.html").read_text().startswith("<!DOCTYPE html>")
    assert (out / "jobs.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    assert {p.name for p in (out / "tables").iterdir()} == {
        "jobs.csv", "placements.csv", "batches.csv", "temps.csv",
    }  # fmt: skip
    assert (out / "pictures" / "timeline.svg").is_file()
    after = {path: path.read_bytes() for path in season.iterdir()}
    assert {p: c for p, c in after.items() if p in before} == before


@pytest.mark.parametrize(
    "options",
    [
        (),
        ("--csv", "{season}"),
        ("--html", "{season}/daybook.csv"),
        ("--ics", "{season}/season.toml"),
        ("--days", "0"),
    ],
)
def test_what_cannot_be_is_refused(season: Path, options: tuple[str, ...]) -> None:
    before = {path: path.read_bytes() for path in season.iterdir()}
    result = export(season, *(o.format(season=season) for o in options))
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "Traceback" not in result.output
    after = {path: path.read_bytes() for path in season.iterdir()}
    assert {p: c for p, c in after.items() if p in before} == before
