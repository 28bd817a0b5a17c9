"""A number pad for thumbs."""

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Grid
from textual.message import Message
from textual.widgets import Button

KEYS = (
    ("7", "7"), ("8", "8"), ("9", "9"), ("−", "-"), ("⌫", "backspace"),
    ("creeps", "space"),
    ("4", "4"), ("5", "5"), ("6", "6"), ("0", "0"), (".", "."), ("+ mean", "plus"),
    ("1", "1"), ("2", "2"), ("3", "3"), ("undo", "u"), ("Save", "enter"),
)  # fmt: skip
"""What is on a button, and the key it stands for."""


class PadButton(Button, can_focus=False):
    """It leaves the focus where it is, so that keys go on working."""

    def __init__(self, label: str, key: str) -> None:
        super().__init__(label, classes="save" if key == "enter" else "")
        self.key = key


class NumberPad(Grid):
    """Six columns and three rows, each a thumb wide at 44 columns."""

    DEFAULT_CSS = """
    NumberPad { grid-size: 6 3; grid-rows: 3; height: 9; width: 100%; max-width: 60; }
    NumberPad Button { width: 100%; min-width: 4; height: 3; }
    NumberPad Button.save { column-span: 2; text-style: bold; }
    """

    @dataclass
    class Pressed(Message):
        key: str

    def compose(self) -> ComposeResult:
        for label, key in KEYS:
            yield PadButton(label, key)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        event.stop()
        if isinstance(event.button, PadButton):
            self.post_message(self.Pressed(event.button.key))
