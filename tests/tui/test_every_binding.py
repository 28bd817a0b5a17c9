"""Every key that is bound is pressed: what it changes, by a table without gaps."""

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import pytest
from textual.binding import Binding
from textual.dom import DOMNode
from textual.pilot import Pilot
from textual.widgets import Input
from tui_desks import FOLDER, ScriptedBackend, make_app, make_desk, settled
from tui_season import TODAY

import propsched.tui
from propsched.service.replan import Replanned
from propsched.tui import asks
from propsched.tui.app import PAGES, PropschedApp
from propsched.tui.commands import COMMANDS
from propsched.tui.desk import Left


@dataclass(frozen=True)
class Seen:
    """What can be told of the app at a moment."""

    at: Any
    """What the page has open."""
    page: str
    over: str
    """The screen laid over it."""
    asked: tuple[Any, ...]
    scroll: float
    typing: str
    """The field that is typed into; blank: none."""
    theme: str
    tried: bool
    pad: bool
    ended: bool


Effect = Callable[[Seen, Seen], object]


@dataclass(frozen=True)
class Case:
    effect: Effect
    """Of what was seen before the key and after it."""
    first: tuple[str, ...] = ()
    """Keys that lead up to it."""
    like: tuple[str, ...] = ()
    """Keys that do the same in its place."""


def on(page: str) -> Effect:
    return lambda b, a: b.page != page == a.page


def moved(name: str) -> Effect:
    return lambda b, a: getattr(a.at, name) != getattr(b.at, name)


def became(name: str, value: object) -> Effect:
    return lambda b, a: getattr(b.at, name) != value == getattr(a.at, name)


def by(name: str, days: int) -> Effect:
    """So many days (or degrees, or weeks) later."""

    def effect(b: Seen, a: Seen) -> bool:
        return _number(getattr(a.at, name)) - _number(getattr(b.at, name)) == days

    return effect


def _number(one: Any) -> int:
    return one if isinstance(one, int) else int(one.toordinal())


def asked(*kinds: type) -> Effect:
    return lambda b, a: [type(one) for one in a.asked[len(b.asked) :]] == list(kinds)


def down(b: Seen, a: Seen) -> bool:
    return a.scroll > b.scroll


def up(b: Seen, a: Seen) -> bool:
    return a.scroll < b.scroll


def shut(b: Seen, a: Seen) -> bool:
    return bool(b.over) and not a.over and not a.ended and a.page == b.page


def asking(b: Seen, a: Seen) -> Any:
    """The questions of jobs and batches."""
    return (getattr(one.at.form, "asking", one.at.form) for one in (b, a))


def on_question(place: int) -> Effect:
    return lambda b, a: [one.at for one in asking(b, a)][1] == place


def answered(b: Seen, a: Seen) -> bool:
    before, after = asking(b, a)
    return bool(before.questions != after.questions)


def rubbed(b: Seen, a: Seen) -> bool:
    before, after = asking(b, a)
    return bool(before.typed[:-1] == after.typed != before.typed)


def opens(what: str) -> Effect:
    return lambda b, a: b.at.form is None and a.at.form and a.at.asks == what


def left_form(b: Seen, a: Seen) -> bool:
    return b.at.form is not None and a.at.form is None


def types_into(field: str) -> Effect:
    return lambda b, a: not b.typing and a.typing == field


