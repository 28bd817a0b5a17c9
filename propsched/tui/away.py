"""
A backend whose heavy work is done in a process of its own.

Python lets one thread at a time compute.  A planner beside the app in the same process
makes keys wait for a third of a second; in its own it leaves the app alone.
"""

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from datetime import date
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from propsched.errors import PropschedError
from propsched.tui import asks
from propsched.tui.backend import Backend, Emit
from propsched.tui.far import CANCEL, Asked, Told

if TYPE_CHECKING:
    from propsched.service.answers import TempsAnswer
    from propsched.service.events import Outcome
    from propsched.service.looked_back import LookBack
    from propsched.service.replan import Replanned
    from propsched.service.tonight import TonightAnswer

LOOK_S = 0.05
"""How often a call looks whether it is to be stopped."""
GONE = "the process that plans has ended – plan again"
START = "import sys; sys.path[:] = {path!r}; from propsched.tui.far import main; main(*sys.argv[1:])"  # noqa: E501


class AwayBackend(Backend):
    """
    Plans, temperatures, nights and looks back from another process; else as it is.

    The process is begun with the first call, and again should it have ended.
    """

    def __init__(self, folder: Path, today: date | None = None) -> None:
        super().__init__(folder, today)
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()
        self._number = 0
        self._waiting: dict[int, SimpleQueue[Told | None]] = {}

    def temps(self) -> "TempsAnswer":
        found: TempsAnswer = self._ask("temps")
        return found

    def tonight(self) -> "TonightAnswer":
        found: TonightAnswer = self._ask("tonight")
        return found

    def look_back(self) -> "LookBack":
        found: LookBack = self._ask("look_back")
        return found

    def plan(
        self, emit: Emit, cancel: threading.Event, *, afresh: bool
    ) -> "Replanned | Outcome":
        found: Replanned | Outcome = self._ask(
            "plan", emit=emit, cancel=cancel, afresh=afresh
        )
        return found

    def try_out(
        self, ask: asks.TryOut, emit: Emit, cancel: threading.Event
    ) -> "Replanned":
        found: Replanned = self._ask("try_change", ask.change, emit=emit, cancel=cancel)
        return found

    def close(self) -> None:
        """End the process; what it still does is wanted no more."""
        with self._lock:
            process, self._process = self._process, None
        if process is not None:
            process.kill()

    def _ask(
        self,
        what: str,
        *arguments: Any,
        emit: Emit | None = None,
        cancel: threading.Event | None = None,
        **keywords: Any,
    ) -> Any:
        answers: SimpleQueue[Told | None] = SimpleQueue()
        with self._lock:
            self._number += 1
            number = self._number
            process = self._begun()
            self._waiting[number] = answers
            self._send(process, Asked(number, what, arguments, tuple(keywords.items())))
        stopped = False
        while True:
            if cancel is not None and cancel.is_set() and not stopped:
                stopped = True
                with self._lock:
                    self._send(process, Asked(number, CANCEL))
            told = _next(answers, cancel is not None and not stopped)
            if told is _NOTHING:
                continue
            if told is None:
                raise PropschedError(GONE)
            assert isinstance(told, Told)
            if not told.done:
                if emit is not None:
                    emit(told.event)
                continue
            return _answer_of(told)

    def _begun(self) -> "subprocess.Popen[bytes]":
        if self._process is not None:
            return self._process
        today = "" if self.today is None else self.today.isoformat()
        process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                START.format(path=sys.path),
                str(self.folder.resolve()),
                today,
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,  # the screen is the app's
            start_new_session=os.name == "posix",  # Ctrl-C is the app's too
        )
        self._process = process
        threading.Thread(target=self._hear, args=(process,), daemon=True).start()
        return process

    def _send(self, process: "subprocess.Popen[bytes]", asked: Asked) -> None:
        assert process.stdin is not None
        with contextlib.suppress(OSError):  # it has ended, which is heard
            process.stdin.write(pickle.dumps(asked))
            process.stdin.flush()

    def _hear(self, process: "subprocess.Popen[bytes]") -> None:
        """Give each caller what is told of its call, until the process ends."""
        assert process.stdout is not None
        while True:
            try:
                told: Told = pickle.load(process.stdout)
            except (EOFError, OSError, pickle.UnpicklingError):
                break
            if told.number in self._waiting:
                self._waiting[told.number].put(told)
                if told.done:
                    self._waiting.pop(told.number, None)
        with self._lock:
            if self._process is process:
                self._process = None
            left, self._waiting = self._waiting, {}
        for answers in left.values():
            answers.put(None)
        process.stdout.close()
        if process.stdin is not None:
            with contextlib.suppress(OSError):
                process.stdin.close()
        process.wait()


_NOTHING = object()


def _next(answers: "SimpleQueue[Told | None]", looking: bool) -> object:
    """What is told next; ``_NOTHING`` if it is time to look whether to stop."""
    try:
        return answers.get(timeout=LOOK_S if looking else None)
    except Empty:
        return _NOTHING


def _answer_of(told: Told) -> Any:
    if told.refused is not None:
        kind, arguments = told.refused
        raise kind(*arguments)
    if told.fault:
        raise RuntimeError(told.fault)
    return told.answer
