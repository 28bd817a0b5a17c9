"""Readings are entered here, with cold hands: a letter, the number, enter."""

import time
from collections.abc import Callable
from dataclasses import asdict, replace
from typing import ClassVar

from textual import on
from textual.actions import SkipAction
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Click, Key, Resize
from textual.widgets import Static

from propsched.domain.season import Probe
from propsched.tui import asks
from propsched.tui.desk import Desk
from propsched.tui.pages.ask_field import AskField
from propsched.tui.pages.number_pad import NumberPad
from propsched.tui.pages.page import Page
from propsched.tui.pages.picker import Picker
from propsched.tui.touch import Thumbs
from propsched.tui.views import sitting as taking
from propsched.tui.views.reading import NARROW, end_of, reading_view
from propsched.tui.views.sitting import Expected, Sitting
from propsched.tui.views.spaces_read import (
    SpaceRead,
    in_order,
    spaces_read,
    usual_probe,
)

WIDE = 110
"""Columns from which list and number stand side by side."""
LINES = ("where", "typed", "beside", "series", "finding", "refused", "hint", "earlier")
TEXTS = ("empty", "heading", *LINES)
"""Of the view."""
ASKED = (("depth", "ask_depth"), ("note", "ask_note"), ("probe", "other_probe"))
NUMBER = frozenset("0123456789.,-−")


