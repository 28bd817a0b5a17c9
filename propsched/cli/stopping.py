"""Ctrl-C once: keep what there is. Twice: leave, once that is safe."""

import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Generic, TypeVar

import click

Result = TypeVar("Result")
LOOK_S = 0.1
"""A blocked main thread would not hear of Ctrl-C on every system."""
GRACE_S = 3.0
"""Time left after the second Ctrl-C to save what was found already."""


def _nothing() -> bool:
    return False


class _Work(threading.Thread, Generic[Result]):
    """A thread that keeps what its work returned or raised."""

    def __init__(self, work: Callable[[], Result]) -> None:
        super().__init__(daemon=True)
        self._work = work
        self.result: list[Result] = []
        self.error: BaseException | None = None

    def run(self) -> None:
        try:
            self.result.append(self._work())
        except BaseException as error:  # raised again by the caller
            self.error = error


def run_stoppable(
    work: Callable[[threading.Event], Result],
    found: Callable[[], bool] = _nothing,
) -> Result:
    """
    Run ``work(cancel)`` while listening for Ctrl-C.

    The first one sets ``cancel`` and waits on. The second leaves the work behind
    and raises KeyboardInterrupt, at once if nothing was found yet, else if the work
    has not ended by itself within ``GRACE_S``; the third does so at once.

    Parameters
    ----------
    found : callable
        Whether there is something to keep by now.
    """
    cancel, interrupts = threading.Event(), _Interrupts(found)
    thread = _Work(lambda: work(cancel))
    with _listening(interrupts, cancel):
        thread.start()
        while thread.is_alive():
            thread.join(LOOK_S)
            if interrupts.over:
                raise KeyboardInterrupt
    if thread.error is not None:
        raise thread.error
    return thread.result[0]


class _Interrupts:
    """How often Ctrl-C was pressed, and until when that is waited for."""

    def __init__(self, found: Callable[[], bool]) -> None:
        self._found = found
        self._times = 0
        self._leave_at = float("inf")

    @property
    def over(self) -> bool:
        return time.monotonic() >= self._leave_at

    def another(self) -> str:
        """Take note of one more; what to say of it."""
        self._times += 1
        if self._times == 1:
            kept = " with the best plan so far" if self._found() else ""
            return f"Stopping{kept}; Ctrl-C again leaves."
        if self._times == 2 and self._found():
            self._leave_at = time.monotonic() + GRACE_S
            return f"Leaving in {GRACE_S:.0f} s at most, the plan is being saved."
        raise KeyboardInterrupt


@contextmanager
def _listening(interrupts: _Interrupts, cancel: threading.Event) -> Iterator[None]:
    if threading.current_thread() is not threading.main_thread():
        yield  # signals belong to the main thread
        return

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        said = interrupts.another()
        cancel.set()
        click.echo(said, err=True)

    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
