"""``propsched check``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import format_option, season_argument, today_option
from propsched.cli.output import data, notes, show


@click.command("check")
@season_argument
@today_option
@format_option
def command(season: Path, today: date | None, form: str) -> None:
    """Read a season and say what was understood.

    Every fault of every file is named with its line, and what would be right.
    """
    from propsched.report import answers, machine
    from propsched.service.check import check

    answer = check(season, today=today)
    notes(answer.notes)
    if form == "csv":
        data(machine.check_csv(answer))
    elif form == "json":
        data(machine.check_json(answer))
    else:
        show(lambda width: answers.check_report(answer))
