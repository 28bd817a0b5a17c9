"""``propsched tonight``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import (
    format_option,
    outlook_options,
    season_argument,
    today_option,
)
from propsched.cli.output import data, notes, show


@click.command("tonight")
@season_argument
@click.option(
    "--nights",
    type=click.IntRange(1, 14),
    default=3,
    show_default=True,
    help="How many nights to look at, the coming one first.",
)
@today_option
@outlook_options
@format_option
def command(
    season: Path,
    nights: int,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """What is at risk on the next nights, how likely, and what helps.

    What stands where is told by the daybook, and from tomorrow on by the plan in
    force too.
    """
    from propsched.report import tonight as report
    from propsched.service.tonight import tonight

    answer = tonight(season, nights=nights, today=today, winters=winters, seed=seed)
    notes(answer.notes)
    if form == "csv":
        data(report.tonight_csv(answer))
    elif form == "json":
        data(report.tonight_json(answer))
    else:
        show(lambda width: report.tonight_report(answer))
