"""``propsched where``."""

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
from propsched.domain.crop import METHODS


@click.command("where")
@season_argument
@click.argument("crop", metavar="CROP")
@click.option("--method", type=click.Choice(METHODS), help="Seed, cuttings and so on.")
@date_option("--on", help="Day of the start; else today.")
@click.option("--explain", is_flag=True, help="Say why, and where figures come from.")
@today_option
@outlook_options
@format_option
def command(
    season: Path,
    crop: str,
    method: str | None,
    on: date | None,
    explain: bool,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """Rank the spaces for one crop on a day, best first."""
    from propsched.report import answers, machine
    from propsched.service.where import where

    answer = where(
        season, crop, method=method, on=on, today=today, winters=winters, seed=seed
    )
    notes(answer.notes)
    if form == "csv":
        data(machine.where_csv(answer))
    elif form == "json":
        data(machine.where_json(answer))
    else:
        show(lambda width: answers.where_report(answer, explain=explain))