D8 = ("down",) * 8
D10 = ("down",) * 10
CASES: dict[str, dict[str, Case]] = {
    "PropschedApp": {
        "s": Case(on("season"), ("w",)),
        **{
            page.KEY: Case(on(name)) for name, page in PAGES.items() if name != "season"
        },
        "p": Case(lambda b, a: a.asked[0] == "plan"),
        "escape": Case(on("season"), ("w",)),
        "u": Case(lambda b, a: a.asked == (asks.Undo(changes=True),)),
        "ctrl+l": Case(lambda b, a: a.theme != b.theme),
        "question_mark": Case(lambda b, a: a.over == "HelpScreen"),
        "ctrl+p": Case(lambda b, a: a.over == "CommandPalette"),
        "q": Case(lambda b, a: not b.ended and a.ended),
    },
    "HelpScreen": {
        key: Case(shut, ("question_mark",))
        for key in ("escape", "q", "question_mark", "enter")
    },
    "SeasonPage": {
        "up": Case(moved("row"), ("down", "down"), like=("up",)),
        "down": Case(moved("row")),
        "pageup": Case(moved("row"), D8, like=("up",) * 8),
        "pagedown": Case(moved("row"), like=D8),
        "left": Case(lambda b, a: a.at.day < b.at.day),
        "right": Case(lambda b, a: a.at.day > b.at.day),
        "enter": Case(lambda b, a: not b.at.opened and a.at.opened == b.at.row.space),
        "backspace": Case(became("opened", ""), ("enter",)),
        "plus": Case(became("zoom", "days")),
        "equals_sign": Case(became("zoom", "days"), like=("plus",)),
        "minus": Case(became("zoom", "weeks"), ("plus",)),
        "home": Case(became("day", TODAY), ("right", "right")),
        "full_stop": Case(became("day", TODAY), ("right", "right")),
    },
    "WarmthPage": {
        "up": Case(moved("space"), ("down", "down")),
        "left_square_bracket": Case(moved("space"), ("down", "down"), like=("up",)),
        "down": Case(moved("space")),
        "right_square_bracket": Case(moved("space"), like=("down",)),
        "left": Case(by("day", -1)),
        "right": Case(by("day", 1)),
        "pageup": Case(by("day", -7)),
        "pagedown": Case(by("day", 7)),
        "plus": Case(became("span", "fortnight"), ("minus",)),
        "equals_sign": Case(became("span", "fortnight"), ("minus",)),
        "minus": Case(moved("span")),
        "n": Case(by("need", 1)),
        "home": Case(became("day", TODAY), ("right", "right")),
        "full_stop": Case(became("day", TODAY), ("right", "right")),
    },
    "BatchesPage": {
        "enter": Case(became("opened", True)),
        "o": Case(moved("order")),
        "n": Case(opens("note")),
        "i": Case(opens("pin")),
        "d": Case(opens("wanted")),
        "u": Case(asked(asks.Undo)),
        "up": Case(moved("batch"), ("down", "down")),
        "down": Case(moved("batch")),
        "pageup": Case(moved("batch"), D10, like=("up",) * 10),
        "pagedown": Case(moved("batch"), like=D10),
        "home": Case(moved("batch"), ("down", "down"), like=("up", "up")),
        "end": Case(moved("batch"), like=("down",) * 30),
        "left": Case(moved("batch"), ("down", "enter"), like=("escape", "up", "enter")),
        "right": Case(moved("batch"), ("enter",), like=("escape", "down", "enter")),
        "tab": Case(on_question(1), ("i",)),
        "backspace": Case(became("opened", False), ("enter",)),
        "escape": Case(became("opened", False), ("enter",)),
        "slash": Case(lambda b, a: not b.typing and a.typing),
    },
    "JobsPage": {
        "space": Case(asked(asks.Tick)),
        "enter": Case(asked(asks.Tick)),
        "d": Case(lambda b, a: b.at.form is None and a.at.form is not None),
        "u": Case(lambda b, a: b.at.ticked and not a.at.ticked, ("space",)),
        "plus": Case(lambda b, a: a.at.days > b.at.days),
        "equals_sign": Case(lambda b, a: a.at.days > b.at.days, like=("plus",)),
        "minus": Case(lambda b, a: a.at.days < b.at.days, ("plus",)),
        "up": Case(moved("cursor"), ("down", "down"), like=("up",)),
        "down": Case(moved("cursor")),
        "pageup": Case(moved("cursor"), ("end",)),
        "pagedown": Case(moved("cursor")),
        "home": Case(moved("cursor"), ("down", "down"), like=("up", "up")),
        "end": Case(moved("cursor")),
        "left": Case(answered, ("d",)),
        "right": Case(answered, ("d", "left")),
        "backspace": Case(rubbed, ("d", "2", "0")),
        "tab": Case(on_question(1), ("d",)),
        "escape": Case(left_form, ("d",)),
    },
    "ReadingPage": {
        "enter": Case(asked(asks.NoteReading), ("8",)),
        "space": Case(lambda b, a: a.at.creeps and a.at.temps_c == (8.0,), ("8",)),
        "plus": Case(lambda b, a: not a.at.creeps and a.at.temps_c == (8.0,), ("8",)),
        "up": Case(moved("space"), ("down", "down")),
        "down": Case(moved("space")),
        "backspace": Case(became("typed", "8"), ("8", "1")),
        "escape": Case(became("typed", ""), ("8", "1")),
        "u": Case(lambda b, a: a.asked == (asks.Undo(what="reading"),)),
        "o": Case(lambda b, a: (a.at.probe, a.at.refused) != (b.at.probe, "")),
        "number_sign": Case(lambda b, a: a.pad != b.pad),
        "d": Case(lambda b, a: not b.typing and a.typing),
        "n": Case(lambda b, a: not b.typing and a.typing),
    },
    "ComparePage": {
        "enter": Case(asked(asks.CompareSpaces)),
        "up": Case(moved("first"), ("down",)),
        "down": Case(moved("first")),
        "left": Case(became("side", "second")),
        "right": Case(became("side", "second")),
        "tab": Case(became("side", "second")),
        "plus": Case(down, ("enter",)),
        "pagedown": Case(down, ("enter",)),
        "minus": Case(up, ("enter", "plus")),
        "pageup": Case(up, ("enter", "plus")),
    },
    "ColdPage": {
        "enter": Case(lambda b, a: isinstance(a.asked[0], asks.TryOut)),
        "a": Case(lambda b, a: isinstance(a.asked[-1], Replanned), ("enter",)),
        "l": Case(lambda b, a: b.tried and not a.tried, ("enter",)),
        "escape": Case(lambda b, a: b.tried and not a.tried, ("enter",)),
        "up": Case(by("at", -1), ("down",)),
        "down": Case(by("at", 1)),
        "left": Case(by("drop_c", -1)),
        "right": Case(by("drop_c", 1)),
        "pageup": Case(by("drop_c", -7)),
        "pagedown": Case(by("drop_c", 7)),
        "backspace": Case(became("typed", "1"), ("1", "2")),
        "plus": Case(down, ("enter",)),
        "minus": Case(up, ("enter", "plus")),
    },
    "YearPage": {
        "down": Case(down),
        "plus": Case(down, like=("down",)),
        "up": Case(up, ("down", "down")),
        "minus": Case(up, ("down", "down"), like=("up",)),
        "pagedown": Case(down),
        "space": Case(down, like=("pagedown",)),
        "pageup": Case(up, ("end",)),
        "home": Case(lambda b, a: b.scroll > 0 == a.scroll, ("end",)),
        "end": Case(down, ("pagedown",)),
    },
    "LeaveScreen": {
        "k": Case(lambda b, a: a.ended and "stopped" in a.asked, ("p", "q")),
        "d": Case(lambda b, a: a.ended, ("p", "q")),
        "escape": Case(shut, ("p", "q")),
    },
}
"""By class and key."""
STATE = {
    "SeasonPage": "_at", "WarmthPage": "_sight", "BatchesPage": "_at",
    "JobsPage": "_at", "ReadingPage": "_sitting", "ComparePage": "_choice",
    "ColdPage": "_now",
}  # fmt: skip
"""Where a page keeps what it has open; a value that is never changed in place."""
GROUPS = (
    ("ColdPage", "YearPage"),
    (
        "HelpScreen", "SeasonPage", "WarmthPage", "BatchesPage", "JobsPage",
        "ReadingPage", "ComparePage", "PropschedApp",
    ),
)  # fmt: skip
"""On one app, as opening one takes as long as twenty keys; the last is ended by q."""
SIZE = {"YearPage": (60, 14)}
"""So small that there is something to scroll."""
ANSWERED = ("enter", "space", "p", "a", "u", "escape")
"""Keys on which other threads have work."""
BODY = {"ComparePage": "#answer", "ColdPage": "#cold-body", "YearPage": "#year-body"}


