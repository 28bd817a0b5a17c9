"""Data to stdout, everything else to stderr."""

import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

NARROWEST = 80


def show(render: "Callable[[int], RenderableType]") -> None:
    """Print a report made for the width of the terminal, 80 columns at least."""
    from propsched.report.layout import Trimmed

    console = screen()
    width = max(NARROWEST, console.width)
    console.print(Trimmed(render(width)), width=width, end="")


def screen() -> "Console":
    """Standard output as plain text: nothing in it is markup or a code."""
    from rich.console import Console

    class Screen(Console):
        def on_broken_pipe(self) -> None:
            """Leave the reader's going to the command's one place for endings."""
            raise BrokenPipeError

    return Screen(file=sys.stdout, highlight=False, markup=False, emoji=False)


def data(text: str) -> None:
    """Print CSV or JSON as it is."""
    click.echo(text, nl=not text.endswith("\n"))


def notes(lines: Iterable[str]) -> None:
    from propsched.report.words import clean

    for line in lines:
        click.echo(f"note: {clean(line)}", err=True)
