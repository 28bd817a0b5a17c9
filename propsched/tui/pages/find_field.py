"""A field for words to find rows by, hidden until it is asked for."""

from dataclasses import dataclass

from textual import on
from textual.events import Key
from textual.message import Message
from textual.widgets import Input


class FindField(Input):
    """Finds as one types; enter keeps what was found, escape lets go of it."""

    DEFAULT_CSS = """
    FindField { display: none; height: 3; }
    FindField.-open { display: block; }
    """

    @dataclass
    class Sought(Message):
        """Other words."""

        words: str

    class Closed(Message):
        """Nothing more is typed."""

    def __init__(self) -> None:
        super().__init__(placeholder="words, all of which must be there")
        self.cursor_blink = False

    def open(self) -> None:
        self.add_class("-open")
        self.focus()

    def close(self) -> None:
        self.remove_class("-open")
        self.post_message(self.Closed())

    def clear_words(self) -> None:
        self.value = ""
        self.close()

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.post_message(self.Sought(event.value))

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.close()

    def on_blur(self) -> None:
        """A tap elsewhere ends it too; what was found stays."""
        if self.has_class("-open"):
            self.close()

    def on_key(self, event: Key) -> None:
        if event.key in ("escape", "up", "down"):
            event.stop()
            event.prevent_default()
            if event.key == "escape":
                self.value = ""
            self.close()
