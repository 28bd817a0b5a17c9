"""The page for readings under keys, mouse and fingers."""

import re
from pathlib import Path
from typing import cast

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static
from tui_desks import (
    ScriptedBackend,
    garden_nights,
    garden_temps,
    make_app,
    make_desk,
    settled,
)
from tui_season import TODAY, write_garden

from propsched.errors import PropschedError
from propsched.service.answers import TempsAnswer
from propsched.service.tonight import TonightAnswer
from propsched.tui import asks
from propsched.tui.app import PropschedApp
from propsched.tui.backend import Backend
from propsched.tui.pages.number_pad import NumberPad, PadButton
from propsched.tui.pages.picker import Picker
from propsched.tui.pages.reading import ReadingPage

PHONE = (44, 30)


def _heard(app: PropschedApp) -> list[object]:
    return cast("ScriptedBackend", app.backend).heard


def _said(app: PropschedApp, name: str) -> str:
    return str(app.query_one(f"#{name}", Static).render())


async def _at_reading(pilot: Pilot[None]) -> ReadingPage:
    await settled(pilot)
    await pilot.press("r")
    await pilot.pause()
    return pilot.app.query_one(ReadingPage)


async def test_a_letter_the_number_and_enter_store_a_reading() -> None:
    """Three key presses and the number."""
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("h", *"16,5", "enter")
        await settled(pilot)
        assert _heard(app) == [asks.NoteReading("hotbed", (16.5,), probe="stem")]
        assert "✓ noted now" in _said(app, "spaces Static")
        assert app.desk.said == "noted"


async def test_the_longest_unread_is_up_and_then_the_next() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press(*"9.1", "enter", *"8.2", "enter")
        await settled(pilot)
        assert _heard(app) == [
            asks.NoteReading("frame", (9.1,), probe="stem"),
            asks.NoteReading("border", (8.2,), probe="stem"),
        ]
        assert _said(app, "where").startswith("pond")


async def test_arrows_pick_and_the_other_pages_follow() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("down", "down", "up")
        await pilot.pause()
        assert _said(app, "where").startswith("border")
        assert app.desk.space == "border"
        await pilot.press("up", "up", "up")
        assert _said(app, "where").startswith("frame")


async def test_a_slip_is_refused_and_an_odd_one_asked_for_once_more() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("9", "7", "enter")
        assert "9.7 is likelier" in _said(app, "refused")
        await pilot.press("backspace", "backspace", "1", "8", "enter")
        assert "once more" in _said(app, "refused")
        assert _heard(app) == []
        await pilot.press("enter")
        await settled(pilot)
        assert _heard(app) == [asks.NoteReading("frame", (18.0,), probe="stem")]


async def test_a_creeping_probe_by_space_and_the_clock() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_reading(pilot)
        now = [1000.0]
        page.clock = lambda: now[0]  # type: ignore[method-assign, assignment]
        for number, at in (("8.1", 1000.0), ("9.6", 1045.0), ("10.4", 1090.0)):
            now[0] = at
            await pilot.press(*number, "space")
        await settled(pilot)
        series = (8.1, 9.6, 10.4), (0.0, 0.75, 1.5)
        assert _heard(app) == [asks.Settle(*series, "stem")]
        assert _said(app, "finding") == "settles at 11.8 ± 0.3 °C; enter stores it"
        now[0] = 1125.0
        page._tick()
        await pilot.pause()
        assert _said(app, "series").endswith("now 2:05")
        await pilot.press("enter")
        await settled(pilot)
        assert _heard(app)[1:] == [
            asks.NoteReading("frame", *series, settling=True, probe="stem")
        ]


async def test_several_are_averaged() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_reading(pilot)
        now = [0.0]
        page.clock = lambda: now[0]  # type: ignore[method-assign, assignment]
        await pilot.press(*"9.5", "plus")
        now[0] = 5.0
        await pilot.press(*"9.9", "enter")
        await settled(pilot)
        assert _heard(app) == [asks.NoteReading("frame", (9.5, 9.9), probe="stem")]


async def test_depth_note_and_probe_go_along() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("d", *"12,5", "enter", "n", *"snow on top", "enter", "o")
        await pilot.press("9", "enter")
        await settled(pilot)
        noted = asks.NoteReading(
            "frame", (9.0,), probe="", depth_cm=12.5, note="snow on top"
        )
        assert _heard(app) == [noted]
        await pilot.press("d", "escape", "8", "enter")
        await settled(pilot)
        assert _heard(app)[1:] == [asks.NoteReading("border", (8.0,), probe="")]


async def test_a_depth_that_cannot_be_is_not_taken() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("d", *"999", "enter")
        field = app.query_one("#asked", Input)
        assert field.has_class("-open")
        assert "0 to 300" in str(field.border_title)
        await pilot.press("escape")
        assert not field.has_class("-open")


