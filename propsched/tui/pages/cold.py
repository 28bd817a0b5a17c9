"""Cold and other things that might come are tried out here."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.actions import SkipAction
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key, Resize
from textual.widgets import Button, Static

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.drawn import drawn_button, drawn_label
from propsched.tui.pages.page import Page
from propsched.tui.pages.turning import Turning
from propsched.tui.touch import Thumbs
from propsched.tui.views.cold import ColdView, cold_view
from propsched.tui.views.marked import Line, Mark
from propsched.tui.views.supposing import (
    WEEK,
    Limits,
    Supposing,
    limits_of,
    moved,
    rubbed,
    said,
    turned,
    typing,
    usual,
)

if TYPE_CHECKING:
    from propsched.service.change import Change

TYPED = frozenset("0123456789.-")
ROWS = 4
PAGE = 5
"""Lines that + and − scroll."""
THEMED: dict[Mark, str] = {
    "": "",
    "head": "bold",
    "warning": "bold",
    "error": "bold",
    "good": "bold",
    "muted": "",
}


class ColdPage(Page, can_focus=True):
    """What is supposed on top, what it would change below."""

    TITLE: ClassVar[str] = "Cold snap"
    TAB: ClassVar[str] = "Cold"
    KEY: ClassVar[str] = "t"
    HELP: ClassVar[str] = (
        "Try out what a cold spell would change – or lost plants, late material, a "
        "space out of use: choose, press enter, and see before and after side by "
        "side, with what to protect. Nothing is saved until you accept it. Below "
        "stands what is at risk on the next nights as they are forecast."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "try", "Try it"),
        Binding("a", "accept", "Accept"),
        Binding("l", "leave", "Leave"),
        Binding("up", "move(-1)", "Line above", show=False),
        Binding("down", "move(1)", "Line below", show=False),
        Binding("left", "turn(-1)", "Less, earlier, the one before", show=False),
        Binding("right", "turn(1)", "More, later, the next one", show=False),
        Binding("pageup", f"turn({-WEEK})", "Seven less", show=False),
        Binding("pagedown", f"turn({WEEK})", "Seven more", show=False),
        Binding("backspace", "rub", "Take the last sign out", show=False),
        Binding("plus", "scroll(1)", "Text down", show=False),
        Binding("minus", "scroll(-1)", "Text up", show=False),
        Binding("escape", "escape", "Leave what was tried", show=False),
    ]
    DEFAULT_CSS = """
    ColdPage { padding: 0 1; }
    ColdPage Static { height: auto; width: 100%; }
    ColdPage #cold-title { text-style: bold; color: $text-accent; }
    ColdPage #cold-refused { color: $text-error; text-style: bold; }
    ColdPage #fields { height: auto; }
    ColdPage #cold-buttons { height: auto; }
    ColdPage #cold-buttons Button { margin-right: 2; }
    ColdPage #cold-body { height: 1fr; background: $surface; }
    ColdPage #cold-hint { height: 1; color: $text-muted; text-overflow: ellipsis; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._now: Supposing | None = None
        self._limits: Limits | None = None
        self._opened: object = None
        self._shown: ColdView | None = None

    def compose(self) -> ComposeResult:
        yield Static("", id="cold-title", markup=False)
        with Vertical(id="fields"):
            for row in range(ROWS):
                yield Turning(row)
        yield Static("", id="cold-refused", markup=False)
        with Horizontal(id="cold-buttons"):
            yield drawn_button("enter  try it", id="cold-try")
            yield drawn_button("a  accept", id="cold-accept")
            yield drawn_button("l  leave", id="cold-leave")
        with VerticalScroll(id="cold-body", can_focus=False):
            yield Static("", id="cold-text", markup=False)
        yield Thumbs("#cold-body")
        yield Static("", id="cold-hint", markup=False)

    def on_mount(self) -> None:
        for button in self.query(Button):
            button.can_focus = False

    def show(self, desk: Desk) -> None:
        if desk.opened is not self._opened:
            self._opened = desk.opened
            self._limits = limits_of(desk)
            if self._now is None and self._limits is not None:
                self._now = usual(self._limits, desk)
        self._draw()

    def _draw(self) -> None:
        before = self._shown
        view = cold_view(self.desk, self._now, width=self.size.width - 4)
        self._shown = view
        self._fill("#cold-title", view.title)
        self._fill("#cold-refused", view.refused)
        self._fill("#cold-hint", view.hint)
        self.query_one("#fields").display = bool(view.fields)
        for row, widget in enumerate(self.query(Turning)):
            widget.display = row < len(view.fields)
            if row < len(view.fields):
                widget.show(view.fields[row].text, here=view.fields[row].here)
        self.query_one("#cold-buttons").display = view.showing in (
            "form", "tried", "accepted"
        )  # fmt: skip
        self.query_one("#cold-try").display = view.showing == "form"
        self.query_one("#cold-accept").display = view.showing == "tried"
        leave = self.query_one("#cold-leave", Button)
        leave.display = view.showing in ("tried", "accepted")
        tried = view.showing == "tried"
        leave.label = drawn_label("l  leave" if tried else "l  try something else")
        if before is None or before.body != view.body:
            self.query_one("#cold-text", Static).update(_text(view.body))
            if before is not None and before.showing != view.showing:
                self.query_one("#cold-body").scroll_home(animate=False)

    def _fill(self, name: str, text: str) -> None:
        line = self.query_one(name, Static)
        line.update(text)
        line.display = bool(text)

    def on_resize(self, event: Resize) -> None:
        self._draw()

    # what keys and fingers do

    @property
    def _form(self) -> tuple[Supposing, Limits] | None:
        """What is chosen, while it can be."""
        shown = self._shown
        if shown is None or shown.showing != "form":
            return None
        if self._now is None or self._limits is None:
            return None
        return self._now, self._limits

    def on_key(self, event: Key) -> None:
        form = self._form
        if form is None or event.character is None or event.character not in TYPED:
            return
        if event.character == "-" and form[0].field not in ("first", "last"):
            return
        self._now = typing(form[0], event.character, form[1])
        event.stop()
        event.prevent_default()
        self._draw()

    @on(Turning.Turned)
    def _turned(self, event: Turning.Turned) -> None:
        form = self._form
        if form is None:
            return
        self._now = moved(form[0], event.row - form[0].at)
        if event.by:
            self._now = turned(self._now, event.by, form[1])
        self._draw()

    def action_move(self, by: int) -> None:
        form = self._form
        if form is None:
            self.query_one("#cold-body").scroll_relative(y=by, animate=False)
            return
        self._now = moved(form[0], by)
        self._draw()

    def action_turn(self, by: int) -> None:
        form = self._form
        if form is None:
            if abs(by) == WEEK:
                self.action_scroll(1 if by > 0 else -1)
            return
        self._now = turned(form[0], by, form[1])
        self._draw()

    def action_rub(self) -> None:
        form = self._form
        if form is not None:
            self._now = rubbed(form[0], form[1])
            self._draw()

    def action_scroll(self, by: int) -> None:
        self.query_one("#cold-body").scroll_relative(y=PAGE * by, animate=False)

    def action_try(self) -> None:
        form = self._form
        if form is None or (form[0].refused and form[0].typed):
            return
        self.post_message(asks.TryOut(change_of(form[0]), said(form[0])))

    def action_accept(self) -> None:
        if self.desk.tried is not None and not self.desk.planning.busy:
            self.post_message(asks.Accept())

    def action_leave(self) -> None:
        if self._shown is not None and self._shown.showing in ("tried", "accepted"):
            self.post_message(asks.Forget())

    def action_escape(self) -> None:
        if self._shown is None or self._shown.showing not in ("tried", "accepted"):
            raise SkipAction
        self.post_message(asks.Forget())

    @on(Button.Pressed)
    def _pressed(self, event: Button.Pressed) -> None:
        event.stop()
        match event.button.id:
            case "cold-try":
                self.action_try()
            case "cold-accept":
                self.action_accept()
            case _:
                self.action_leave()


def _text(lines: tuple[Line, ...]) -> Text:
    text = Text()
    for at, line in enumerate(lines):
        text.append(line.text, THEMED[line.mark])
        text.append("\n" if at + 1 < len(lines) else "")
    return text


def change_of(now: Supposing) -> "Change":
    """What is chosen, as the planner takes it."""
    # loaded long since, with the plan that it is tried on
    from propsched.service.change import Change, Late, Lost, Without
    from propsched.thermal.snap import Spell

    match now.kind:
        case "cold":
            spell = Spell(first=now.first, days=now.days, drop_k=float(now.drop_c))
            return Change(cold=(spell,))
        case "lost":
            return Change(lost=(Lost(batch=now.batch, count=now.count),))
        case "late":
            return Change(late=(Late(batch=now.batch, first=now.first),))
        case "without":
            out = Without(space=now.space, first=now.first, last=now.last)
            return Change(without=(out,))
