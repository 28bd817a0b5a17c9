"""What the planner is doing, on stderr."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

from propsched.service.events import Event, Improved, Step

Emit = Callable[[Event], None]


@contextmanager
def progress(*, quiet: bool) -> Iterator[Emit]:
    """A live line where a person looks on, else a line a step, or nothing."""
    if quiet:
        yield _silent
    elif sys.stderr.isatty():
        with _live() as emit:
            yield emit
    else:
        yield _line


def _silent(event: Event) -> None:
    """Say nothing."""


def _line(event: Event) -> None:
    if isinstance(event, Step):
        click.echo(f"{event.name}…", err=True)


@contextmanager
def _live() -> Iterator[Emit]:
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    with Progress(
        SpinnerColumn(),
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(file=sys.stderr, highlight=False),
        transient=True,
    ) as bar:
        task = bar.add_task("Reading…", total=None)

        def emit(event: Event) -> None:
            if isinstance(event, Step):
                bar.update(task, description=f"{event.name}…")
            elif isinstance(event, Improved):
                bar.update(task, description=improved_text(event))

        yield emit


def improved_text(event: Improved) -> str:
    """``Solving… within 1.3 % of the best possible; Ctrl-C keeps the best``."""
    from propsched.domain.plan import gap
    from propsched.report.words import percent_up

    near = percent_up(gap(event.worth, event.bound))
    return f"Solving… within {near} of the best possible; Ctrl-C keeps the best"
