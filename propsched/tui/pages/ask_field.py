"""A field that asks for what may go with a reading: its depth, a note."""

from contextlib import suppress
from dataclasses import dataclass
from typing import Literal

from textual import on
from textual.message import Message
from textual.widgets import Input

What = Literal["", "depth", "note"]
DEEPEST_CM = 300.0


class AskField(Input):
    """Hidden until it is asked for; enter gives the answer, its page closes it."""

    DEFAULT_CSS = """
    AskField { display: none; height: 3; }
    AskField.-open { display: block; }
    """

    @dataclass
    class Given(Message):
        """The answer to what was asked."""

        what: What
        note: str = ""
        depth_cm: float | None = None
        """None: the space's own."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id, select_on_focus=True)
        self.cursor_blink = False
        self.what: What = ""

    def ask_depth(self, depth_cm: float | None) -> None:
        value = "" if depth_cm is None else f"{depth_cm:g}"
        self._ask("depth", value, "Depth in cm (blank: the space's own)")

    def ask_note(self, note: str) -> None:
        self._ask("note", note, "Note to go with the reading")

    def _ask(self, what: What, value: str, title: str) -> None:
        self.what, self.value, self.border_title = what, value, title
        self.add_class("-open")
        self.focus()

    def thumbed(self, key: str) -> None:
        """A key of the number pad: it writes here while this is open."""
        if key == "backspace":
            self.action_delete_left()
        elif key == "enter":
            self.call_next(self.action_submit)
        elif len(key) == 1 and key != "u":
            self.replace(key, *self.selection)

    def close(self) -> None:
        self.what = ""
        self.remove_class("-open")

    @on(Input.Submitted)
    def _give(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        if self.what == "note" or not text:
            self.post_message(self.Given(self.what, note=text))
            return
        depth = -1.0
        with suppress(ValueError):
            depth = float(text.replace(",", "."))
        if 0 <= depth <= DEEPEST_CM:
            self.post_message(self.Given(self.what, depth_cm=depth))
        else:
            self.border_title = f"Depth in cm: 0 to {DEEPEST_CM:g}"
