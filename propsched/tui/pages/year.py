"""The page ``year``: the season looked back on."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.events import Resize
from textual.widgets import Static

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.drawn import STYLES
from propsched.tui.pages.page import Page
from propsched.tui.touch import Thumbs
from propsched.tui.views.year import year_view


class YearPage(Page, can_focus=True):
    """One text to read down."""

    TITLE: ClassVar[str] = "Looking back"
    TAB: ClassVar[str] = "Year"
    KEY: ClassVar[str] = "y"
    HELP: ClassVar[str] = (
        "What was to be expected of this season beside what happened: days on which "
        "things came up or rooted, losses, what became of each batch, readings beside "
        "the model; what to do otherwise, and rows for crops.csv. It goes by the "
        "daybook and the readings, and changes nothing."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,plus", "scroll('down')", "Down", key_display="↓"),
        Binding("up,minus", "scroll('up')", "Up", key_display="↑"),
        Binding("pagedown,space", "scroll('page_down')", "A page down", show=False),
        Binding("pageup", "scroll('page_up')", "A page up", show=False),
        Binding("home", "scroll('home')", "To the beginning", show=False),
        Binding("end", "scroll('end')", "To the end", show=False),
    ]
    DEFAULT_CSS = """
    YearPage { padding: 0 1; }
    YearPage VerticalScroll { height: 1fr; }
    YearPage #year-text { width: 100%; height: auto; text-wrap: nowrap; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._asked: object = None
        """The season as it was read when it was looked back on last."""

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="year-body", can_focus=False):
            yield Static(markup=False, id="year-text")
        yield Thumbs("#year-body")

    def show(self, desk: Desk) -> None:
        if desk.opened is not None and self._asked is not desk.opened:
            self._asked = desk.opened
            self.post_message(asks.LookBack())
        self._draw()

    def _draw(self) -> None:
        room = self.query_one("#year-body").size.width
        view = year_view(self.desk, width=max(20, room - 2))
        self.query_one("#year-text", Static).update(
            Content("\n").join(
                Content.assemble(*((p.text, STYLES[p.look]) for p in one))
                for one in view.drawn
            )
        )

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def action_scroll(self, how: str) -> None:
        body = self.query_one("#year-body", VerticalScroll)
        match how:
            case "up" | "down":
                body.scroll_relative(y=-1 if how == "up" else 1, animate=False)
            case "page_up":
                body.scroll_page_up(animate=False)
            case "page_down":
                body.scroll_page_down(animate=False)
            case "home":
                body.scroll_home(animate=False)
            case _:
                body.scroll_end(animate=False)
