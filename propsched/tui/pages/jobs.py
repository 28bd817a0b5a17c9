"""The page ``jobs``."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from propsched.tui.desk import Desk
from propsched.tui.pages.page import Page


class JobsPage(Page, can_focus=True):
    """To be drawn."""

    TITLE: ClassVar[str] = "Jobs"
    KEY: ClassVar[str] = "j"
    HELP: ClassVar[str] = ""

    def compose(self) -> ComposeResult:
        yield Static("", markup=False)

    def show(self, desk: Desk) -> None:
        self.query_one(Static).update(self.TITLE)
