"""What goes on behind the pages: threads that read, write and plan."""

import gc
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from propsched.errors import (
    InputProblem,
    InvalidInputError,
    NothingFoundError,
    PropschedError,
)
from propsched.service.events import Event, Finished, Outcome
from propsched.tui import asks
from propsched.tui.backend import Backend
from propsched.tui.desk import (
    Accepted,
    Compared,
    Ended,
    Faulty,
    Happening,
    Nights,
    Read,
    Said,
    Settles,
    Tried,
    Warm,
)
from propsched.tui.views.frame import plan_told

if TYPE_CHECKING:
    from textual.app import App

    from propsched.service.noted import NoteAnswer
    from propsched.service.replan import Replanned

DRAWN_S = 2.0
"""Longest wait for the first picture before the simulation takes the processor. [s]"""
COLLECT = (700, 10, 1000)
"""Young objects are looked over as ever; all of them, which takes a tenth of a second
and would hold up a key, a hundred times as seldom."""
WAIT_S = 0.05
"""How often a thread that is waited for is looked after."""
SHOWN_BY = frozenset(
    {"season.toml", "weather.csv", "history.csv", "readings.csv", "daybook.csv"}
)
"""Files that say how warm it is; without a change in them nothing is simulated anew."""


class Tell(Protocol):
    """Hands something to the desk, from any thread."""

    def __call__(self, what: Happening, run: int | None = None) -> None: ...


