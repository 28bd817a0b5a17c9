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
@click.option(
    "--explain",
    is_flag=True,
    help="What warms and cools it on a day, in W/m², and what the model assumes.",
)
@date_option("--on", help="Day to explain; else today.")
@today_option
@outlook_options
@format_option
def command(
    season: Path,
    spaces: tuple[str, ...],
    first: date | None,
    last: date | None,
    explain: bool,
    on: date | None,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """How warm each space is, was and will be, with the range.

    Up to three weeks are printed day by day, longer spans by weeks.
    """
    if on is not None and not explain:
        raise click.UsageError("--on goes with --explain")
    if explain and (first or last):
        raise click.UsageError("--explain is of one day – give it with --on")
    if explain:
        _explain(season, spaces, on, today, seed, winters, form)
        return
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


def _explain(
    season: Path,
    spaces: tuple[str, ...],
    on: date | None,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    from propsched.report import machine
    from propsched.report.balance import explain_report
    from propsched.service.explain import explain

    answer = explain(
        season, spaces=spaces, on=on, today=today, winters=winters, seed=seed
    )
    notes(answer.notes)
    if form == "csv":
        data(machine.explain_csv(answer))
    elif form == "json":
        data(machine.explain_json(answer))
    else:
        show(lambda width: explain_report(answer))
