"""Options of the commands that plan, and how such a run ends."""

from collections.abc import Callable
from typing import Any

import click

from propsched.cli.options import (
    Decorated,
    format_option,
    outlook_options,
    today_option,
)
from propsched.errors import ExitCode


def planning_options(
    *, least_s: float, gap: float, search: str = "the search"
) -> Callable[[Decorated], Decorated]:
    """
    How long and how well to search, as on which day, and how to print the answer.

    Parameters
    ----------
    least_s : float
        Least time where none is asked for. [s]
    gap : float
        Where to stop unless something else is asked for, a fraction.
    search : str
        What the time is for, in words.
    """
    options: list[Callable[[Any], Any]] = [
        click.option(
            "--time-limit",
            "time_limit_s",
            type=click.FloatRange(min=0, min_open=True),
            help=f"Seconds for {search} (else {least_s:g}, or 0.1 a batch); reaching "
            "it is no fault.",
        ),
        click.option(
            "--gap",
            type=click.FloatRange(0, 1),
            default=gap,
            show_default=True,
            help="Stop once proven so near the best possible, as a fraction.",
        ),
        click.option(
            "--reproducible",
            is_flag=True,
            help="Same inputs and seed give the same answer, byte for byte.",
        ),
        click.option("--quiet", is_flag=True, help="No progress on stderr."),
        today_option,
        outlook_options,
        format_option,
    ]

    def add(command: Decorated) -> Decorated:
        for option in reversed(options):
            command = option(command)
        return command

    return add


def end_with(status: str) -> None:
    """Leave with the exit code of a plan's status; go on where it is done."""
    if status == "stopped":
        click.get_current_context().exit(ExitCode.STOPPED)
