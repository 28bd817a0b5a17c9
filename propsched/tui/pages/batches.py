"""The page ``batches``: all in a table, one opened to see why and to change it."""

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.actions import SkipAction
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key

from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.drawn import Drawn
from propsched.tui.pages.drawn_page import DrawnPage
from propsched.tui.pages.find_field import FindField
from propsched.tui.views import asking, batch_forms
from propsched.tui.views.asking import WEEK, Asking
from propsched.tui.views.batch import pins_of
from propsched.tui.views.batches import BatchesOpen, BatchesView, batches_view
from propsched.tui.views.batches_book import (
    ORDERS,
    BatchesBook,
    BatchRow,
    Order,
    batches_book,
)
from propsched.tui.views.pieces import Line

PRIORITIES = frozenset("12345")


class BatchesPage(DrawnPage):
    """A row for each batch; enter opens one."""

    TITLE: ClassVar[str] = "Batches"
    KEY: ClassVar[str] = "b"
    HELP: ClassVar[str] = (
        "How far each batch is, where it stands (of one that waits: where it will), "
        "what is next, by when it is ready in most winters (latest), how many plants "
        "come of those wanted, its priority (p, 5 matters most). ! after a day: later "
        "than wanted. / finds by words, all of which must be there: names, methods, "
        "spaces, states. Enter opens one: there n notes what happened, i pins a stage "
        "to a space or day, d changes the day it is wanted by, 1 to 5 its priority; "
        "these change the files, and p plans again. u takes back the last of these."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "enter", "Open", tooltip="Open the batch"),
        Binding("slash", "find", "Find", key_display="/"),
        Binding("o", "order", "Order", tooltip="By next date, name, space or state"),
        Binding("n", "note", "Note", tooltip="Note what happened to it"),
        Binding("i", "pin", "Pin", tooltip="Pin a stage to a space or a day"),
        Binding("d", "wanted_by", "Wanted by", tooltip="The day it is wanted by"),
        Binding("u", "undo_note", "Take back", show=False),
        Binding("up", "row(-1)", "Up", show=False),
        Binding("down", "row(1)", "Down", show=False),
        Binding("pageup", "row(-10)", "10 up", show=False),
        Binding("pagedown", "row(10)", "10 down", show=False),
        Binding("home", "row(-9999)", "First", show=False),
        Binding("end", "row(9999)", "Last", show=False),
        Binding("left", "turn(-1)", "Batch before; of a question less", show=False),
        Binding("right", "turn(1)", "Batch after; of a question more", show=False),
        Binding("tab", "tab", "Next question", show=False),
        Binding("backspace", "rub", "Back to the list; last sign out", show=False),
        Binding("escape", "close", "Back to the list", show=False),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._at = BatchesOpen()
        self._view: BatchesView | None = None
        self._book: BatchesBook | None = None
        self._of: object = self
        """The season the book was made of."""
        self._seen: str | None = None
        """Batch that was chosen when the page was looked at last."""

    def compose(self) -> ComposeResult:
        yield FindField()
        yield Drawn()

    def show(self, desk: Desk) -> None:
        if desk.opened is not self._of:
            self._of, self._book = desk.opened, batches_book(desk)
        if self._book is not None and self._book.of(self._at.batch) is None:
            self._at = replace(self._at, opened=False, form=None, batch="")
        self._draw()

    def arrive(self) -> None:
        """On what was chosen on another page meanwhile."""
        super().arrive()
        chosen, seen = self.desk.batch, self._seen
        if seen is None and self._book is not None and self._book.rows:
            seen = self._book.rows[0].name  # nobody has chosen yet
        self._seen = chosen
        if chosen != seen and chosen != self._at.batch:
            self._change(replace(self._at, batch=chosen, down=0, form=None))
        else:
            self._draw()

    def open_chosen(self) -> None:
        if self._book is not None and self._book.of(self.desk.batch) is not None:
            self._change(
                replace(self._at, batch=self.desk.batch, opened=True, form=None, down=0)
            )

    def lines_for(self, width: int, height: int) -> Iterable[Line]:
        view = batches_view(self.desk, self._book, self._at, width=width, height=height)
        self._view, self._at = view, view.at
        return view.drawn

    def _change(self, at: BatchesOpen) -> None:
        before, self._at = self._at, at
        self._draw()
        if self._at.batch != before.batch and self._at.batch:
            self._seen = self._at.batch
            self.post_message(asks.Choose(batch=self._at.batch))

    @property
    def _row(self) -> BatchRow | None:
        return None if self._book is None else self._book.of(self._at.batch)

    # moving

    def action_row(self, by: int) -> None:
        at = self._at
        if at.form is not None:
            if abs(by) == 1:
                self._answer(asking.moved(at.form, by))
            else:
                self.action_turn(-WEEK if by < 0 else WEEK)
        elif at.opened:
            self._change(replace(at, down=max(0, at.down + by)))
        else:
            self._step(by)

    def action_page(self, by: int) -> None:
        """A screenful up or down."""
        self.action_row(by * (1 if self._view is None else self._view.page))

    def _step(self, by: int) -> None:
        rows = () if self._view is None else self._view.rows
        if not rows:
            return
        names = [row.name for row in rows]
        place = names.index(self._at.batch) if self._at.batch in names else 0
        name = names[min(max(place + by, 0), len(names) - 1)]
        self._change(replace(self._at, batch=name, down=0))

    def action_turn(self, by: int) -> None:
        if self._at.form is not None:
            self._turned(asking.turned(self._at.form, by))
        elif self._at.opened:
            self._step(by)

    def action_tab(self) -> None:
        if self._at.form is None:
            raise SkipAction
        self._answer(asking.moved(self._at.form, 1))

    def action_enter(self) -> None:
        if self._at.form is not None:
            self.action_form_done()
        elif self._row is not None:
            self._change(replace(self._at, opened=True, down=0))

    def action_close(self) -> None:
        """One thing after another: the questions, the batch, the filter."""
        at = self._at
        if at.form is not None:
            self._change(replace(at, form=None))
        elif at.opened:
            self._change(replace(at, opened=False))
        elif at.words:
            self.action_clear()
        else:
            raise SkipAction

    # finding and sorting

    def action_find(self) -> None:
        self._change(replace(self._at, opened=False, form=None))
        self.query_one(FindField).open()

    @on(FindField.Sought)
    def _sought(self, event: FindField.Sought) -> None:
        self._change(replace(self._at, words=event.words, top=0))

    @on(FindField.Closed)
    def _found(self) -> None:
        self.focus()
        self._draw()

    def action_clear(self) -> None:
        self.query_one(FindField).clear_words()

    def on_key(self, event: Key) -> None:
        character, form = event.character or "", self._at.form
        if form is not None and character and asking.takes(form, character):
            self._answer(asking.typed(form, character))
        elif form is None and character in PRIORITIES and character:
            self.action_priority(int(character))
        else:
            return
        event.stop()
        event.prevent_default()

    def action_order(self) -> None:
        if self._at.opened:
            return
        after = ORDERS[(ORDERS.index(self._at.order) + 1) % len(ORDERS)]
        self.action_sort(after)

    def action_sort(self, order: Order) -> None:
        self._change(replace(self._at, order=order))

    # changing the batch that is open

    def _ask(self, form: Asking | None, asks_for: str, none: str) -> None:
        if form is None:
            self.notify(none, markup=False)
        else:
            self._change(replace(self._at, opened=True, form=form, asks=asks_for))

    def action_note(self) -> None:
        row, opened = self._row, self.desk.opened
        if row is not None and opened is not None and self._at.form is None:
            none = f"{row.name} is {row.state}: nothing more happens to it."
            self._ask(batch_forms.note_form(opened, row), "note", none)

    def action_pin(self) -> None:
        row, opened = self._row, self.desk.opened
        if row is not None and opened is not None and self._at.form is None:
            none = f"{row.name} is {row.state}: no stage is left to pin."
            self._ask(batch_forms.pin_form(opened, row), "pin", none)

    def action_wanted_by(self) -> None:
        row, opened = self._row, self.desk.opened
        if row is not None and opened is not None and self._at.form is None:
            self._ask(batch_forms.wanted_form(opened, row), "wanted", "")

    def action_priority(self, priority: int) -> None:
        if self._at.opened and self._row is not None:
            self.post_message(asks.SetBatch(self._row.name, "priority", str(priority)))

    def action_undo_note(self) -> None:
        """What was done last of the batch that is open, else of all: note or change."""
        row = self._row if self._at.opened else None
        self.post_message(asks.Undo("" if row is None else row.name, changes=True))

    take_back = action_undo_note

    # the questions

    def _answer(self, form: Asking) -> None:
        self._change(replace(self._at, form=form))

    def _turned(self, form: Asking) -> None:
        """Another stage brings its own pin."""
        row, opened, before = self._row, self.desk.opened, self._at.form
        stage = form.text("stage")
        other = before is not None and stage != before.text("stage")
        if row is not None and opened is not None and other:
            form = batch_forms.pin_form(opened, row, stage) or form
        self._answer(form)

    def action_form_turn(self, question: int, by: int) -> None:
        if self._at.form is not None:
            self._turned(asking.turned(self._at.form, by, question))

    def action_form_at(self, question: int) -> None:
        if self._at.form is not None:
            self._answer(asking.at_question(self._at.form, question))

    def action_rub(self) -> None:
        if self._at.form is not None:
            self._answer(asking.rubbed(self._at.form))
        else:
            self.action_close()

    def action_form_drop(self) -> None:
        self._change(replace(self._at, form=None))

    def action_form_done(self) -> None:
        form, row = self._at.form, self._row
        if form is None or row is None or form.refused:
            return
        wanting = {"pin": self._pinned, "note": self._noted, "wanted": self._wanted}
        lacks = wanting[self._at.asks](form, row)
        if lacks:
            self._answer(replace(form, hint=lacks))
        else:
            self._change(replace(self._at, form=None))

    def _pinned(self, form: Asking, row: BatchRow) -> str:
        pin, opened = batch_forms.pin_of(form, row), self.desk.opened
        stage = batch_forms.stage_named(form, row)
        if pin is not None:
            self.post_message(asks.SetPin(pin))
        elif opened is not None and stage in pins_of(opened, row):
            self.post_message(asks.DropPin(row.name, stage))
        else:
            return "That pins nothing: choose a space or a day."
        return ""

    def _noted(self, form: Asking, row: BatchRow) -> str:
        lacks = batch_forms.lacking(form)
        if not lacks:
            event, count = batch_forms.told(form)
            day = form.day("day")
            self.post_message(
                asks.NoteEvent(
                    event, (row.name, *count), space=form.text("space"),
                    day=None if day == form.today else day,
                )
            )  # fmt: skip
        return lacks

    def _wanted(self, form: Asking, row: BatchRow) -> str:
        self.post_message(asks.SetBatch(row.name, "wanted_by", form.text("day")))
        return ""

    # mouse and touch

    @on(Drawn.Scrolled)
    def _scrolled(self, message: Drawn.Scrolled) -> None:
        if self._at.form is None:
            self.action_row(message.by)

    @on(Drawn.Pressed)
    async def _pressed(self, message: Drawn.Pressed) -> None:
        view = self._view
        if view is None:
            return
        for spot in view.spots:
            if spot.holds(message.x, message.y):
                await self.run_action(spot.action)
                return
        name = view.names[message.y] if message.y < len(view.names) else ""
        if name and not self._at.opened:
            self._change(replace(self._at, batch=name, opened=True, down=0))