def kinds() -> Iterator[type[DOMNode]]:
    """All that binds keys of its own."""
    for module in pkgutil.walk_packages(propsched.tui.__path__, "propsched.tui."):
        for one in vars(importlib.import_module(module.name)).values():
            ours = isinstance(one, type) and one.__module__ == module.name
            if ours and issubclass(one, DOMNode) and vars(one).get("BINDINGS"):
                yield one


KINDS = {kind.__name__: kind for kind in kinds()}


def test_every_key_has_its_case() -> None:
    assert set(CASES) - {"LeaveScreen"} == {name for group in GROUPS for name in group}
    bound = {
        name: {one.key for one in Binding.make_bindings(vars(kind)["BINDINGS"])}
        for name, kind in KINDS.items()
    }
    bound["PropschedApp"] |= {one.key for one in COMMANDS if one.key}
    assert bound == {name: set(cases) for name, cases in CASES.items()}


def seen(app: PropschedApp, name: str) -> Seen:
    backend, page = app.backend, app.open_page
    assert isinstance(backend, ScriptedBackend)
    return Seen(
        at=getattr(page, STATE[name]) if name in STATE else None,
        page=app.page,
        over="" if len(app.screen_stack) == 1 else type(app.screen).__name__,
        asked=tuple(backend.heard),
        scroll=page.query_one(BODY[name]).scroll_y if name in BODY else 0,
        typing=str(app.focused) if isinstance(app.focused, Input) else "",
        theme=app.theme,
        tried=app.desk.tried is not None,
        pad=page.has_class("-pad"),
        ended=app._exit,
    )


