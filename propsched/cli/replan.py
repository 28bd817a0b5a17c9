"""``propsched replan``, and what it shares with ``whatif``."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from propsched.cli.options import Decorated, season_argument
from propsched.cli.output import data, notes, show
from propsched.cli.planning import end_with, planning_options
from propsched.cli.running import run_planning

if TYPE_CHECKING:
    from propsched.service.change import Change


def replan_options(command: Decorated) -> Decorated:
    """What both commands take."""
    afresh = click.option(
        "--afresh",
        is_flag=True,
        help="Plan it from nothing as well, to compare; takes as long again.",
    )
    return afresh(planning_options(least_s=5, gap=0.002)(command))


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
    end_with(answer.outcome.plan.status)
