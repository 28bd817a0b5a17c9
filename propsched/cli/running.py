"""A planning run with its progress on stderr, and Ctrl-C heard."""

import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from propsched.service.events import Event

Result = TypeVar("Result")


def run_planning(
    work: "Callable[[Callable[[Event], None], threading.Event], Result]",
    *,
    quiet: bool,
) -> Result:
    """Run ``work(emit, cancel)``; the first Ctrl-C keeps the best plan so far."""
    from propsched.cli.progress import progress
    from propsched.cli.stopping import run_stoppable
    from propsched.service.events import Improved

    found = threading.Event()
    with progress(quiet=quiet) as tell:

        def emit(event: "Event") -> None:
            if isinstance(event, Improved):
                found.set()
            tell(event)

        return run_stoppable(lambda cancel: work(emit, cancel), found.is_set)
