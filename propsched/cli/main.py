"""The command ``propsched``: which commands there are, and how they end."""

import errno
import os
import sys
import traceback
from importlib import import_module
from pathlib import Path
from typing import NoReturn

import click

from propsched import __version__
from propsched.errors import ExitCode, PropschedError

COMMANDS = {
    "new": "Begin a season folder.",
    "open": "Keep a season open on the screen; `propsched SEASON` does the same.",
    "check": "Read a season and say what was understood.",
    "temps": "How warm each space is, was and will be.",
    "where": "Rank the spaces for one crop on a day.",
    "plan": "Plan the season: what stands where, and when.",
    "replan": "Plan again, near the plan in force.",
    "whatif": "Try a change: a cold snap, a loss, a delay, a space out of use.",
    "suppose": "What more room, another bench or an earlier hotbed would be worth.",
    "tonight": "What is at risk on the next nights, and what helps.",
    "compare": "Is one space warmer than another, by their readings?",
    "jobs": "What to do in the next days.",
    "export": "Week sheet, calendar, tables and pictures of the plan in force.",
    "lookback": "What was to be expected, beside what happened.",
    "crops": "Search the crop table, show a crop, fit your own trial.",
    "note": "Note a reading, a logger's file, or what was done.",
    "weather": "Take in a station's days, past winters or a forecast.",
}
"""Each in its own module, loaded when it is called."""


class Commands(click.Group):
    """Commands that are imported when called, and end with the codes of errors.py."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command = import_module(f"propsched.cli.{cmd_name}").command
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and Path(args[0]).is_dir():
            args = ["open", *args]
        return super().resolve_command(ctx, args)

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> object:
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except BrokenPipeError:
            _swallow_stdout()
            code = ExitCode.DONE
        except KeyboardInterrupt:
            click.echo("Interrupted.", err=True)
            code = ExitCode.INTERRUPTED
        except Exception as error:
            code = _report(error)
        else:
            return result
        raise click.exceptions.Exit(code)


def _report(error: Exception) -> ExitCode:
    """Say on stderr what went wrong: the user's to mend in lines, ours in full."""
    from propsched.report.words import clean

    if isinstance(error, PropschedError):
        for line in str(error).splitlines():
            click.echo(clean(line), err=True)
        return error.exit_code
    full = isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT)
    if isinstance(error, OSError) and (error.filename is not None or full):
        name = error.filename or "standard output"
        click.echo(clean(f"{name}: {error.strerror}"), err=True)
        return ExitCode.BAD_INPUT
    click.echo("".join(traceback.format_exception(error)), err=True)
    click.echo("This is a fault of propsched, not of your files.", err=True)
    return ExitCode.BUG


def _swallow_stdout() -> None:
    """Whoever read us has had enough; keep the last flush from complaining."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
    except (OSError, ValueError):
        return


@click.command(
    cls=Commands,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="propsched")
def cli() -> None:
    """A propagation scheduler keyed to root-zone temperature.

    A season is a folder of plain files: season.toml, weather.csv, batches.csv.
    """


def main() -> NoReturn:
    """Run the command line; the process ends here."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and not stream.isatty():
            reconfigure(encoding="utf-8")
        elif reconfigure is not None:
            reconfigure(errors="replace")
    try:
        cli(prog_name="propsched")
    except SystemExit as end:
        _leave(end.code)
    except OSError as error:  # of --help, which is outside of any command
        _leave(_report(error))
    _leave(ExitCode.DONE)


def _leave(code: object) -> NoReturn:
    """End at once where a solver left behind would keep the process alive."""
    number = int(code) if isinstance(code, int) else int(ExitCode.BUG)
    if number == ExitCode.INTERRUPTED:
        sys.stderr.flush()
        os._exit(number)
    sys.exit(number)
