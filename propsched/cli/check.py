"""``propsched check``."""

import sys
from datetime import date, datetime
from pathlib import Path

import click

from propsched.cli.options import format_option, season_argument, today_option
from propsched.cli.output import data, notes, show
from propsched.report.words import clean


@click.command("check")
@season_argument
@click.option(
    "--repair",
    is_flag=True,
    help="Mend what a crash, a merge or a synced folder has left; no row is dropped.",
)
@click.option("--dry-run", is_flag=True, help="With --repair: only say what it does.")
@click.option("--yes", is_flag=True, help="With --repair: do not ask.")
@today_option
@format_option
def command(
    season: Path, repair: bool, dry_run: bool, yes: bool, today: date | None, form: str
) -> None:
    """Read a season and say what was understood.

    Every fault of every file is named with its line, and what would be right.
    """
    from propsched.report import answers, machine
    from propsched.service.check import check

    if (dry_run or yes) and not repair:
        raise click.UsageError("--dry-run and --yes go with --repair")
    if repair and not _repaired(season, dry_run=dry_run, yes=yes):
        return
    answer = check(season, today=today)
    notes(answer.notes)
    if form == "csv":
        data(machine.check_csv(answer))
    elif form == "json":
        data(machine.check_json(answer))
    else:
        show(lambda width: answers.check_report(answer))


def _repaired(season: Path, *, dry_run: bool, yes: bool) -> bool:
    """Whether the season was mended, or there was nothing to mend."""
    from propsched.files.repair import carry_out, look_over

    seen = look_over(season)
    for one in seen.mends:
        place = f"{one.path}:{one.line}" if one.line else one.path
        click.echo(clean(f"{place}: {one.what} – {one.done}"), err=True)
    for one in seen.left:
        click.echo(clean(f"{one.problem()} (left to you)"), err=True)
    if not seen.changes:
        click.echo("Nothing to mend.", err=True)
        return True
    if dry_run:
        click.echo("Nothing was changed.", err=True)
        return False
    if not yes:
        if not sys.stdin.isatty():
            raise click.UsageError("--repair asks first: add --yes, or --dry-run")
        if not click.confirm("Mend all that?", err=True):
            click.echo("Nothing was changed.", err=True)
            return False
    kept = carry_out(season, seen, datetime.now())
    click.echo(clean(f"Mended. The files as they were are in {kept}"), err=True)
    return True
