"""The page ``warmth``: how warm one space was, is and may be."""

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
from propsched.tui.views.season_book import SeasonBook, season_book
from propsched.tui.views.warmth import (
    Sight,
    WarmthView,
    closer,
    next_day,
    next_space,
    sight_on,
    warmth_view,
)
from propsched.tui.views.warmth_plot import MARGIN


class WarmthPage(DrawnPage):
    """One space, days across and degrees up."""

    TITLE: ClassVar[str] = "Warmth"
    KEY: ClassVar[str] = "w"
    HELP: ClassVar[str] = (
        "How warm one space was, is and may be. The line is the median of the root "
        "zone's daily mean, ░ its range in 8 of 10 winters, ● a day's readings, ▾ the "
        "air at night; ┄ what stands there needs. Below the dates: was, forecast, "
        "outlook of past winters. The chosen day is told in figures."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left_square_bracket,up", "space(-1)", "Space", key_display="["),
        Binding("right_square_bracket,down", "space(1)", "Space", key_display="]"),
        Binding("left", "day(-1)", "Day before", show=False),
        Binding("right", "day(1)", "Day after", show=False),
        Binding("pageup", "day(-7)", "Week before", show=False),
        Binding("pagedown", "day(7)", "Week after", show=False),
        Binding("plus,equals_sign", "zoom(1)", "Closer", key_display="+"),
        Binding("minus", "zoom(-1)", "Wider", key_display="-"),
        Binding("n", "need", "Next need", tooltip="Draw the needs of the next batch"),
        Binding("home,full_stop", "today", "To today", show=False, key_display="home"),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._shown: tuple[object, ...] = (0, 0)
        self._book: SeasonBook | None = None
        self._sight: Sight | None = None
        self._view: WarmthView | None = None

    def compose(self) -> ComposeResult:
        yield Drawn()

    def show(self, desk: Desk) -> None:
        facts = (desk.opened, desk.temps)
        if any(a is not b for a, b in zip(facts, self._shown, strict=True)):
            self._shown = facts
            self._book = season_book(desk)
        book, at = self._book, self._sight
        if book is None or not book.spaces:
            self._sight = None
        elif at is None or book.of(at.space) is None:
            self._sight = sight_on(book, desk.space)
        else:
            self._sight = replace(at, day=book.within(at.day))
        self._draw()

    def arrive(self) -> None:
        """On the space that was chosen on another page meanwhile."""
        super().arrive()
        at, space = self._sight, self.desk.space
        if self._book is None or at is None or self._book.of(space) is None:
            return
        if at.space != space:
            self._sight = replace(at, space=space, need=0)
            self._draw()

    def lines_for(self, width: int, height: int) -> Iterable[Line]:
        view = warmth_view(
            self.desk, self._book, self._sight, width=width, height=height
        )
        self._view, self._sight = view, view.sight
        return view.drawn

    def _change(self, at: Sight) -> None:
        before, self._sight = self._sight, at
        self._draw()
        if before is not None and before.space != at.space:
            self.post_message(asks.Choose(space=at.space))

    def action_space(self, by: int) -> None:
        if self._book is not None and self._sight is not None:
            self._change(next_space(self._book, self._sight, by))

    def action_day(self, by: int) -> None:
        if self._book is not None and self._sight is not None:
            self._change(next_day(self._book, self._sight, by))

    def action_zoom(self, by: int) -> None:
        if self._sight is not None:
            self._change(closer(self._sight, by))

    def action_need(self) -> None:
        if self._sight is not None:
            self._change(replace(self._sight, need=self._sight.need + 1))

    def action_today(self) -> None:
        if self._book is not None and self._sight is not None:
            day = self._book.within(self._book.today)
            self._change(replace(self._sight, day=day, left=None))

    @on(Drawn.Scrolled)
    def _scrolled(self, message: Drawn.Scrolled) -> None:
        self.action_day(message.by)

    @on(Drawn.Pressed)
    async def _pressed(self, message: Drawn.Pressed) -> None:
        view, at = self._view, self._sight
        if view is None or at is None or view.frame is None or self._book is None:
            return
        for spot in view.spots:
            if spot.holds(message.x, message.y):
                await self.run_action(spot.action)
                return
        column = message.x - MARGIN
        row = message.y - view.top
        if 0 <= column < view.frame.width and 0 <= row < view.frame.height:
            day = self._book.within(view.frame.day(column))
            self._change(replace(at, day=day, need=0))