async def test_u_takes_the_reading_back_and_escape_drops_what_is_typed() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        await pilot.press("9", "enter", "u")
        await settled(pilot)
        assert _heard(app)[1:] == [asks.Undo("reading")]
        assert "✓" not in _said(app, "spaces Static")
        await pilot.press("9", ".", "escape")
        assert _said(app, "typed").startswith("▏")
        assert app.page == "reading"
        await pilot.press("escape")
        await pilot.pause()
        assert app.page == "season"


async def test_what_could_not_be_stored_is_given_back() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_reading(pilot)
        backend = cast("ScriptedBackend", app.backend)
        backend.fails = PropschedError("the disk is full")
        await pilot.press(*"9.3", "enter")
        await settled(pilot)
        assert _said(app, "where").startswith("frame")
        assert _said(app, "typed").startswith("9.3")
        assert "the disk is full" in _said(app, "refused")


async def test_by_touch_alone_on_a_phone() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        await settled(pilot)
        await pilot.click("#tab-reading")
        await pilot.pause()
        pad = app.query_one(NumberPad)
        assert pad.display
        buttons = {b.key: b for b in pad.query(PadButton)}
        assert all(b.outer_size.height >= 3 for b in buttons.values())
        assert all(b.outer_size.width >= 7 for b in buttons.values())
        assert all(b.region.bottom <= PHONE[1] for b in buttons.values())
        await pilot.click("#spaces", offset=(8, 2))
        await pilot.pause()
        assert _said(app, "where").startswith("border")
        for key in ("-", "8", ".", "5", "backspace", "5", "-", "enter"):
            await pilot.click(buttons[key])
        await settled(pilot)
        await pilot.click(buttons["u"])
        await settled(pilot)
        await pilot.click("#where")
        await pilot.pause()
        assert "any probe" in _said(app, "where")
        noted = asks.NoteReading("border", (8.5,), probe="stem")
        assert _heard(app) == [noted, asks.Undo("reading")]


async def test_the_pad_comes_on_a_key_and_takes_sequences_too() -> None:
    app = make_app()
    async with app.run_test(size=(80, 30)) as pilot:
        page = await _at_reading(pilot)
        now = [0.0]
        page.clock = lambda: now[0]  # type: ignore[method-assign, assignment]
        assert not app.query_one(NumberPad).display
        await pilot.press("number_sign")
        await pilot.pause()
        buttons = {b.key: b for b in app.query(PadButton)}
        await pilot.click(buttons["9"])
        await pilot.click(buttons["space"])
        assert "2 more" in _said(app, "finding")
        await pilot.press("escape")
        await pilot.click(buttons["9"])
        await pilot.click(buttons["plus"])
        assert "one more for a mean" in _said(app, "finding")
        await pilot.press("number_sign")
        await pilot.pause()
        assert not app.query_one(NumberPad).display


@pytest.mark.parametrize(
    ("state", "size"),
    [("faulty", (80, 24)), ("empty", (120, 40)), ("unplanned", PHONE)],
)
async def test_every_state_can_be_looked_at(state: str, size: tuple[int, int]) -> None:
    app = make_app(make_desk(state))  # type: ignore[arg-type]
    async with app.run_test(size=size) as pilot:
        await _at_reading(pilot)
        page = app.query_one(ReadingPage)
        shown = page.query_one("#empty").display
        assert shown == (state == "faulty")
        assert page.query_one(Picker).display
        await pilot.press("9", "space", "plus", "enter", "down", "o", "backspace")


class Unsimulated(Backend):
    """The service itself, but for what would have to be simulated."""

    def temps(self) -> TempsAnswer:
        return garden_temps()

    def tonight(self) -> TonightAnswer:
        return garden_nights()


async def test_readings_reach_the_file_and_are_taken_back_there(tmp_path: Path) -> None:
    folder = write_garden(tmp_path)
    before = (folder / "readings.csv").read_text()
    app = PropschedApp(folder, backend=Unsimulated(folder, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_reading(pilot)
        now = [0.0]
        page.clock = lambda: now[0]  # type: ignore[method-assign, assignment]
        await pilot.press("f", *"9.1", "enter")
        await settled(pilot)
        # 12 °C with a time constant of one minute, from 20
        for number in ("20", "14.9", "13.1", "12.4"):
            await pilot.press(*number, "space")
            now[0] += 60
        await settled(pilot)
        assert "settles at 12.0" in _said(app, "finding")
        await pilot.press("enter")
        await settled(pilot)
        after = (folder / "readings.csv").read_text()
        assert after.startswith(before)
        first, second = after[len(before) :].splitlines()
        assert re.search(r",frame,[^,]*,9\.1,stem,", first)
        assert re.search(r",border,[^,]*,(12|11\.9\d?|12\.0\d?),stem,", second)
        assert "settling 20 14.9 13.1 12.4 at 0 1 2 3 min" in second
        await pilot.press("u")
        await settled(pilot)
        assert "undone" in (folder / "readings.csv").read_text().splitlines()[-1]
        assert _said(app, "spaces Static").count("✓") == 1
