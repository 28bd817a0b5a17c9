"""
The other end of ``away``: a process that simulates and plans for the app.

It reads what is asked from its standard input and writes what came of it to its
standard output, each as one pickle, and ends when its input does: with the app, however
that ends.  Both ends are the same program on the same machine, so that pickles are
safe; nobody else can write to these pipes.
"""

import contextlib
import os
import pickle
import sys
import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

from propsched.errors import PropschedError
from propsched.tui.backend import Backend

CANCEL = "cancel"
NICE = 5
PLANS = frozenset({"plan", "try_change"})
"""What tells how far it is, and can be stopped."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One call of the backend, by its number."""

    number: int
    what: str
    """A method of ``Backend``, or ``cancel`` for the call of that number."""
    arguments: tuple[Any, ...] = ()
    keywords: tuple[tuple[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """What came of a call: an event on the way, its answer, or why there is none."""

    number: int
    event: Any = None
    answer: Any = None
    refused: tuple[type[PropschedError], tuple[Any, ...]] | None = None
    """What a user can mend."""
    fault: str = ""
    """The traceback of a fault of ours."""
    done: bool = True


class _Far:
    def __init__(self, backend: Backend, told: BinaryIO) -> None:
        self._backend, self._told = backend, told
        self._writing = threading.Lock()
        self._cancels: dict[int, threading.Event] = {}

    def serve(self, asked: BinaryIO) -> None:
        """Each call in a thread of its own, until there is nobody to ask."""
        threading.Thread(target=_load, daemon=True).start()
        while True:
            try:
                one: Asked = pickle.load(asked)
            except EOFError:
                return
            if one.what == CANCEL:
                if one.number in self._cancels:
                    self._cancels[one.number].set()
                continue
            self._cancels[one.number] = threading.Event()
            threading.Thread(target=self._answer, args=(one,), daemon=True).start()

    def _answer(self, one: Asked) -> None:
        try:
            do: Callable[..., Any] = getattr(self._backend, one.what)
            arguments = one.arguments
            if one.what in PLANS:
                arguments += (self._emit(one.number), self._cancels[one.number])
            self._tell(Told(one.number, answer=do(*arguments, **dict(one.keywords))))
        except PropschedError as error:
            problems = getattr(error, "problems", None)
            arguments = error.args if problems is None else (problems,)
            self._tell(Told(one.number, refused=(type(error), arguments)))
        except BaseException:  # told to whoever asked, who raises it
            self._tell(Told(one.number, fault=traceback.format_exc()))
        finally:
            self._cancels.pop(one.number, None)

    def _emit(self, number: int) -> Callable[[Any], None]:
        return lambda event: self._tell(Told(number, event=event, done=False))

    def _tell(self, told: Told) -> None:
        raw = pickle.dumps(told, protocol=pickle.HIGHEST_PROTOCOL)
        with self._writing:
            self._told.write(raw)
            self._told.flush()


def _load() -> None:
    """What planning needs, before anybody asks for it."""
    import propsched.service.replan
    import propsched.service.tonight  # noqa: F401


def main(folder: str, today: str) -> None:
    """Serve one season until standard input ends."""
    told = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # nothing else goes there
    if hasattr(os, "nice"):  # keys come first
        os.nice(NICE)
    day = date.fromisoformat(today) if today else None
    with contextlib.suppress(BrokenPipeError):
        _Far(Backend(Path(folder), day), told).serve(sys.stdin.buffer)
    os._exit(0)  # nobody waits for what is still at work
