"""The page ``problems``."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.page import Page
from propsched.tui.touch import Thumbs
from propsched.tui.views.problems import ProblemsView, Row, problems_view


class ProblemsPage(Page):
    """Faults as a list, and the lines of the file round the chosen one."""

    TITLE: ClassVar[str] = "Problems"
    TAB: ClassVar[str] = "Faults"
    KEY: ClassVar[str] = "x"
    HELP: ClassVar[str] = (
        "What of the files cannot be read, with file and line. ↑ and ↓ choose a fault, "
        "enter shows the lines round it. Saved files are read again by themselves."
    )
    DEFAULT_CSS = """
    ProblemsPage #problems-head { text-style: bold; padding: 0 1; height: auto; }
    ProblemsPage OptionList {
        height: auto; max-height: 50%; border: none; background: $background;
        &:focus { border: none; }
    }
    ProblemsPage #problems-lead { padding: 0 1; color: $text-muted; height: auto; }
    ProblemsPage VerticalScroll { height: 1fr; padding: 0 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: tuple[Row, ...] = ()

    def compose(self) -> ComposeResult:
        yield Static(markup=False, id="problems-head")
        yield OptionList(id="problems-list", markup=False)
        yield Static(markup=False, id="problems-lead")
        with VerticalScroll(can_focus=False):
            yield Static(markup=False, id="problems-excerpt")
        yield Thumbs("#problems-list")

    def show(self, desk: Desk) -> None:
        faults = self.query_one(OptionList)
        view = problems_view(desk, cursor=faults.highlighted or 0)
        self.query_one("#problems-head", Static).update(view.head)
        self.query_one("#problems-lead", Static).update("\n".join(view.lead))
        self.query_one("#problems-excerpt", Static).update("\n".join(view.excerpt))
        if view.rows != self._rows:
            self._list(view)
        faults.display = bool(view.rows)

    def _list(self, view: ProblemsView) -> None:
        """The cursor stays where it was, as near as there is one."""
        faults = self.query_one(OptionList)
        at = faults.highlighted or 0
        self._rows = view.rows
        faults.clear_options()
        faults.add_options([Option(_told(row)) for row in view.rows])
        faults.highlighted = min(at, len(view.rows) - 1) if view.rows else None

    def arrive(self) -> None:
        self.query_one(OptionList).focus()

    @on(OptionList.OptionHighlighted)
    @on(OptionList.OptionSelected)
    def _look(self, event: OptionList.OptionMessage) -> None:
        event.stop()
        if event.option_index < len(self.desk.problems):
            one = self.desk.problems[event.option_index]
            self.post_message(asks.ShowLines(one.path, one.line))


def _told(row: Row) -> Text:
    return Text.assemble((row.place, "bold"), "  ", row.text)
