"""Two spaces are chosen and compared here."""

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Resize
from textual.widgets import Button, Static

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.drawn import drawn_button
from propsched.tui.pages.page import Page
from propsched.tui.pages.picker import Picker
from propsched.tui.touch import Thumbs
from propsched.tui.views.compare import (
    Choice,
    Side,
    compare_view,
    counts_of,
    first_choice,
)

WIDE = 110
LISTS = 60
"""Columns of both lists where they stand beside the answer."""


class ComparePage(Page, can_focus=True):
    """Two lists, and what the readings of the two say."""

    TITLE: ClassVar[str] = "Compare"
    KEY: ClassVar[str] = "c"
    HELP: ClassVar[str] = (
        "Whether one space is warmer than another, by readings taken in both within "
        "90 minutes. Choose one in each list and press enter: a sentence says what "
        "can be said, and how many more days of readings would make it surer."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "compare", "Compare"),
        Binding("up", "move(-1)", "Space above", show=False),
        Binding("down", "move(1)", "Space below", show=False),
        Binding("left,right,tab", "side", "Other list", key_display="← →"),
        Binding("plus,pagedown", "scroll(1)", "Answer down", show=False),
        Binding("minus,pageup", "scroll(-1)", "Answer up", show=False),
    ]
    DEFAULT_CSS = """
    ComparePage Static { height: auto; width: 100%; }
    ComparePage #two { height: 1fr; layout: vertical; }
    ComparePage #lists { height: 50%; min-height: 4; }
    ComparePage .list { width: 1fr; height: 100%; }
    ComparePage .list > Static { text-style: bold; }
    ComparePage #answer { height: 1fr; padding: 0 1; background: $surface; }
    ComparePage #verdict { text-style: bold; color: $text-accent; }
    ComparePage #told { text-wrap: wrap; }
    ComparePage #compare-hint {
        color: $text-muted; height: 1; text-overflow: ellipsis;
    }
    ComparePage Horizontal.buttons { height: auto; }
    ComparePage.-wide #two { layout: horizontal; }
    ComparePage.-wide #lists { width: 60; height: 100%; }
    ComparePage.-wide #answer { width: 1fr; height: 100%; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._choice = Choice()
        self._counts: Mapping[str, tuple[int, str]] = {}
        self._opened: object = None

    def compose(self) -> ComposeResult:
        yield Static("", id="compare-empty", markup=False)
        with Vertical(id="two"):
            with Horizontal(id="lists"):
                for side in ("first", "second"):
                    with Vertical(classes="list"):
                        yield Static("", id=f"{side}-head", markup=False)
                        yield Picker(id=side)
                        yield Thumbs("Picker")
            with VerticalScroll(id="answer", can_focus=False):
                yield Static("", id="verdict", markup=False)
                with Horizontal(classes="buttons"):
                    yield drawn_button("enter  compare", id="compare-them")
                    yield drawn_button("r  read now", id="read-now")
                yield Static("", id="told", markup=False)
            yield Thumbs("#answer", id="answer-thumbs")
        yield Static("", id="compare-hint", markup=False)

    def on_mount(self) -> None:
        for button in self.query(Button):
            button.can_focus = False
        self.watch(self.app, "desk", self._hear, init=False)

    def show(self, desk: Desk) -> None:
        if desk.opened is not self._opened:
            self._opened = desk.opened
            self._counts = counts_of(desk)
            if not {self._choice.first, self._choice.second} <= set(self._counts):
                self._choice = first_choice(desk, self._counts)
        asked, found = self._choice.asked, desk.compared
        if found is not None and asked == (found.first, found.second):
            self._choice = replace(self._choice, asked=None)
        self._draw()

    def _hear(self, before: Desk, desk: Desk) -> None:
        """What cannot be compared is told, and no longer waited for."""
        failed = desk.said is not before.said and desk.tone == "error"
        if self._choice.asked is not None and failed:
            self._choice = replace(self._choice, asked=None, failed=desk.said)
            self._draw()

    def _draw(self) -> None:
        wide = self.size.width >= WIDE
        room = self.size.width - (LISTS if wide else 0) - 4
        view = compare_view(self.desk, self._counts, self._choice, width=room)
        self.set_class(wide, "-wide")
        self.query_one("#compare-empty", Static).update(view.empty)
        self.query_one("#compare-empty").display = bool(view.empty)
        self.query_one("#two").display = not view.empty
        for at, side in enumerate(("first", "second")):
            self.query_one(f"#{side}-head", Static).update(view.heads[at])
            self.query_one(f"#{side}", Picker).show(view.rows, view.cursors[at])
        self.query_one("#verdict", Static).update(view.verdict)
        self.query_one("#told", Static).update("\n".join(view.answer))
        asked = bool(view.answer) or self._choice.asked is not None
        self.query_one("#compare-them").display = not asked and not view.to_reading
        self.query_one("#read-now").display = view.to_reading
        self.query_one(".buttons").display = view.to_reading or not asked
        self.query_one("#compare-hint", Static).update(view.hint)

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def action_side(self) -> None:
        other: Side = "second" if self._choice.side == "first" else "first"
        self._choice = replace(self._choice, side=other)
        self._draw()

    def action_move(self, by: int) -> None:
        names = list(self._counts)
        if not names:
            return
        one = self._choice
        now = one.first if one.side == "first" else one.second
        at = names.index(now) + by if now in names else 0
        self._choose(names[min(max(at, 0), len(names) - 1)])

    def _choose(self, name: str) -> None:
        one = self._choice
        if one.side == "first":
            one = replace(one, first=name)
        else:
            one = replace(one, second=name)
        self._choice = replace(one, asked=None, failed="")
        self._draw()

    @on(Picker.Picked)
    def _picked(self, event: Picker.Picked) -> None:
        side: Side = "first" if event.picker.id == "first" else "second"
        self._choice = replace(self._choice, side=side)
        self._choose(list(self._counts)[event.row])

    def action_compare(self) -> None:
        one = self._choice
        both_read = all(
            self._counts.get(name, (0, ""))[0] for name in (one.first, one.second)
        )
        if both_read and one.first != one.second:
            self._choice = replace(one, asked=(one.first, one.second), failed="")
            self.post_message(asks.CompareSpaces(one.first, one.second))
        self._draw()

    @on(Button.Pressed, "#compare-them")
    def _pressed(self, event: Button.Pressed) -> None:
        event.stop()
        self.action_compare()

    @on(Button.Pressed, "#read-now")
    def _read_now(self, event: Button.Pressed) -> None:
        event.stop()
        self.post_message(asks.Go("reading"))

    def action_scroll(self, by: int) -> None:
        self.query_one("#answer", VerticalScroll).scroll_relative(
            y=5 * by, animate=False
        )
