"""``propsched new``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import date_option


def _as_zone(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> str | None:
    from zoneinfo import available_timezones

    from propsched.files.source import did_you_mean

    if value is None or value in available_timezones():
        return value
    near = did_you_mean(value, available_timezones())
    right = near or "a zone name is such as Europe/London"
    raise click.BadParameter(f"{value!r} is no time zone – {right}", ctx, param)


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--name", help="Of the season; else the folder's name.")
@click.option(
    "--latitude",
    type=click.FloatRange(-66, 66),
    help="Of the garden, north positive; else 52.5, on England's clock.",
)
@click.option(
    "--timezone",
    metavar="ZONE",
    callback=_as_zone,
    help="Of clock times, as Europe/Dublin; with a latitude UTC, else Europe/London.",
)
@click.option("--currency", help="Of heat; with a latitude none, else £.")
@date_option("--start", help="First day; else 1 November, in the south 1 May.")
@date_option("--end", help="Last day; else 31 May, in the south 30 November.")
@click.option(
    "--from",
    "last",
    metavar="LAST",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="Carry over the places, stock, crops and weather of an earlier season.",
)
@click.option(
    "--learnt", is_flag=True, help="With --from: and the rows that lookback suggests."
)
@date_option("--today", help="Begin the season of this day; else of the clock's.")
def command(
    folder: Path,
    name: str | None,
    latitude: float | None,
    timezone: str | None,
    currency: str | None,
    start: date | None,
    end: date | None,
    last: Path | None,
    learnt: bool,
    today: date | None,
) -> None:
    """Begin a season folder with a few example rows to overwrite.

    With --from it begins where an earlier season has ended: its places, stock, crops
    and weather are carried over with their dates moved on, and what stands over goes
    on as it stands. The earlier season stays as it is.
    """
    from propsched.files.template import write_new_season

    if start is not None and end is not None and end <= start:
        raise click.UsageError(f"--end {end} is not after --start {start}")
    if last is not None:
        if latitude is not None or timezone is not None or currency is not None:
            raise click.UsageError(
                "--latitude, --timezone and --currency are carried over by --from"
            )
        _begin_from(last, folder, today or date.today(), name, start, end, learnt)
        return
    if learnt:
        raise click.UsageError("--learnt needs --from")
    written = write_new_season(
        folder,
        today or date.today(),
        name=name or folder.resolve().name,
        latitude=latitude,
        start=start,
        end=end,
        timezone=timezone,
        currency=currency,
    )
    for path in written:
        click.echo(path)
    click.echo(f"Next: fill in season.toml, then: propsched check {folder}", err=True)


def _begin_from(
    last: Path,
    folder: Path,
    today: date,
    name: str | None,
    start: date | None,
    end: date | None,
    learnt: bool,
) -> None:
    from propsched.service.anew import begin_from

    begun = begin_from(
        last, folder, today=today, name=name, start=start, end=end, learnt=learnt
    )
    for path in begun.paths:
        click.echo(path)
    for line in begun.lines:
        click.echo(f"- {line}", err=True)
    click.echo(
        f"Next: look over season.toml and batches.csv, then: propsched check {folder}",
        err=True,
    )
