"""Ctrl-C once: keep what there is. Twice: leave."""

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Generic, TypeVar

import click

Result = TypeVar("Result")
LOOK_S = 0.1
"""A blocked main thread would not hear of Ctrl-C on every system."""


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


def run_stoppable(work: Callable[[threading.Event], Result]) -> Result:
    """
    Run ``work(cancel)`` while listening for Ctrl-C.

    The first one sets ``cancel`` and waits on; the second raises KeyboardInterrupt
    and leaves the work behind.
    """
    cancel = threading.Event()
    thread = _Work(lambda: work(cancel))
    with _listening(cancel):
        thread.start()
        while thread.is_alive():
            thread.join(LOOK_S)
    if thread.error is not None:
        raise thread.error
    return thread.result[0]


@contextmanager
def _listening(cancel: threading.Event) -> Iterator[None]:
    if threading.current_thread() is not threading.main_thread():
        yield  # signals belong to the main thread
        return

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        if cancel.is_set():
            raise KeyboardInterrupt
        cancel.set()
        click.echo("Stopping with the best plan so far; Ctrl-C again leaves.", err=True)

    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
