"""The terminal app: pages over one desk, and the work that goes on behind them."""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import ContentSwitcher, Footer, Static

from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.report.words import clean
from propsched.tui import asks
from propsched.tui.backend import Backend
from propsched.tui.desk import (
    Begun,
    Chosen,
    Compared,
    Desk,
    Faulty,
    Happening,
    PageName,
    Said,
    Tried,
    Warm,
    after,
)
from propsched.tui.pages.batches import BatchesPage
from propsched.tui.pages.cold import ColdPage
from propsched.tui.pages.compare import ComparePage
from propsched.tui.pages.jobs import JobsPage
from propsched.tui.pages.page import Page
from propsched.tui.pages.problems import ProblemsPage
from propsched.tui.pages.reading import ReadingPage
from propsched.tui.pages.season import SeasonPage
from propsched.tui.pages.warmth import WarmthPage

if TYPE_CHECKING:
    from propsched.service.replan import Replanned

PAGES: dict[PageName, type[Page]] = {
    "season": SeasonPage,
    "warmth": WarmthPage,
    "batches": BatchesPage,
    "jobs": JobsPage,
    "reading": ReadingPage,
    "compare": ComparePage,
    "cold": ColdPage,
    "problems": ProblemsPage,
}


class PropschedApp(App[None]):
    """A season on the screen."""

    CSS_PATH = "propsched.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(page.KEY, f"go('{name}')", page.TITLE, show=False)
            for name, page in PAGES.items()
        ),
        Binding("p", "plan", "Plan"),
        Binding("escape", "stop", "Stop", show=False),
        Binding("u", "undo", "Undo", show=False),
        Binding("q", "quit", "Quit"),
    ]

    desk: reactive[Desk] = reactive(Desk(folder=Path()), init=False)
    page: reactive[PageName] = reactive("season", init=False)

    @dataclass
    class Happened(Message):
        """From a thread: something for the desk."""

        what: Happening
        run: int | None = None
        """The planning run it belongs to; None: to none."""

    def __init__(
        self, folder: Path, *, today: date | None = None, backend: Backend | None = None
    ) -> None:
        super().__init__()
        self._backend = backend or Backend(folder, today)
        self._cancel = threading.Event()
        self.set_reactive(PropschedApp.desk, Desk(folder=folder))

    def compose(self) -> ComposeResult:
        yield Static("", id="head", markup=False)
        with ContentSwitcher(initial="season", id="pages"):
            for name, page in PAGES.items():
                yield page(id=name)
        yield Static("", id="said", markup=False)
        yield Footer()

    def on_mount(self) -> None:
        self.read_files()

    # what is on the screen

    def watch_desk(self, desk: Desk) -> None:
        self.query_one("#said", Static).update(clean(desk.said))
        self.open_page.show(desk)

    def watch_page(self, page: PageName) -> None:
        self.query_one(ContentSwitcher).current = page
        self.open_page.show(self.desk)
        self.open_page.arrive()

    @property
    def open_page(self) -> Page:
        return self.query_one(f"#{self.page}", Page)

    def happen(self, what: Happening) -> None:
        self.desk = after(self.desk, what)

    @on(Happened)
    def _happened(self, message: Happened) -> None:
        if message.run is None or message.run == self.desk.run:
            self.happen(message.what)

    # what keys and pages ask for

    def action_go(self, page: PageName) -> None:
        self.page = page

    def action_plan(self) -> None:
        self.post_message(asks.PlanNow())

    def action_stop(self) -> None:
        self.post_message(asks.StopPlanning())

    def action_undo(self) -> None:
        self.post_message(asks.Undo())

    @on(asks.Go)
    def _go(self, ask: asks.Go) -> None:
        self.page = ask.page

    @on(asks.Choose)
    def _choose(self, ask: asks.Choose) -> None:
        self.happen(Chosen(ask.batch, ask.space))

    @on(asks.Reload)
    def _reload(self) -> None:
        self.read_files()

    @on(asks.NoteReading)
    def _note_reading(self, ask: asks.NoteReading) -> None:
        self.write(lambda: self._backend.note_reading(ask).lines)

    @on(asks.NoteEvent)
    def _note_event(self, ask: asks.NoteEvent) -> None:
        self.write(lambda: self._backend.note_event(ask).lines)

    @on(asks.Tick)
    def _tick(self, ask: asks.Tick) -> None:
        self.write(lambda: self._backend.tick(ask).lines)

    @on(asks.Undo)
    def _undo(self, ask: asks.Undo) -> None:
        self.write(lambda: self._backend.undo(ask).lines)

    @on(asks.SetPin)
    @on(asks.DropPin)
    @on(asks.SetBatch)
    def _amend(self, ask: asks.SetPin | asks.DropPin | asks.SetBatch) -> None:
        self.write(lambda: self._backend.amend(ask).lines)

    @on(asks.PlanNow)
    def _plan_now(self, ask: asks.PlanNow) -> None:
        self._cancel = threading.Event()
        self.happen(Begun("Planning", self.desk.run + 1))
        self.run_planner(ask, self.desk.run, self._cancel)

    @on(asks.TryOut)
    def _try_out(self, ask: asks.TryOut) -> None:
        self._cancel = threading.Event()
        self.happen(Begun(f"Trying {ask.what}", self.desk.run + 1))
        self.run_planner(ask, self.desk.run, self._cancel)

    @on(asks.StopPlanning)
    def _stop(self) -> None:
        self._cancel.set()

    @on(asks.Accept)
    def _accept(self) -> None:
        tried = self.desk.tried
        if tried is not None:
            self.write(lambda: self._accepted(tried))

    @on(asks.CompareSpaces)
    def _compare(self, ask: asks.CompareSpaces) -> None:
        self.compare_spaces(ask)

    # the work behind it

    @work(thread=True, exclusive=True, group="read")
    def read_files(self) -> None:
        try:
            read = self._backend.read()
        except InvalidInputError as error:
            self.post_message(self.Happened(Faulty(error.problems)))
            return
        except PropschedError as error:
            problem = InputProblem(str(self._backend.folder), 0, str(error))
            self.post_message(self.Happened(Faulty((problem,))))
            return
        self.post_message(self.Happened(read))
        self._told(lambda: self.post_message(
            self.Happened(Warm(self._backend.temps()))
        ))  # fmt: skip

    @work(thread=True, group="write")
    def write(self, do: Callable[[], tuple[str, ...]]) -> None:
        """Change a file, say so, read all again."""
        self._told(lambda: self.post_message(self.Happened(Said("; ".join(do())))))
        self.call_from_thread(self.read_files)

    @work(thread=True, exclusive=True, group="plan")
    def run_planner(
        self, ask: asks.PlanNow | asks.TryOut, run: int, cancel: threading.Event
    ) -> None:
        def emit(event: Happening) -> None:
            self.post_message(self.Happened(event, run))

        try:
            if isinstance(ask, asks.TryOut):
                emit(Tried(self._backend.try_out(ask, emit, cancel)))
            else:
                self._backend.plan(emit, cancel, afresh=ask.afresh)
        except PropschedError as error:
            emit(Said(str(error), "error"))
        self.call_from_thread(self.read_files)

    @work(thread=True, exclusive=True, group="compare")
    def compare_spaces(self, ask: asks.CompareSpaces) -> None:
        self._told(lambda: self.post_message(
            self.Happened(Compared(self._backend.compare(ask)))
        ))  # fmt: skip

    def _told(self, do: Callable[[], object]) -> None:
        """Do it; what a user can mend is said, all else is a fault of ours."""
        try:
            do()
        except PropschedError as error:
            self.post_message(self.Happened(Said(str(error), "error")))

    def _accepted(self, tried: "Replanned") -> tuple[str, ...]:
        self._backend.accept(tried)
        return ("The plan that was tried is in force.",)
