"""A widget that shows the lines a view has drawn."""

from collections.abc import Iterable
from dataclasses import dataclass

from textual.content import Content
from textual.events import Click, MouseScrollDown, MouseScrollUp, Resize
from textual.message import Message
from textual.widgets import Button, Static

from propsched.tui.views.pieces import Line, Look

STYLES: dict[Look, str] = {
    "": "",
    "bold": "bold",
    "dim": "$text-muted",
    "accent": "$text-accent",
    "warning": "$text-warning bold",
    "error": "$text-error bold",
    "success": "$text-success",
    "chosen": "reverse bold",
}


def drawn_label(text: str) -> Content:
    """``[enter  try it]``, as buttons are drawn everywhere."""
    return Content(f"[{text}]")


def drawn_button(text: str, *, id: str) -> Button:
    """A button of a page that is made of widgets, like those that are drawn."""
    return Button(drawn_label(text), id=id, compact=True, classes="-drawn")


class Drawn(Static):
    """Lines as they are, cut at the edge; tells where it was pressed."""

    DEFAULT_CSS = "Drawn { width: 1fr; height: 1fr; text-wrap: nowrap; }"

    @dataclass
    class Pressed(Message):
        x: int
        y: int

    @dataclass
    class Scrolled(Message):
        by: int

    class Resized(Message):
        """Its lines have to be drawn anew."""

    def __init__(self) -> None:
        super().__init__("", markup=False)

    def draw(self, lines: Iterable[Line]) -> None:
        self.update(
            Content("\n").join(
                Content.assemble(*((p.text, STYLES[p.look]) for p in one))
                for one in lines
            )
        )

    def on_click(self, event: Click) -> None:
        self.post_message(self.Pressed(event.x, event.y))

    def on_mouse_scroll_down(self, event: MouseScrollDown) -> None:
        event.stop()
        self.post_message(self.Scrolled(1))

    def on_mouse_scroll_up(self, event: MouseScrollUp) -> None:
        event.stop()
        self.post_message(self.Scrolled(-1))

    def on_resize(self, event: Resize) -> None:
        self.post_message(self.Resized())
