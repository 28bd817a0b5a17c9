"""Arguments and options that several commands share."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def _as_date(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> date | None:
    if value is None:
        return None
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(
            f"{value!r} is no date – write it as 2027-02-06", ctx, param
        ) from None


def date_option(*names: str, help: str) -> Callable[[Decorated], Decorated]:
    """An option that takes a day as ``2027-02-06``."""
    return click.option(*names, metavar="DATE", callback=_as_date, help=help)


def season_argument(command: Decorated) -> Decorated:
    return click.argument(
        "season",
        metavar="SEASON",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
    )(command)


def format_option(command: Decorated) -> Decorated:
    return click.option(
        "--format",
        "form",
        type=click.Choice(["table", "csv", "json"]),
        default="table",
        show_default=True,
        help="How to print the answer.",
    )(command)


def today_option(command: Decorated) -> Decorated:
    return date_option(
        "--today",
        help="Look at the season as on this day; else the clock, held inside it.",
    )(command)


def outlook_options(command: Decorated) -> Decorated:
    """``--seed`` and ``--winters``."""
    seed = click.option(
        "--seed",
        type=click.IntRange(0, 2**31 - 1),
        default=0,
        show_default=True,
        help="Of all that is drawn by chance.",
    )
    winters = click.option(
        "--winters",
        type=click.IntRange(1, 200),
        default=25,
        show_default=True,
        help="Most past winters to carry the outlook on.",
    )
    return seed(winters(command))
