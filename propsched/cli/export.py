"""``propsched export``."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import click

from propsched.cli.options import outlook_options, season_argument, today_option
from propsched.cli.output import notes
from propsched.cli.writing import refuse_own, write

FILE = click.Path(path_type=Path)
FOLDER = click.Path(path_type=Path, file_okay=False)


@click.command("export")
@season_argument
@click.option("--html", type=FILE, help="Week sheet: a page for the shed wall, A4.")
@click.option("--ics", type=FILE, help="Calendar file with the season's jobs.")
@click.option(
    "--csv", "tables", type=FOLDER, help="Folder for jobs, placements, batches, temps."
)
@click.option("--svg", type=FOLDER, help="Folder for pictures: timeline, warmth.")
@click.option("--png", type=FOLDER, help="The same as PNG.")
@click.option(
    "--days",
    type=click.IntRange(1, 31),
    default=7,
    show_default=True,
    help="Days on the week sheet.",
)
@today_option
@outlook_options
def command(
    season: Path,
    html: Path | None,
    ics: Path | None,
    tables: Path | None,
    svg: Path | None,
    png: Path | None,
    days: int,
    today: date | None,
    seed: int,
    winters: int,
) -> None:
    """Write the plan in force out for paper, calendar and spreadsheet.

    Files that are there are replaced; the season's own are not touched. A calendar
    file imported again moves the events of batches; those of a job that is no longer
    planned stay until you delete them.
    """
    from propsched.report import take_away
    from propsched.service.jobs import jobs
    from propsched.service.opened import open_season
    from propsched.service.temps import temps
    from propsched.service.week import week_of

    if not (html or ics or tables or svg or png):
        raise click.UsageError(
            "what is to be written? --html, --ics, --csv, --svg, --png"
        )
    opened = open_season(season, today=today)
    plan, on = opened.in_force(), opened.today
    refuse_own(season, (html, ics, tables, svg, png))
    if html:
        from propsched.report.sheet import sheet

        week = week_of(season, today=today, days=days, seed=seed, winters=winters)
        write(html, sheet(week).encode())
    if ics or tables:
        span = max(1, (opened.season.end - on).days + 2)
        todo = jobs(season, today=today, days=span)
        notes(todo.notes)
    if ics:
        from propsched.report.calendar import calendar

        write(ics, calendar(opened.season, todo.rows, today=on))
    if tables or svg or png:
        warm = temps(season, today=today, seed=seed, winters=winters)
    if tables:
        _write_all(tables, take_away.tables(plan, todo, warm))
    if svg:
        made = take_away.pictures(plan, opened.season, warm, on, "svg")
        _write_all(svg, made)
    if png:
        made = take_away.pictures(plan, opened.season, warm, on, "png")
        _write_all(png, made)


def _write_all(folder: Path, files: Iterable[tuple[str, bytes]]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files:
        write(folder / name, content)