class ReadingPage(Page, can_focus=True):
    """A list of spaces, the number being typed, and what is made of it."""

    TITLE: ClassVar[str] = "Reading"
    KEY: ClassVar[str] = "r"
    HELP: ClassVar[str] = (
        "Note what the probe shows. The letter before a space picks it (the longest "
        "unread is picked already); type the number and press enter: it is stored, "
        "and the next space is up. While the probe still creeps, type what it shows "
        "and press space, again and again: the page says where it will settle, and "
        "enter stores that. Number and + takes several for a mean."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "store", "Store"),
        Binding("space", "add(True)", "Still creeps"),
        Binding("plus", "add(False)", "One for a mean"),
        Binding("up", "move(-1)", "Space above", show=False),
        Binding("down", "move(1)", "Space below", show=False),
        Binding("backspace", "rub", "Take the last sign or value out", show=False),
        Binding("escape", "drop", "Drop what is typed", show=False),
        Binding("u", "app.undo", "Take back", show=True),
        Binding("d", "ask_depth", "Depth", show=False),
        Binding("n", "ask_note", "Note", show=False),
        Binding("o", "other_probe", "Other probe", show=False),
        Binding("number_sign", "pad", "Number pad", key_display="#", show=False),
    ]
    DEFAULT_CSS = """
    ReadingPage Static { height: auto; width: 100%; }
    ReadingPage #heading { text-style: bold; height: 1; }
    ReadingPage #taking { height: auto; } ReadingPage #earlier { margin-top: 1; }
    ReadingPage #entry { height: auto; padding: 0 1; background: $boost; }
    ReadingPage #typed { text-style: bold; color: $text-accent; }
    ReadingPage #refused { color: $text-error; text-style: bold; }
    ReadingPage #finding { color: $text-success; text-style: bold; }
    ReadingPage NumberPad { display: none; }
    ReadingPage.-pad NumberPad { display: block; }
    ReadingPage #left { height: 1fr; min-height: 5; }
    ReadingPage #body { height: 1fr; layout: vertical; }
    ReadingPage.-wide #body { layout: horizontal; }
    ReadingPage.-wide #left { width: 1fr; height: 100%; }
    ReadingPage.-wide #taking { width: 50; height: 100%; }
    """

    clock: Callable[[], float] = staticmethod(time.monotonic)
    """Seconds from some moment on."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._sitting = Sitting()
        self._before: Sitting | None = None
        """As it was before the reading that is being stored, or taken back."""
        self._spaces: tuple[SpaceRead, ...] = ()
        self._order: tuple[str, ...] = ()
        self._probes: tuple[Probe, ...] = ()
        self._pad: bool | None = None
        """None: where it is narrow."""
        self._made_of: tuple[object, object] = (None, None)
        self._texts: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        yield Static("", id="empty", markup=False)
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield Static("", id="heading", markup=False)
                yield Picker(id="spaces")
                yield Thumbs("#spaces", ASKED)
            with Vertical(id="taking"):
                with Vertical(id="entry"):
                    for name in LINES:
                        yield Static("", id=name, markup=False)
                    yield AskField(id="asked")
                yield NumberPad()

    def on_mount(self) -> None:
        self.set_interval(1.0, self._tick)
        self.watch(self.app, "desk", self._hear, init=False)

    # what is shown

    def show(self, desk: Desk) -> None:
        opened, temps = self._made_of
        if opened is not desk.opened or temps is not desk.temps:
            self._made_of = desk.opened, desk.temps
            self._spaces = in_order(spaces_read(desk), self._order)
            self._probes = () if desk.opened is None else desk.opened.season.probes
            self._take_probe(usual_probe(desk, self._sitting.probe))
            if self._sitting.space not in [one.space for one in self._spaces]:
                self._begin()
        self._draw()

    def arrive(self) -> None:
        super().arrive()
        if not self._sitting.open:
            self._spaces = spaces_read(self.desk)
            self._order = tuple(one.space for one in self._spaces)
            self._begin()
        self._draw()

    def _begin(self) -> None:
        """A new go round the garden, from the space that was longest unread."""
        self._order = tuple(one.space for one in self._spaces)
        first = self._order[0] if self._order else ""
        self._sitting = replace(taking.emptied(self._sitting), space=first, noted=())

    def _take_probe(self, name: str) -> None:
        offsets = {probe.id: probe.offset_c for probe in self._probes}
        self._sitting = replace(
            self._sitting, probe=name, offset_k=offsets.get(name, 0.0)
        )

    def _draw(self) -> None:
        wide = self.size.width >= WIDE
        room = self.size.width - 50 if wide else self.size.width
        view = reading_view(
            self.desk,
            self._spaces,
            self._sitting,
            now_s=self.clock(),
            width=room - 1,
            roomy=wide,
        )
        self.set_class(wide, "-wide")
        narrow = 0 < self.size.width < NARROW
        self.set_class(self._pad if self._pad is not None else narrow, "-pad")
        self.query_one("#body").display = not view.empty
        self.query_one("#spaces", Picker).show(view.rows, view.cursor)
        for name in TEXTS:
            text = str(getattr(view, name))
            if self._texts.get(name) != text:  # each costs a new layout
                self._texts[name] = text
                line = self.query_one(f"#{name}", Static)
                line.update(text)
                line.display = bool(text)

    def on_resize(self, event: Resize) -> None:
        self._draw()

    def _tick(self) -> None:
        if self.display and self._sitting.creeps:
            self._draw()

    def _hear(self, before: Desk, desk: Desk) -> None:
        """A reading that could not be stored is given back."""
        if self._before is None or desk.said is before.said:
            return
        if desk.tone == "error":
            if not self._sitting.open:
                self._sitting = self._before
            self._sitting = replace(self._sitting, refused=desk.said)
        self._before = None
        self._draw()

    # what keys and fingers do

    def on_key(self, event: Key) -> None:
        if self._field.what or event.character is None:
            return
        if event.character in NUMBER:
            self._typed(event.character)
        else:
            picked = [o.space for o in self._spaces if o.letter == event.character]
            if not picked:
                return
            self._pick(picked[0])
        event.stop()
        event.prevent_default()

    @on(NumberPad.Pressed)
    def _thumbed(self, event: NumberPad.Pressed) -> None:
        match event.key:
            case key if self._field.what:
                self._field.thumbed(key)
            case "backspace":
                self.action_rub()
            case "space" | "plus":
                self.action_add(creeps=event.key == "space")
            case "enter":
                self.action_store()
            case "u":
                self.take_back()
            case key:
                self._typed(key)

    @on(Picker.Picked, "#spaces")
    def _tapped(self, event: Picker.Picked) -> None:
        self._pick(self._spaces[event.row].space)

    def on_click(self, event: Click) -> None:
        """The line with the probe on it turns to the next one."""
        if event.widget is not None and event.widget.id == "where":
            self.action_other_probe()

    def _typed(self, character: str) -> None:
        self._sitting = taking.typing(self._sitting, character)
        self._draw()

    def _pick(self, space: str) -> None:
        self._sitting = taking.going_to(self._sitting, space)
        if self._sitting.space == space:
            self.post_message(asks.Choose(space=space))
        self._draw()

    @property
    def _expected(self) -> Expected | None:
        expected = {one.space: one.expected for one in self._spaces}
        return expected.get(self._sitting.space)

    def action_move(self, by: int) -> None:
        if self._field.what or not self._spaces:
            raise SkipAction
        names = [one.space for one in self._spaces]
        at = names.index(self._sitting.space) if self._sitting.space in names else -1
        self._pick(names[min(max(at + by, 0), len(names) - 1)])

    def action_add(self, creeps: bool) -> None:
        self._sitting = taking.added(
            self._sitting, self.clock(), self._expected, creeps=creeps
        )
        self._ask_where_it_settles()
        self._draw()

    def _ask_where_it_settles(self) -> None:
        one = self._sitting
        if one.creeps and len(one.temps_c) >= taking.LEAST_SETTLING:
            self.post_message(asks.Settle(one.temps_c, one.minutes, one.probe))

    def action_store(self) -> None:
        before = self._sitting
        end_c = end_of(self.desk.settles, before)
        self._sitting, stored = taking.ended(
            before, self.clock(), self._expected, end_c
        )
        if stored is None:
            self._ask_where_it_settles()
        else:
            self._before = before
            self.post_message(asks.NoteReading(**asdict(stored)))
            self._go_on()
        self._draw()

    def _go_on(self) -> None:
        """To the next space that was not read yet; where there is none, it stays."""
        names = [one.space for one in self._spaces]
        at = names.index(self._sitting.space)
        noted = dict(self._sitting.noted)
        for name in (*names[at + 1 :], *names[:at]):
            if name not in noted:
                self._sitting = replace(self._sitting, space=name)
                return

    def action_rub(self) -> None:
        self._sitting = taking.rubbed(self._sitting)
        self._ask_where_it_settles()
        self._draw()

    def action_drop(self) -> None:
        if self._field.what:
            self._close()
        elif self._sitting.open or self._sitting.refused:
            self._sitting = taking.emptied(self._sitting)
        else:
            raise SkipAction
        self._draw()

    def take_back(self) -> None:
        self._before = self._sitting
        self._sitting = taking.taken_back(self._sitting)
        self.post_message(asks.Undo(what="reading"))
        self._draw()

    def action_other_probe(self) -> None:
        names = [*(probe.id for probe in self._probes), ""]
        if len(names) == 1:
            none = "season.toml has no [[probe]]: write one, with id and offset_c"
            self._sitting = replace(self._sitting, refused=none)
        else:
            at = names.index(self._sitting.probe) if self._sitting.probe in names else 0
            self._take_probe(names[(at + 1) % len(names)])
        self._draw()

    def action_pad(self) -> None:
        self._pad = not self.has_class("-pad")
        self._draw()

    def action_ask_depth(self) -> None:
        self._field.ask_depth(self._sitting.depth_cm)

    def action_ask_note(self) -> None:
        self._field.ask_note(self._sitting.note)

    @property
    def _field(self) -> AskField:
        return self.query_one(AskField)

    @on(AskField.Given)
    def _given(self, event: AskField.Given) -> None:
        if event.what == "note":
            self._sitting = replace(self._sitting, note=event.note)
        else:
            self._sitting = replace(self._sitting, depth_cm=event.depth_cm)
        self._close()

    def _close(self) -> None:
        self._field.close()
        self.focus()
        self._draw()
