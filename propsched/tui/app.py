"""The terminal app: pages over one desk, and the work that goes on behind them."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.filter import Monochrome, NoColor
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import ContentSwitcher, Footer, Input, Static, TextArea

from propsched.tui import asks
from propsched.tui.backend import Backend
from propsched.tui.commands import COMMANDS, Finder, bindings
from propsched.tui.desk import (
    Begun,
    Chosen,
    Desk,
    Faulty,
    Happening,
    Left,
    LookedBack,
    PageName,
    Read,
    Said,
    Stopping,
    after,
)
from propsched.tui.frame import StatusLine, Tabs
from propsched.tui.keys import page_keys
from propsched.tui.pages.batches import BatchesPage
from propsched.tui.pages.cold import ColdPage
from propsched.tui.pages.compare import ComparePage
from propsched.tui.pages.jobs import JobsPage
from propsched.tui.pages.page import Page
from propsched.tui.pages.problems import ProblemsPage
from propsched.tui.pages.reading import ReadingPage
from propsched.tui.pages.season import SeasonPage
from propsched.tui.pages.warmth import WarmthPage
from propsched.tui.pages.year import YearPage
from propsched.tui.screens import HelpScreen, LeaveScreen, Leaving
from propsched.tui.themes import THEMES, other_theme, usual_theme
from propsched.tui.touch import TouchBar
from propsched.tui.views.frame import NARROW, WIDE, frame_view
from propsched.tui.views.help import help_view
from propsched.tui.work import Work

PAGES: dict[PageName, type[Page]] = {
    "season": SeasonPage,
    "warmth": WarmthPage,
    "batches": BatchesPage,
    "jobs": JobsPage,
    "reading": ReadingPage,
    "compare": ComparePage,
    "cold": ColdPage,
    "year": YearPage,
    "problems": ProblemsPage,
}
TITLES = {name: (page.KEY, page.TAB or page.TITLE) for name, page in PAGES.items()}
LOOK_S = 1.0
"""How often the files are looked at."""
SHOWN = tuple(
    name
    for name in Desk.__dataclass_fields__
    if name not in ("planning", "said", "tone", "run")
)
"""What pages show; the rest is told by the frame."""


class PropschedApp(App[None]):
    """A season on the screen."""

    TITLE = "propsched"
    CSS_PATH = "propsched.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings()
    COMMANDS = {Finder}  # noqa: RUF012 - as Textual has it
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (NARROW, "-usual"), (WIDE, "-wide")]  # noqa: RUF012

    # always: desks hold tables, which cannot be asked whether they are the same
    desk: reactive[Desk] = reactive(Desk(folder=Path()), init=False, always_update=True)
    page: reactive[PageName] = reactive("season", init=False)

    @dataclass
    class Happened(Message):
        """From a thread: something for the desk."""

        what: Happening
        run: int | None = None
        """The planning run it belongs to; None: to none."""

    def __init__(
        self,
        folder: Path,
        *,
        today: date | None = None,
        backend: Backend | None = None,
        theme: str | None = None,
    ) -> None:
        super().__init__()
        self.backend = backend or Backend(folder, today)
        self._work = Work(self, self.backend, self._tell, self._ask_to_read)
        self._before: list[PageName] = []
        """Pages to go back to."""
        self._sent_by_fault = False
        """Whether the page of problems opened by itself."""
        self._quitting = False
        if self.no_color:  # none at all, not greys
            self._filters = [
                NoColor() if isinstance(one, Monochrome) else one
                for one in self._filters
            ]
        for one in THEMES:
            self.register_theme(one)
        self.theme = theme or usual_theme()
        self.set_reactive(PropschedApp.desk, Desk(folder=folder))

    def compose(self) -> ComposeResult:
        yield Static("", id="head", markup=False)
        yield Tabs(PAGES)
        with ContentSwitcher(initial="season", id="pages"):
            for name, page in PAGES.items():
                yield page(id=name)
        yield StatusLine()
        yield Footer(compact=True, show_command_palette=False)
        yield TouchBar()

    def on_mount(self) -> None:
        self._show_frame()
        self._work.read()
        self.set_interval(LOOK_S, self._work.look)

    # what is on the screen

    def watch_desk(self, before: Desk, desk: Desk) -> None:
        self._show_frame()
        self._turn_to_problems(before, desk)
        moved = any(getattr(before, name) is not getattr(desk, name) for name in SHOWN)
        if moved or before.planning.busy != desk.planning.busy:
            self.open_page.show(desk)
        if self._quitting and not desk.planning.busy:
            self._end()

    def watch_page(self, before: PageName, page: PageName) -> None:
        self._before = [*self._before[-9:], before]
        self.query_one(ContentSwitcher).current = page
        self._show_frame()
        self.open_page.show(self.desk)
        self.open_page.arrive()

    def on_resize(self) -> None:
        self._show_frame()

    @on(StatusLine.Ticked)
    def _show_frame(self) -> None:
        status = self.query_one(StatusLine)
        # the app's own width is not set yet when it is mounted
        width = self.console.width if self.size.width == 0 else self.size.width
        going = self.desk.planning.busy
        view = frame_view(
            self.desk, self.page, TITLES, width=width - 2,
            elapsed_s=status.elapsed_s if going else None,
        )  # fmt: skip
        self.query_one("#head", Static).update("\n".join(view.head))
        self.query_one(Tabs).show(view.tabs)
        status.show(view.status)

    def _turn_to_problems(self, before: Desk, desk: Desk) -> None:
        """Faults open their page, and once they are mended it closes again."""
        if desk.problems and not before.problems and self.page != "problems":
            if self._typing and before.opened is not None:
                return  # the head line says so; what is being typed is not cut off
            self._sent_by_fault = True
            self.page = "problems"
        elif before.problems and not desk.problems and self._sent_by_fault:
            if self.page == "problems" and self._before:
                self.page = self._before[-1]
            self._sent_by_fault = False

    @property
    def still_at_work(self) -> bool:
        """Whether a thread goes on that nobody waits for any more."""
        return self._work.going

    @property
    def _typing(self) -> bool:
        return isinstance(self.focused, (Input, TextArea))

    @property
    def open_page(self) -> Page:
        return self.query_one(f"#{self.page}", Page)

    def happen(self, what: Happening) -> None:
        self.desk = after(self.desk, what)

    def _tell(self, what: Happening, run: int | None = None) -> None:
        """From any thread."""
        self.post_message(self.Happened(what, run))

    def _ask_to_read(self) -> None:
        """From any thread."""
        self.post_message(asks.Reload())

    @on(Happened)
    def _happened(self, message: Happened) -> None:
        if message.run is None or message.run == self.desk.run:
            self.happen(message.what)
            if isinstance(message.what, (Read, Faulty)):
                self.call_after_refresh(self._work.drawn)

    # what keys and pages ask for

    def action_go(self, page: PageName) -> None:
        self.page = page

    def action_plan(self) -> None:
        self.post_message(asks.PlanNow())

    def action_plan_afresh(self) -> None:
        self.post_message(asks.PlanNow(afresh=True))

    def action_stop_or_back(self) -> None:
        if self.desk.planning.busy:
            self.post_message(asks.StopPlanning())
        elif self._before:
            back = self._before[-1]
            self.page = back
            self._before = self._before[:-2]

    def action_undo(self) -> None:
        self.open_page.take_back()

    def action_reload(self) -> None:
        self.post_message(asks.Reload())

    def action_turn(self) -> None:
        self.theme = other_theme(self.theme)

    def action_help(self) -> None:
        self.push_screen(
            HelpScreen(
                help_view(
                    self.open_page.TITLE,
                    self.open_page.HELP,
                    page_keys(self.open_page),
                    [(one.key_told, one.help) for one in COMMANDS if one.key],
                )
            )
        )

    async def action_quit(self) -> None:
        if self.desk.planning.busy:
            self.push_screen(LeaveScreen(), self._leave)
        else:
            self._end()

    def _leave(self, how: Leaving | None) -> None:
        if how == "keep" and self.desk.planning.busy:
            self._quitting = True
            self.post_message(asks.StopPlanning())
        elif how in ("keep", "drop"):
            self._end()

    def _end(self) -> None:
        self._work.leave()
        self.exit()

    @on(asks.Go)
    def _go(self, ask: asks.Go) -> None:
        self.page = ask.page
        if ask.opened:
            self.open_page.open_chosen()

    @on(asks.Choose)
    def _choose(self, ask: asks.Choose) -> None:
        self.happen(Chosen(ask.batch, ask.space))

    @on(asks.Reload)
    def _reload(self) -> None:
        self._work.read()

    @on(asks.NoteReading)
    def _note_reading(self, ask: asks.NoteReading) -> None:
        self._work.write(lambda: self.backend.note_reading(ask))

    @on(asks.NoteEvent)
    def _note_event(self, ask: asks.NoteEvent) -> None:
        self._work.write(lambda: self.backend.note_event(ask))

    @on(asks.Tick)
    def _tick(self, ask: asks.Tick) -> None:
        self._work.write(lambda: self.backend.tick(ask))

    @on(asks.Undo)
    def _undo(self, ask: asks.Undo) -> None:
        self._work.write(lambda: self.backend.undo(ask))

    @on(asks.SetPin)
    @on(asks.DropPin)
    @on(asks.SetBatch)
    def _amend(self, ask: asks.SetPin | asks.DropPin | asks.SetBatch) -> None:
        self._work.write(lambda: self.backend.amend(ask))

    @on(asks.PlanNow)
    @on(asks.TryOut)
    def _plan(self, ask: asks.PlanNow | asks.TryOut) -> None:
        if self.desk.planning.busy:
            self.happen(Said("a plan is being made – esc stops it", "error"))
            return
        what = f"Trying {ask.what}" if isinstance(ask, asks.TryOut) else "Planning"
        self.happen(Begun(what, self.desk.run + 1))
        self._work.plan(ask, self.desk.run)

    @on(asks.StopPlanning)
    def _stop(self) -> None:
        if self.desk.planning.busy:
            self.happen(Stopping())
            self._work.stop()

    @on(asks.Accept)
    def _accept(self) -> None:
        if self.desk.tried is not None:
            self._work.accept(self.desk.tried)

    @on(asks.Forget)
    def _forget(self) -> None:
        self.happen(Left())

    @on(asks.Settle)
    def _settle(self, ask: asks.Settle) -> None:
        self._work.settle(ask)

    @on(asks.CompareSpaces)
    def _compare(self, ask: asks.CompareSpaces) -> None:
        self._work.compare(ask)

    @on(asks.LookBack)
    def _look_back(self) -> None:
        self._work.answer("year", lambda: LookedBack(self.backend.look_back()))

    @on(asks.ShowLines)
    def _show_lines(self, ask: asks.ShowLines) -> None:
        self._work.answer("lines", lambda: self.backend.lines(ask))
