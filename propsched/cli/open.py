"""``propsched open``."""

import gc
import os
import sys
from datetime import date
from pathlib import Path

import click

from propsched.cli.options import season_argument, today_option
from propsched.errors import ExitCode, PropschedError


@click.command("open")
@season_argument
@click.option(
    "--plain",
    is_flag=True,
    help="Ask and answer in plain lines, for screen readers; so it is in any case "
    "where the terminal is dumb or none.",
)
@click.option(
    "--theme",
    type=click.Choice(["light", "dark"]),
    help="Colours; else by the terminal's background where it tells.",
)
@today_option
def command(season: Path, plain: bool, theme: str | None, today: date | None) -> None:
    """Keep a season open: spaces, warmth, batches, jobs, readings.

    `propsched SEASON` does the same. Everything is told by ? once it is open.
    """
    if not (season / "season.toml").exists():
        raise PropschedError(
            f"{season}: no season.toml – begin a season with: propsched new {season}"
        )
    if plain or not _can_draw():
        from propsched.tui.plain import Dialogue

        Dialogue(season, today=today).run(sys.stdin, sys.stdout)
    else:
        _draw(season, today, theme)


def _can_draw() -> bool:
    dumb = os.environ.get("TERM", "") in ("dumb", "unknown")
    if os.environ.get("TEXTUAL_DRIVER"):  # it draws somewhere else, in a browser
        return True
    return sys.stdin.isatty() and sys.stdout.isatty() and not dumb


def _draw(season: Path, today: date | None, theme: str | None) -> None:
    gc.disable()  # on again with the first picture: what is loaded until then stays
    from propsched.tui.app import PropschedApp

    app = PropschedApp(
        season, today=today, theme=None if theme is None else f"propsched-{theme}"
    )
    app.run()
    code = ExitCode.DONE
    if app.return_code:  # its traceback has been printed
        click.echo("This is a fault of propsched, not of your files.", err=True)
        code = ExitCode.BUG
    if app.still_at_work:  # nobody waits for a plan that is not wanted
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)
    if code:
        raise click.exceptions.Exit(code)
