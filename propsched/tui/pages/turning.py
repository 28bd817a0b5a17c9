"""A line of a form whose value is turned by arrows, mouse or touch."""

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.events import Click
from textual.message import Message
from textual.widgets import Static


class Turning(Horizontal):
    """Label and value between two arrows; the page keeps what it holds."""

    DEFAULT_CSS = """
    Turning { height: 1; width: 100%; }
    Turning > .arrow { width: 5; text-align: center; background: $boost; }
    Turning > .arrow:hover { background: $panel; }
    Turning > .value { width: 44; max-width: 1fr; height: 1; }
    Turning.-here > .value { text-style: bold reverse; }
    """

    @dataclass
    class Turned(Message):
        """So many steps on; 0: the line was touched."""

        row: int
        by: int

    def __init__(self, row: int) -> None:
        super().__init__(id=f"field-{row}")
        self._row = row

    def compose(self) -> ComposeResult:
        yield Static("‹", classes="arrow back", markup=False)
        yield Static("", classes="value", markup=False)
        yield Static("›", classes="arrow on", markup=False)

    def show(self, text: str, *, here: bool) -> None:
        self.query_one(".value", Static).update(text)
        self.set_class(here, "-here")

    def on_click(self, event: Click) -> None:
        event.stop()
        by = 0
        if event.widget is not None and event.widget.has_class("arrow"):
            by = 1 if event.widget.has_class("on") else -1
        self.post_message(self.Turned(self._row, by))
