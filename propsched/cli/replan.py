"""``propsched replan``, and what it shares with ``whatif``."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from propsched.cli.options import (
    Decorated,
    format_option,
    outlook_options,
    season_argument,
    today_option,
)
from propsched.cli.output import data, notes, show
from propsched.cli.running import run_planning
from propsched.errors import ExitCode

if TYPE_CHECKING:
    from propsched.service.change import Change


def replan_options(command: Decorated) -> Decorated:
    """What both commands take."""
    options: list[Callable[[Any], Any]] = [
        click.option(
            "--time-limit",
            "time_limit_s",
            type=click.FloatRange(min=0, min_open=True),
            help="Seconds for the search (else 5, or 0.1 a batch).",
        ),
        click.option(
            "--gap",
            type=click.FloatRange(0, 1),
            default=0.002,
            show_default=True,
            help="Stop once proven so near the best possible, as a fraction.",
        ),
        click.option(
            "--reproducible",
            is_flag=True,
            help="Same inputs and seed give the same bytes in plan.json.",
        ),
        click.option(
            "--afresh",
            is_flag=True,
            help="Plan it from nothing as well, to compare; takes as long again.",
        ),
        click.option("--quiet", is_flag=True, help="No progress on stderr."),
        today_option,
        outlook_options,
        format_option,
    ]
    for option in reversed(options):
        command = option(command)
    return command


@click.command("replan")
@season_argument
@click.option("--no-save", is_flag=True, help="Leave plan.json as it is.")
@replan_options
def command(season: Path, no_save: bool, **options: Any) -> None:
    """Plan again from the files as they are, near the plan in force.

    What stands goes on from where the daybook has it; each placement that differs
    from plan.json costs the weight "change". Prints what is to be done otherwise, in
    order of the days by which to act.
    """
    from propsched.service.change import NOTHING

    run_near(season, NOTHING, save=not no_save, **options)


def run_near(
    season: Path,
    change: "Change",
    *,
    save: bool,
    time_limit_s: float | None,
    gap: float,
    reproducible: bool,
    afresh: bool,
    quiet: bool,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """Plan near the plan in force, supposing a change, and print the differences."""
    from propsched.report import differences as report
    from propsched.service.replan import replan
    from propsched.service.request import Request

    request = Request(
        folder=season,
        today=today,
        seed=seed,
        reproducible=reproducible,
        time_limit_s=time_limit_s,
        gap=gap,
        winters=winters,
        save=save,
    )
    answer = run_planning(
        lambda emit, cancel: replan(
            request, emit, cancel, change=change, afresh=afresh
        ),
        quiet=quiet,
    )
    if not quiet:
        notes(answer.notes)
    if form == "csv":
        data(report.replan_csv(answer))
    elif form == "json":
        data(report.replan_json(answer))
    else:
        show(lambda width: report.replan_report(answer))
    if answer.outcome.plan.status == "stopped":
        click.get_current_context().exit(ExitCode.STOPPED)
