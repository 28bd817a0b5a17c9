"""What is laid over a page: help, and the question on leaving."""

from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Static

from propsched.tui.touch import Thumbs
from propsched.tui.views.help import HelpView

Leaving = Literal["keep", "drop", "stay"]


class HelpScreen(ModalScreen[None]):
    """Keys of the page and of the app; any of the keys below closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,question_mark,enter", "dismiss", "Close"),
    ]

    def __init__(self, view: HelpView) -> None:
        super().__init__()
        self._view = view

    def compose(self) -> ComposeResult:
        with Vertical(id="help-box"):
            with VerticalScroll(id="help"):
                yield Static("\n".join(self._view.lines), markup=False)
            yield Thumbs("#help")
            yield Button("Close (esc)", id="close", compact=True)

    def on_mount(self) -> None:
        self.query_one("#help").focus()

    def on_button_pressed(self) -> None:
        self.dismiss()


class LeaveScreen(ModalScreen[Leaving]):
    """Asked when a plan is being made: is the best so far to be kept?"""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "end('keep')", "Keep the best so far"),
        Binding("d", "end('drop')", "Leave without it"),
        Binding("escape", "end('stay')", "Stay"),
    ]

    def compose(self) -> ComposeResult:
        with Vertical(id="leave"):
            yield Static("A plan is being made.", markup=False)
            with Horizontal():
                yield Button("k  Keep the best so far", id="keep", compact=True)
                yield Button("d  Leave without it", id="drop", compact=True)
                yield Button("esc  Stay", id="stay", compact=True)

    def on_mount(self) -> None:
        self.query_one("#keep").focus()

    def action_end(self, how: Leaving) -> None:
        self.dismiss(how)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        how: dict[str | None, Leaving] = {"keep": "keep", "drop": "drop"}
        self.dismiss(how.get(event.button.id, "stay"))
