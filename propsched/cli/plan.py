"""``propsched plan``."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from propsched.cli.options import season_argument
from propsched.cli.output import data, notes, show
from propsched.cli.planning import end_with, planning_options
from propsched.cli.running import run_planning
from propsched.errors import NothingFoundError

if TYPE_CHECKING:
    from propsched.service.events import Outcome


@click.command("plan")
@season_argument
@click.option("--no-save", is_flag=True, help="Leave plan.json as it is.")
@click.option("--explain", is_flag=True, help="Say why each batch stands there.")
@planning_options(least_s=8, gap=0.002)
def command(
    season: Path,
    time_limit_s: float | None,
    gap: float,
    reproducible: bool,
    no_save: bool,
    explain: bool,
    quiet: bool,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """Plan the season: what stands where, and when.

    Writes plan.json and keeps the one before as plan.previous.json. Ctrl-C stops
    the search and keeps the best plan so far.
    """
    from propsched.service.planner import make_plan
    from propsched.service.request import Request

    request = Request(
        folder=season,
        today=today,
        seed=seed,
        reproducible=reproducible,
        time_limit_s=time_limit_s,
        gap=gap,
        winters=winters,
        save=not no_save,
    )
    outcome = run_planning(
        lambda emit, cancel: make_plan(request, emit, cancel), quiet=quiet
    )
    if outcome.plan.status == "stopped" and not outcome.plan.placements:
        raise NothingFoundError("Stopped before there was a plan.")
    if not quiet:
        notes(outcome.notes)
        if request.save:
            click.echo(f"Saved {season / 'plan.json'}", err=True)
    _print(outcome, form, explain=explain)
    end_with(outcome.plan.status)


def _print(outcome: "Outcome", form: str, *, explain: bool) -> None:
    from propsched.files.write import plan_as_json
    from propsched.report import machine
    from propsched.report.tables import plan_report

    if form == "csv":
        data(machine.plan_csv(outcome.plan))
    elif form == "json":
        data(plan_as_json(outcome.plan))
    else:
        show(
            lambda width: plan_report(
                outcome.plan,
                outcome.season,
                outcome.jobs,
                outcome.fill,
                outcome.warmth,
                width=width,
                explain=explain,
            )
        )
