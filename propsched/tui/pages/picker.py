"""A list whose rows are picked by mouse, touch or the page's keys."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Click
from textual.geometry import Region
from textual.message import Message
from textual.widgets import Static


class Picker(VerticalScroll, can_focus=False):
    """
    Rows of one line or more, one of which has the cursor.

    It takes no keys: whoever shows it keeps the cursor and moves it.
    """

    DEFAULT_CSS = """
    Picker { height: 1fr; }
    Picker > Static {
        height: auto; width: 100%; text-wrap: nowrap; text-overflow: ellipsis;
    }
    """

    @dataclass
    class Picked(Message):
        """A row was clicked or touched."""

        picker: "Picker"
        row: int

        @property
        def control(self) -> "Picker":
            return self.picker

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self._heights: tuple[int, ...] = ()
        self._shown: tuple[tuple[str, ...], int] | None = None

    def compose(self) -> ComposeResult:
        yield Static("", markup=False)

    def show(self, rows: Sequence[str], cursor: int = -1) -> None:
        """The mark says where the cursor is, not the reversed text alone."""
        if self._shown == (tuple(rows), cursor):
            return
        self._shown = tuple(rows), cursor
        text = Text()
        self._heights = tuple(row.count("\n") + 1 for row in rows)
        for at, row in enumerate(rows):
            mark = "▸" if at == cursor else " "
            lines = "\n ".join(row.split("\n"))
            text.append(f"{mark}{lines}", "reverse bold" if at == cursor else "")
            text.append("\n" if at + 1 < len(rows) else "")
        self.query_one(Static).update(text)
        if 0 <= cursor < len(rows):
            top = sum(self._heights[:cursor])
            place = Region(0, top, 1, self._heights[cursor])
            self.call_after_refresh(
                self.scroll_to_region, place, animate=False, force=True
            )

    def on_click(self, event: Click) -> None:
        # the click may be told of the list or of the text in it
        at = event.screen_y - self.content_region.y + round(self.scroll_offset.y)
        for row, height in enumerate(self._heights):
            if 0 <= at < height:
                event.stop()
                self.post_message(self.Picked(self, row))
                return
            at -= height
