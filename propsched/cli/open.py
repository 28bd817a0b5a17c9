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
@click.option(
    "--web",
    is_flag=True,
    help="Serve it to a browser, at an address with a token; of this machine only.",
)
@click.option(
    "--lan",
    is_flag=True,
    help="With --web: to the local network too, for a phone in the greenhouse.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=8000,
    show_default=True,
    help="With --web; another one where it is taken.",
)
@today_option
def command(
    season: Path,
    plain: bool,
    theme: str | None,
    web: bool,
    lan: bool,
    port: int,
    today: date | None,
) -> None:
    """Keep a season open: spaces, warmth, batches, jobs, readings.

    `propsched SEASON` does the same. Everything is told by ? once it is open.
    """
    if not (season / "season.toml").exists():
        raise PropschedError(
            f"{season}: no season.toml – begin a season with: propsched new {season}"
        )
    if lan and not web:
        raise click.UsageError("--lan goes with --web")
    if web:
        _serve(season, today, theme, lan=lan, port=port)
    elif plain or not _can_draw():
        from propsched.tui.plain import Dialogue

        Dialogue(season, today=today).run(sys.stdin, sys.stdout)
    else:
        _draw(season, today, theme)


def _can_draw() -> bool:
    dumb = os.environ.get("TERM", "") in ("dumb", "unknown")
    if os.environ.get("TEXTUAL_DRIVER"):  # it draws somewhere else, in a browser
        return True
    return sys.stdin.isatty() and sys.stdout.isatty() and not dumb


def _serve(
    season: Path, today: date | None, theme: str | None, *, lan: bool, port: int
) -> None:
    from propsched.tui.web import (
        EVERYWHERE,
        LOOPBACK,
        WebApp,
        free_port,
        own_address,
        serve,
    )

    arguments = ["open", str(season.resolve())]
    arguments += ["--today", today.isoformat()] if today else []
    arguments += ["--theme", theme] if theme else []
    host = EVERYWHERE if lan else LOOPBACK
    app = WebApp(
        arguments, title=season.resolve().name, host=host, port=free_port(host, port)
    )
    click.echo(app.address(own_address() if lan else None))
    if lan:
        click.echo(
            "Whoever on your network has this address can read and change the season; "
            "it is not encrypted. Ctrl-C ends it.",
            err=True,
        )
    else:
        click.echo("For this machine only; Ctrl-C ends it.", err=True)
    sys.stdout.flush()
    serve(app)


def _draw(season: Path, today: date | None, theme: str | None) -> None:
    gc.disable()  # on again with the first picture: what is loaded until then stays
    from propsched.tui.app import PropschedApp
    from propsched.tui.away import AwayBackend

    app = PropschedApp(
        season,
        today=today,
        backend=AwayBackend(season, today),
        theme=None if theme is None else f"propsched-{theme}",
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
