"""``propsched jobs``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import (
    date_option,
    format_option,
    season_argument,
    today_option,
)
from propsched.cli.output import data, notes, show


@click.command("jobs")
@season_argument
@click.option(
    "--days",
    type=click.IntRange(1, 400),
    default=14,
    show_default=True,
    help="How many days to look ahead; 1 is today's jobs.",
)
@date_option("--from", "first", help="First day; else today.")
@click.option(
    "--by",
    type=click.Choice(["day", "space"]),
    default="day",
    show_default=True,
    help="In which order.",
)
@today_option
@format_option
def command(
    season: Path,
    days: int,
    first: date | None,
    by: str,
    today: date | None,
    form: str,
) -> None:
    """What to do in the next days, by the plan in force.

    What the daybook has as done is left out; what is overdue comes first. With each
    day its minutes beside what there is time for, and the compost it takes; below,
    the labels to write.
    """
    from propsched.report import machine
    from propsched.report.jobs import jobs_report
    from propsched.service.jobs import jobs

    answer = jobs(season, today=today, days=days, first=first, by_space=by == "space")
    notes(answer.notes)
    if form == "csv":
        data(machine.jobs_csv(answer))
    elif form == "json":
        data(machine.jobs_json(answer))
    else:
        show(lambda width: jobs_report(answer))
