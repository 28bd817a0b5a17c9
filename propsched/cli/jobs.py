"""``propsched jobs``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import format_option, season_argument, today_option
from propsched.cli.output import data, notes, show


@click.command("jobs")
@season_argument
@click.option(
    "--days",
    type=click.IntRange(1, 400),
    default=14,
    show_default=True,
    help="How many days to look ahead.",
)
@today_option
@format_option
def command(season: Path, days: int, today: date | None, form: str) -> None:
    """What to do in the next days, by the plan in force.

    What the daybook has as done is left out.
    """
    from propsched.report import answers, machine
    from propsched.service.jobs import jobs

    answer = jobs(season, today=today, days=days)
    notes(answer.notes)
    if form == "csv":
        data(machine.jobs_csv(answer))
    elif form == "json":
        data(machine.jobs_json(answer))
    else:
        show(lambda width: answers.jobs_report(answer))
