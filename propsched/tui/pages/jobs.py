"""The page ``jobs``: what to do, ticked off as it is done."""

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
from propsched.tui.views import asking
from propsched.tui.views.asking import WEEK, Asking
from propsched.tui.views.jobs import JobsOpen, JobsView, jobs_view
from propsched.tui.views.jobs_book import (
    SPANS,
    JobsBook,
    Row,
    Ticked,
    key_of,
    last_tick,
)
from propsched.tui.views.pieces import Line
from propsched.tui.views.tick_form import asked


class JobsPage(DrawnPage):
    """Jobs by work day, what is overdue first, standing duties last."""

    TITLE: ClassVar[str] = "Jobs"
    KEY: ClassVar[str] = "j"
    HELP: ClassVar[str] = (
        "What to do, the next work day first, and what is overdue before it. Space "
        "or enter ticks a job off: done today, all went well. d asks on which day, "
        "how many and what was lost. What was ticked off stays until you leave the "
        "page, so that u can take it back. Standing duties are never done; enter on "
        "the readings opens their page."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space,enter", "tick", "Done", tooltip="Done today, all went well"),
        Binding("d", "ask", "Day, losses", tooltip="Done on another day, or losses"),
        Binding("u", "undo_tick", "Take back"),
        Binding(
            "plus,equals_sign",
            "look(1)",
            "Look further ahead",
            key_display="+",
            show=False,
        ),
        Binding("minus", "look(-1)", "Look nearer", key_display="-", show=False),
        Binding("up", "row(-1)", "Job above", show=False),
        Binding("down", "row(1)", "Job below", show=False),
        Binding("pageup", "row(-8)", "8 jobs up", show=False),
        Binding("pagedown", "row(8)", "8 jobs down", show=False),
        Binding("home", "row(-9999)", "First job", show=False),
        Binding("end", "row(9999)", "Last job", show=False),
        Binding("left", "turn(-1)", "In the questions: less", show=False),
        Binding("right", "turn(1)", "In the questions: more", show=False),
        Binding("backspace", "rub", "In the questions: last sign out", show=False),
        Binding("tab", "row(1)", "Next question", show=False),
        Binding("escape", "form_drop", "Leave the questions", show=False),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._at = JobsOpen()
        self._view: JobsView | None = None

    def compose(self) -> ComposeResult:
        yield Drawn()

    def show(self, desk: Desk) -> None:
        self._draw()

    def arrive(self) -> None:
        """Afresh: what was ticked off is gone, on top is what to do next."""
        super().arrive()
        self._at = JobsOpen(days=self._at.days)
        self._draw()

    def lines_for(self, width: int, height: int) -> Iterable[Line]:
        view = jobs_view(self.desk, self._at, width=width, height=height)
        self._view, self._at = view, view.at
        return view.drawn

    def _change(self, at: JobsOpen) -> None:
        self._at = at
        self._draw()

    @property
    def _book(self) -> JobsBook | None:
        return None if self._view is None else self._view.book

    @property
    def _row(self) -> Row | None:
        """The job at the cursor."""
        book = self._book
        place = -1 if book is None else book.at(self._at.cursor)
        return None if book is None or place < 0 else book.rows[place]

    # keys in the list

    def action_row(self, by: int) -> None:
        at, book = self._at, self._book
        if at.form is not None and abs(by) == 1:
            self._answer(asking.moved(at.form.asking, by))
        elif at.form is not None:
            self.action_turn(-WEEK if by < 0 else WEEK)
        elif book is not None and book.rows:
            rows, place = book.rows, book.at(at.cursor)
            if at.past and by < 0:
                self._change(replace(at, past=max(0, at.past + by)))
            elif by > 0 and place == len(rows) - 1:
                self._change(replace(at, past=at.past + min(by, 8)))
            else:
                row = rows[min(max(place + by, 0), len(rows) - 1)]
                self._choose(row)

    def _choose(self, row: Row) -> None:
        self._change(replace(self._at, cursor=row.key, past=0))
        if row.job.batch:
            space = row.job.space or row.job.from_space
            self.post_message(asks.Choose(row.job.batch, space or None))

    def action_look(self, by: int) -> None:
        if self._at.form is not None:
            self.action_turn(by)
            return
        at = SPANS.index(self._at.days) + by
        self.action_span(SPANS[min(max(at, 0), len(SPANS) - 1)])

    def action_span(self, days: int) -> None:
        self._change(replace(self._at, days=days, past=0))

    def action_tick(self) -> None:
        if self._at.form is not None:
            self.action_form_done()
            return
        row = self._row
        if row is None:
            return
        if row.job.kind == "take readings":
            self.post_message(asks.Go("reading"))
        elif row.ticks:
            self._tick(asks.Tick(row.job))

    def _tick(self, ask: asks.Tick) -> None:
        ticked = Ticked(ask.job, ask.day, ask.lost, before=self.desk.opened)
        others = tuple(
            one for one in self._at.ticked if key_of(one.job) != key_of(ask.job)
        )
        self.post_message(ask)
        self._change(replace(self._at, ticked=(*others, ticked), form=None))
        self._go_on()

    def _go_on(self) -> None:
        """To the next job that is not done yet."""
        book = self._book
        if book is None:
            return
        place = book.at(self._at.cursor)
        later = [row for row in book.rows[place + 1 :] if row.ticks]
        if later:
            self._change(replace(self._at, cursor=later[0].key))

    def action_undo_tick(self) -> None:
        """What was ticked off last; nothing was, then what was noted last."""
        found = None if self._book is None else last_tick(self._at.ticked, self._book)
        if found is None:
            self.post_message(asks.Undo())
            return
        what = found.job.batch or found.job.space
        for _ in range(2 if found.lost else 1):  # a row for each
            self.post_message(asks.Undo(what))
        left = tuple(one for one in self._at.ticked if one is not found)
        self._change(replace(self._at, ticked=left, cursor=key_of(found.job)))

    take_back = action_undo_tick

    # the questions

    def action_ask(self) -> None:
        row, opened = self._row, self.desk.opened
        if row is None or opened is None or not row.ticks or self._at.form is not None:
            return
        form = asked(row.job, opened.today, opened.season.start)
        self._change(replace(self._at, form=form))

    def _answer(self, form: Asking) -> None:
        if self._at.form is not None:
            self._change(replace(self._at, form=replace(self._at.form, asking=form)))

    def action_turn(self, by: int) -> None:
        if self._at.form is not None:
            self._answer(asking.turned(self._at.form.asking, by))

    def action_form_turn(self, field: int, by: int) -> None:
        if self._at.form is not None:
            self._answer(asking.turned(self._at.form.asking, by, field))

    def action_form_at(self, field: int) -> None:
        if self._at.form is not None:
            self._answer(asking.at_question(self._at.form.asking, field))

    def action_rub(self) -> None:
        if self._at.form is not None:
            self._answer(asking.rubbed(self._at.form.asking))

    def on_key(self, event: Key) -> None:
        form, sign = self._at.form, event.character
        if form is not None and sign and asking.takes(form.asking, sign):
            event.stop()
            event.prevent_default()
            self._answer(asking.typed(form.asking, sign))

    def action_form_drop(self) -> None:
        if self._at.form is None:
            raise SkipAction
        self._change(replace(self._at, form=None))

    def action_form_done(self) -> None:
        form = self._at.form
        if form is None or form.asking.refused:
            return
        self._tick(asks.Tick(form.job, day=form.day, lost=form.lost, count=form.count))

    # mouse and touch

    def action_tick_at(self, place: int) -> None:
        """A box or a button was pressed: done, or taken back."""
        book = self._book
        if book is None or self._at.form is not None or place >= len(book.rows):
            return
        row = book.rows[place]
        self._change(replace(self._at, cursor=row.key))
        if row.done is None:
            self.action_tick()
        else:
            last = next(o for o in self._at.ticked if key_of(o.job) == row.key)
            others = tuple(one for one in self._at.ticked if one is not last)
            self._at = replace(self._at, ticked=(*others, last))
            self.action_undo_tick()

    @on(Drawn.Scrolled)
    def _scrolled(self, message: Drawn.Scrolled) -> None:
        self.action_row(message.by)

    @on(Drawn.Pressed)
    async def _pressed(self, message: Drawn.Pressed) -> None:
        view = self._view
        if view is None or view.book is None:
            return
        for spot in view.spots:
            if spot.holds(message.x, message.y):
                await self.run_action(spot.action)
                return
        key = view.keys[message.y] if message.y < len(view.keys) else None
        place = view.book.at(key)
        if place >= 0 and self._at.form is None:
            self._choose(view.book.rows[place])
