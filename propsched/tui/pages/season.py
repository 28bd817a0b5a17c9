"""The page ``season``: what stands where, how full, how warm."""

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.drawn import Drawn
from propsched.tui.pages.drawn_page import DrawnPage
from propsched.tui.views.pieces import Line
from propsched.tui.views.season import SeasonView, season_view
from propsched.tui.views.season_axis import CELL
from propsched.tui.views.season_book import SeasonBook, season_book
from propsched.tui.views.season_open import (
    Open,
    Row,
    at_batch,
    closed,
    moved,
    opened_on,
    passed,
    still,
    unfolded,
    zoomed,
)
from propsched.tui.views.season_rows import LABEL


class SeasonPage(DrawnPage):
    """Spaces down, weeks across; a space opens into its batches."""

    TITLE: ClassVar[str] = "Season"
    KEY: ClassVar[str] = "s"
    HELP: ClassVar[str] = (
        "What stands where this week, what is cold, where is room. A bar says how full "
        "a space is on its fullest day of a column, the figure beside it the mean of "
        "the root zone in °C. Marks: ! overfull, m the bed is made up, + one more tray "
        "would be worth something, c too cold to grow for something that stands there, "
        "h heated. In a space that is open ● and ━ stand by the daybook, ○ and ╌ are "
        "planned, ─ is past."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "row(-1)", "Row above", show=False),
        Binding("down", "row(1)", "Row below", show=False),
        Binding("pageup", "row(-8)", "8 rows up", show=False),
        Binding("pagedown", "row(8)", "8 rows down", show=False),
        Binding("left", "earlier", "Earlier; of a batch its stage before", show=False),
        Binding("right", "later", "Later; of a batch its next stage", show=False),
        Binding(
            "enter", "enter", "Open", tooltip="Open the space, or the batch's page"
        ),
        Binding("backspace", "close", "Close the space", show=False),
        Binding("plus,equals_sign", "zoom_in", "Closer", key_display="+"),
        Binding("minus", "zoom_out", "Wider", key_display="-"),
        Binding("home,full_stop", "today", "To today", show=False, key_display="home"),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._shown: tuple[object, ...] = (0, 0)
        self._book: SeasonBook | None = None
        self._at: Open | None = None
        self._view: SeasonView | None = None
        self._seen: tuple[str, str] | None = None
        """Batch and space that were chosen when the page was looked at last."""

    def compose(self) -> ComposeResult:
        yield Drawn()

    def show(self, desk: Desk) -> None:
        facts = (desk.opened, desk.temps)
        if any(a is not b for a, b in zip(facts, self._shown, strict=True)):
            self._shown = facts
            self._book = season_book(desk)
        book, at = self._book, self._at
        if book is None or not book.spaces:
            self._at = None
        else:
            self._at = opened_on(book, desk.space) if at is None else still(book, at)
            self._seen = self._seen or (desk.batch, desk.space)
        self._draw()

    def arrive(self) -> None:
        """On what was chosen on another page meanwhile."""
        super().arrive()
        desk, book, at = self.desk, self._book, self._at
        if book is None or at is None or self._seen is None:
            return
        (batch, space), self._seen = self._seen, (desk.batch, desk.space)
        if desk.batch != batch:
            self._at = at_batch(book, at, desk.batch)
        elif desk.space != space and book.of(desk.space) is not None:
            self._at = replace(at, row=Row(desk.space))
        self._draw()

    def lines_for(self, width: int, height: int) -> Iterable[Line]:
        view = season_view(self.desk, self._book, self._at, width=width, height=height)
        self._view, self._at = view, view.at
        return view.drawn

    def _change(self, at: Open) -> None:
        before, self._at = self._at, at
        self._draw()
        if before is None or before.row != at.row:
            known = ("", "") if self._seen is None else self._seen
            self._seen = (at.row.batch or known[0], at.row.space)
            self.post_message(asks.Choose(at.row.batch or None, at.row.space))

    # keys

    def action_row(self, by: int) -> None:
        if self._book and self._at and self._view and self._view.axis:
            self._change(moved(self._book, self._at, self._view.axis, by))

    def _pass(self, by: int) -> None:
        if self._book and self._at and self._view and self._view.axis:
            self._change(passed(self._book, self._at, self._view.axis, by))

    def action_earlier(self) -> None:
        self._pass(-1)

    def action_later(self) -> None:
        self._pass(1)

    def action_enter(self) -> None:
        if self._at is None:
            return
        if self._at.row.batch:
            self.post_message(asks.Choose(self._at.row.batch, self._at.row.space))
            self.post_message(asks.Go("batches", opened=True))
        else:
            self._change(unfolded(self._at))

    def action_close(self) -> None:
        if self._at is not None:
            self._change(closed(self._at))

    def action_zoom_in(self) -> None:
        if self._at is not None:
            self._change(zoomed(self._at, 1))

    def action_zoom_out(self) -> None:
        if self._at is not None:
            self._change(zoomed(self._at, -1))

    def action_today(self) -> None:
        if self._book and self._at:
            day = self._book.within(self._book.today)
            self._change(replace(self._at, day=day, left=None))

    # mouse and touch

    @on(Drawn.Scrolled)
    def _scrolled(self, message: Drawn.Scrolled) -> None:
        self.action_row(message.by)

    @on(Drawn.Pressed)
    async def _pressed(self, message: Drawn.Pressed) -> None:
        view, at = self._view, self._at
        if view is None or at is None or view.axis is None:
            return
        for spot in view.spots:
            if spot.holds(message.x, message.y):
                await self.run_action(spot.action)
                return
        key = view.keys[message.y] if message.y < len(view.keys) else None
        column = (message.x - LABEL) // CELL
        in_grid = message.x >= LABEL and column < view.axis.columns
        if in_grid and self._book is not None:
            at = replace(at, day=self._book.within(view.axis.begins(column)))
        if key is None:
            self._change(at)
        elif key == at.row and not in_grid:
            self.action_enter()
        else:
            self._change(replace(at, row=key))