async def begun(pilot: Pilot[None], name: str, start: Any) -> None:
    """The page as it was when it was opened."""
    app: Any = pilot.app
    while len(app.screen_stack) > 1 or isinstance(app.focused, Input):
        await pressed(pilot, "escape")
    page = "season" if name not in STATE | BODY else _page(name)
    if app.page != page:
        app.page = page
    if app.desk.tried or app.desk.accepted:
        app.happen(Left())
    await pilot.pause(0)
    app._before = []
    if name in STATE and start is not None:
        setattr(app.open_page, STATE[name], start)
        app.open_page._draw()
    if name in BODY:
        app.open_page.query_one(BODY[name]).scroll_to(y=0, animate=False)
    await pilot.pause(0)
    app.backend.heard.clear()


def _page(name: str) -> str:
    return next(one for one, kind in PAGES.items() if kind.__name__ == name)


async def pressed(pilot: Pilot[None], *keys: str) -> None:
    """As ``pilot.press``, but that it sleeps only where an answer is waited for."""
    for key, then in pairwise((*keys, "")):
        pilot.app.simulate_key(key)
        if key in ANSWERED:
            await pilot.pause()
            await settled(pilot)
        elif key != then:
            await pilot.pause(0)
            await pilot.pause(0)


@pytest.mark.slow
@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group[-1])
async def test_every_key_does_what_it_is_for(group: tuple[str, ...]) -> None:
    app = make_app()
    failed: list[object] = []
    async with app.run_test(size=SIZE.get(group[-1], (80, 24))) as pilot:
        await settled(pilot)
        for name in group:
            failed += await _gone_through(pilot, name)
    assert not failed, "\n".join(map(repr, failed))


async def _gone_through(pilot: Pilot[None], name: str) -> list[object]:
    """What does not do what it is for."""
    app: Any = pilot.app
    failed: list[object] = []
    await begun(pilot, name, None)
    start = seen(app, name).at
    for key, case in CASES[name].items():
        await begun(pilot, name, start)
        await pressed(pilot, *case.first)
        before = seen(app, name)
        await pressed(pilot, key)
        after = seen(app, name)
        if not case.effect(before, after):
            failed.append((name, key, before, after))
        if case.like:
            await begun(pilot, name, start)
            await pressed(pilot, *case.first, *case.like)
            same = seen(app, name)
            if (same.at, same.scroll) != (after.at, after.scroll):
                failed.append((name, key, "like", after, same))
    return failed


@pytest.mark.parametrize("key", sorted(CASES["LeaveScreen"]))
async def test_every_key_of_the_question_on_leaving(key: str) -> None:
    case = CASES["LeaveScreen"][key]
    app = PropschedApp(FOLDER, backend=ScriptedBackend(make_desk(), hold=True))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*case.first)
        await pilot.pause()
        before = seen(app, "LeaveScreen")
        assert before.over == "LeaveScreen"
        await pilot.press(key)
        await pilot.pause()
        if key == "escape":
            after = seen(app, "LeaveScreen")
            app.backend.go.set()  # type: ignore[attr-defined]
            await settled(pilot)
        else:
            await settled(pilot)
            after = seen(app, "LeaveScreen")
        assert case.effect(before, after), (before, after)


async def test_keys_in_a_burst_are_done_in_their_order() -> None:
    """Typed ahead, while the app is at something else: each waits for none."""
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pressed(pilot, "r")
        for key in ("8", ".", "5", "enter", "7", "1", "backspace", "enter", "u"):
            app.simulate_key(key)
        await pilot.pause()
        await settled(pilot)
        first, second, third = seen(app, "ReadingPage").asked
        assert (first.temps_c, second.temps_c) == ((8.5,), (7.0,))
        assert third == asks.Undo(what="reading")
        await begun(pilot, "JobsPage", None)
        for key in ("d", "left", "tab", "1", "2", "enter"):
            app.simulate_key(key)
        await pilot.pause()
        await settled(pilot)
        (tick,) = seen(app, "JobsPage").asked
        assert (TODAY - tick.day).days == 1
        assert tick.lost == 12