class Work:
    """
    Threads that read, write and plan, and tell the desk what came of it.

    Each is a Textual worker, so that a fault of ours ends the app with its traceback.
    What may take long runs in a thread of its own that the worker waits for: leaving
    the app does not wait until a plan is made.
    """

    def __init__(
        self,
        app: "App[None]",
        backend: Backend,
        tell: Tell,
        reload: Callable[[], object],
    ) -> None:
        self._app = app
        self._backend = backend
        self._say = tell
        self._reload = reload
        self._cancel = threading.Event()
        self._left = threading.Event()
        self._reading = threading.Lock()
        self._writing = threading.Lock()
        self._reads = 0
        self._drawn = threading.Event()
        self._threads: list[threading.Thread] = []
        self._warm_with: object = None
        self._nights_with: object = None
        self._stamps: object = None

    # beginning and ending it, on the app's own thread

    def read(self) -> None:
        """All files anew; only what is read last is told."""
        self._reads += 1
        number = self._reads
        self._start("read", lambda: self._apart(lambda: self._read(number)))

    def drawn(self) -> None:
        """What was read is on the screen."""
        if not gc.isenabled():  # as the command begins; what is loaded is for good
            gc.freeze()
            gc.set_threshold(*COLLECT)
            gc.enable()
        self._drawn.set()

    def look(self) -> None:
        """Whether files have changed; if so they are read."""
        self._start("look", self._look, exclusive=True)

    def write(self, do: "Callable[[], NoteAnswer]") -> None:
        """Change a file, say so, read all again."""
        self._start("write", lambda: self._write(do))

    def plan(self, ask: asks.PlanNow | asks.TryOut, run: int) -> None:
        self._cancel = cancel = threading.Event()
        self._start("plan", lambda: self._apart(lambda: self._plan(ask, run, cancel)))

    def answer(self, group: str, do: Callable[[], Happening]) -> None:
        """Find something out and lay it on the desk."""
        self._start(group, lambda: self._apart(lambda: self._told(do)), exclusive=True)

    def settle(self, ask: asks.Settle) -> None:
        self.answer("settle", lambda: Settles(self._backend.settle(ask)))

    def compare(self, ask: asks.CompareSpaces) -> None:
        self.answer("compare", lambda: Compared(self._backend.compare(ask)))

    def accept(self, tried: "Replanned") -> None:
        """Put what was tried in force."""
        self._start("write", lambda: self._accept(tried))

    def stop(self) -> None:
        """The planner comes to its end with the best it has."""
        self._cancel.set()

    @property
    def going(self) -> bool:
        """Whether a thread is still at work."""
        return any(thread.is_alive() for thread in self._threads)

    def leave(self) -> None:
        """Wait for nothing any more; what is being planned is not saved."""
        with self._writing:
            self._left.set()
        self._cancel.set()
        self._backend.close()

    def _start(
        self, group: str, do: Callable[[], None], *, exclusive: bool = False
    ) -> None:
        self._app.run_worker(do, thread=True, group=group, exclusive=exclusive)

    # in threads

    def _apart(self, do: Callable[[], None]) -> None:
        """In a thread that is left alone when the app is left."""
        faults: list[BaseException] = []

        def run() -> None:
            try:
                do()
            except BaseException as fault:  # raised again where it is waited for
                faults.append(fault)

        thread = threading.Thread(target=run, daemon=True)
        self._threads = [one for one in self._threads if one.is_alive()] + [thread]
        thread.start()
        while thread.is_alive() and not self._left.is_set():
            thread.join(WAIT_S)
        if faults:
            raise faults[0]

    def _tell(self, what: Happening, run: int | None = None) -> None:
        if not self._left.is_set():
            self._say(what, run)

    def _told(self, do: Callable[[], Happening]) -> None:
        """What a user can mend is said; all else is a fault of ours."""
        try:
            self._tell(do())
        except PropschedError as error:
            self._tell(Said(str(error), "error"))

    def _look(self) -> None:
        now = self._stamped()
        before, self._stamps = self._stamps, now
        if before is not None and before != now:
            self._reload()

    def _stamped(self) -> dict[str, tuple[int, int]]:
        try:
            return self._backend.stamps()
        except OSError:  # the folder itself is gone, which reading will say
            return {}

    def _read(self, number: int) -> None:
        with self._reading:
            if number != self._reads:
                return
            self._stamps = self._stamped()
            try:
                read = self._backend.read()
            except InvalidInputError as error:
                self._tell(Faulty(error.problems))
                return
            except PropschedError as error:
                problem = InputProblem(str(self._backend.folder), 0, str(error))
                self._tell(Faulty((problem,)))
                return
            self._tell(read)
            self._warm(read)

    def _warm(self, read: Read) -> None:
        """What has to be simulated, where anything it rests on has changed."""
        self._drawn.wait(DRAWN_S)
        digests, today = read.opened.files.digests, read.opened.today
        told = {name: digests.get(name) for name in SHOWN_BY}, today
        if told != self._warm_with:
            self._told(lambda: Warm(self._backend.temps()))
            self._warm_with = told
        stands = digests, today, read.opened.plan
        if stands != self._nights_with and not self._left.is_set():
            self._told(lambda: Nights(self._backend.tonight()))
            self._nights_with = stands

    def _write(self, do: "Callable[[], NoteAnswer]") -> None:
        with self._writing:
            try:
                answer = do()
            except PropschedError as error:
                self._tell(Said(str(error), "error"))
            else:
                said = "; ".join((*answer.lines, *answer.notes))
                self._tell(Said(said, "warning" if answer.notes else "note"))
        self._reload()

    def _accept(self, tried: "Replanned") -> None:
        with self._writing:
            try:
                self._backend.accept(tried)
            except PropschedError as error:
                self._tell(Said(str(error), "error"))
            else:
                self._tell(Accepted(tried))
                self._tell(Said("The plan that was tried is in force."))
        self._reload()

    def _plan(
        self, ask: asks.PlanNow | asks.TryOut, run: int, cancel: threading.Event
    ) -> None:
        def emit(event: Event) -> None:
            self._tell(event, run)

        try:
            if isinstance(ask, asks.TryOut):
                self._tell(Tried(self._backend.try_out(ask, emit, cancel)), run)
            else:
                self._keep(ask, run, cancel, emit)
        except NothingFoundError:
            self._tell(Said("Stopped before there was a plan.", "warning"), run)
        except InvalidInputError as error:
            self._tell(Faulty(error.problems), run)
        except PropschedError as error:
            self._tell(Said(str(error), "error"), run)
        self._tell(Ended(), run)
        self._reload()

    def _keep(
        self,
        ask: asks.PlanNow,
        run: int,
        cancel: threading.Event,
        emit: Callable[[Event], None],
    ) -> None:
        answer = self._backend.plan(emit, cancel, afresh=ask.afresh)
        outcome = answer if isinstance(answer, Outcome) else answer.outcome
        with self._writing:
            if self._left.is_set():
                return
            self._backend.keep(outcome.plan)
        self._tell(Finished(outcome), run)
        self._tell(Said(plan_told(outcome.plan), "note"), run)
