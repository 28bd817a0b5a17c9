"""``propsched new``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import date_option


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--name", help="Of the season; else the folder's name.")
@click.option(
    "--latitude",
    type=click.FloatRange(-66, 66),
    default=52.5,
    show_default=True,
    help="Of the garden, north positive.",
)
@date_option("--start", help="First day; else 1 November, in the south 1 May.")
@date_option("--end", help="Last day; else 31 May, in the south 30 November.")
@date_option("--today", help="Begin the season of this day; else of the clock's.")
def command(
    folder: Path,
    name: str | None,
    latitude: float,
    start: date | None,
    end: date | None,
    today: date | None,
) -> None:
    """Begin a season folder with a few example rows to overwrite."""
    from propsched.files.template import write_new_season

    if start is not None and end is not None and end <= start:
        raise click.UsageError(f"--end {end} is not after --start {start}")
    written = write_new_season(
        folder,
        today or date.today(),
        name=name or folder.resolve().name,
        latitude=latitude,
        start=start,
        end=end,
    )
    for path in written:
        click.echo(path)
    click.echo(f"Next: fill in season.toml, then: propsched check {folder}", err=True)
