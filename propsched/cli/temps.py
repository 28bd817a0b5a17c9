"""``propsched temps``."""

from dataclasses import replace
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


@click.command("temps")
@season_argument
@click.option(
    "--space", "spaces", multiple=True, help="Only this one; may be repeated."
)
@date_option("--from", "first", help="First day to print.")
@date_option("--to", "last", help="Last day to print.")
@today_option
@outlook_options
@format_option
def command(
    season: Path,
    spaces: tuple[str, ...],
    first: date | None,
    last: date | None,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """How warm each space is, was and will be, with the range.

    Up to three weeks are printed day by day, longer spans by weeks.
    """
    from propsched.report import answers, machine
    from propsched.service.temps import temps

    if first is not None and last is not None and last < first:
        raise click.UsageError(f"--to {last} is before --from {first}")
    answer = temps(season, today=today, spaces=spaces, winters=winters, seed=seed)
    answer = replace(
        answer,
        rows=tuple(
            row
            for row in answer.rows
            if (first is None or row.date >= first)
            and (last is None or row.date <= last)
        ),
    )
    notes(answer.notes)
    if form == "csv":
        data(machine.temps_csv(answer))
    elif form == "json":
        data(machine.temps_json(answer))
    else:
        show(lambda width: answers.temps_report(answer))
