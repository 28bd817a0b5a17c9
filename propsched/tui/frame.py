"""The widgets round the page: head, tabs, what is going on."""

import time
from collections.abc import Iterable

from textual.app import ComposeResult
from textual.containers import Container
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widgets import Static

from propsched.tui import asks
from propsched.tui.desk import PageName
from propsched.tui.views.frame import Status, Tab


class TabLabel(Static):
    """A page's key and title; opens it by mouse or touch."""

    def __init__(self, page: PageName) -> None:
        super().__init__(markup=False, id=f"tab-{page}")
        self._page = page

    def on_click(self, event: Click) -> None:
        event.stop()
        self.post_message(asks.Go(self._page))


class Tabs(Container):
    """All pages in a row; on a narrow screen two rows of five, for fingers."""

    def __init__(self, pages: Iterable[PageName]) -> None:
        super().__init__(id="tabs")
        self._pages = tuple(pages)

    def compose(self) -> ComposeResult:
        for page in self._pages:
            yield TabLabel(page)

    def show(self, tabs: Iterable[Tab]) -> None:
        for tab in tabs:
            label = self.query_one(f"#tab-{tab.page}", TabLabel)
            mark, title = tab.text[:1], tab.text[1 + len(tab.key) :]
            label.update(Content.assemble(mark, (tab.key, "$text-accent bold"), title))
            label.set_class(tab.open, "-open")
            label.set_class(tab.faulty, "-faulty")


class StatusLine(Static):
    """What is going on; a click on it stops the planner."""

    class Ticked(Message):
        """A second of planning has gone by."""

    def __init__(self) -> None:
        super().__init__(markup=False, id="said")
        self._began_s = time.monotonic()
        self._busy = False

    def on_mount(self) -> None:
        self.set_interval(1.0, self._tick)

    def _tick(self) -> None:
        if self._busy:
            self.post_message(self.Ticked())

    @property
    def elapsed_s(self) -> float:
        """Since the planner began."""
        return time.monotonic() - self._began_s

    def show(self, status: Status) -> None:
        busy = status.style == "busy"
        if busy and not self._busy:
            self._began_s = time.monotonic()
        self._busy = busy
        self.update(status.text)
        for style in ("note", "busy", "warning", "error"):
            self.set_class(status.style == style, f"-{style}")

    def on_click(self) -> None:
        if self._busy:
            self.post_message(asks.StopPlanning())
