"""For a finger alone: what keys do otherwise, on screens too narrow for all of them."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.events import Click
from textual.widgets import Static

from propsched.tui.pages.page import Page

DOES = (
    ("plan", "plan"), ("undo", "undo"), ("back", "back"), ("find", "command_palette"),
    ("help", "help"), ("quit", "quit"),
)  # fmt: skip
"""Word and action of the app, for everything that is no page."""


class TouchWord(Static):
    """A word that does what a key does: an action of the page, else of the app."""

    def __init__(self, word: str, action: str) -> None:
        super().__init__(word, markup=False, classes=f"touch-{word}")
        self._action = action

    async def on_click(self, event: Click) -> None:
        event.stop()
        page = next((one for one in self.ancestors if isinstance(one, Page)), None)
        if self._action == "back":  # of a form first, then of the page
            self.app.simulate_key("escape")
        else:
            await self.app.run_action(self._action, default_namespace=page)


class TouchBar(Horizontal):
    """At the foot of a narrow screen, in place of the keys."""

    def compose(self) -> ComposeResult:
        for word, action in DOES:
            yield TouchWord(word, action)


class Thumb(Static):
    """An arrow that leads a screenful on."""


class Thumbs(Horizontal):
    """
    Up and down in something beside it that scrolls; on narrow screens alone.

    Parameters
    ----------
    target : str
        Which of its neighbours, or what is in them.
    words : sequence
        What else there is to be pressed, and the page's action for it.
    """

    def __init__(
        self,
        target: str,
        words: Sequence[tuple[str, str]] = (),
        *,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self._target = target
        self._words = words

    def compose(self) -> ComposeResult:
        yield Thumb("▲", classes="up", markup=False)
        yield Thumb("▼", classes="down", markup=False)
        for word, action in self._words:
            yield TouchWord(word, action)

    def on_click(self, event: Click) -> None:
        event.stop()
        if self.parent is None or event.widget is None:
            return
        scrolled = self.parent.query_one(self._target)
        if event.widget.has_class("up"):
            scrolled.scroll_page_up(animate=False)
        elif event.widget.has_class("down"):
            scrolled.scroll_page_down(animate=False)
