"""A page whose view draws all its lines, to the size there is."""

from collections.abc import Iterable

from textual import on

from propsched.tui.pages.drawn import Drawn
from propsched.tui.pages.page import Page
from propsched.tui.views.pieces import Line


class DrawnPage(Page, can_focus=True):
    """It holds one ``Drawn``, drawn anew when its size changes."""

    def lines_for(self, width: int, height: int) -> Iterable[Line]:
        """Look anew, and give what is to be drawn in so much room."""
        raise NotImplementedError

    @on(Drawn.Resized)
    def _draw(self) -> None:
        drawn = self.query_one(Drawn)
        width, height = drawn.size
        if width and height:
            drawn.draw(self.lines_for(width, height))
