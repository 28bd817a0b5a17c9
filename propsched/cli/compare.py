"""``propsched compare``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import (
    date_option,
    format_option,
    outlook_options,
    season_argument,
    today_option,
)
from propsched.cli.output import data, notes, show


@click.command("compare")
@season_argument
@click.argument("first", metavar="SPACE")
@click.argument("second", metavar="SPACE")
@date_option("--from", "since", help="First day of readings to use.")
@date_option("--to", "until", help="Last day of readings to use.")
@click.option(
    "--level",
    type=click.Choice(["80", "95"]),
    default="95",
    show_default=True,
    help="Per cent of such intervals that hold the true mean.",
)
@today_option
@outlook_options
@format_option
def command(
    season: Path,
    first: str,
    second: str,
    since: date | None,
    until: date | None,
    level: str,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """Is one space warmer than another, by their readings?

    Readings of both within 90 minutes are paired; days that resemble their
    neighbours count for less. Differences are the first space less the second.
    """
    from propsched.report import machine
    from propsched.report.compare import compare_report
    from propsched.service.compare import compare

    if since is not None and until is not None and until < since:
        raise click.UsageError(f"--to {until} is before --from {since}")
    answer = compare(
        season,
        first,
        second,
        since=since,
        until=until,
        level=int(level) / 100,
        today=today,
        winters=winters,
        seed=seed,
    )
    notes(answer.notes)
    if form == "csv":
        data(machine.compare_csv(answer))
    elif form == "json":
        data(machine.compare_json(answer))
    else:
        show(lambda width: compare_report(answer, width))
