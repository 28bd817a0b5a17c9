"""The page for comparing under keys and mouse."""

from typing import cast

from textual.pilot import Pilot
from textual.widgets import Static
from tui_desks import ScriptedBackend, make_app, settled

from propsched.errors import PropschedError
from propsched.tui import asks
from propsched.tui.app import PropschedApp


def _heard(app: PropschedApp) -> list[object]:
    return cast("ScriptedBackend", app.backend).heard


def _said(app: PropschedApp, name: str) -> str:
    return str(app.query_one(f"#{name}", Static).render())


async def _at_compare(pilot: Pilot[None]) -> None:
    await settled(pilot)
    await pilot.press("c")
    await pilot.pause()


async def test_two_are_chosen_by_keys_and_compared() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_compare(pilot)
        await pilot.press("up", "right", "down", "enter")
        await settled(pilot)
        assert "▸ … warmer" in _said(app, "second-head")
        assert "hotbed: never read" in _said(app, "verdict")
        assert _heard(app) == [], "what was never read is not compared"
        await pilot.press("left", "down", "down", "down", "enter")
        await settled(pilot)
        assert _heard(app) == [asks.CompareSpaces("border", "pond")]


async def test_enter_compares_the_two_that_stand_there() -> None:
    app = make_app()
    async with app.run_test(size=(120, 40)) as pilot:
        await _at_compare(pilot)
        assert "Enter compares frame with border" in _said(app, "verdict")
        await pilot.press("enter")
        await settled(pilot)
        assert _heard(app) == [asks.CompareSpaces("frame", "border")]
        assert _said(app, "verdict").startswith("Frame is warmer than border by 2.3 °C")
        assert "●" in _said(app, "told")
        await pilot.press("plus", "minus", "pagedown", "pageup")


async def test_by_mouse_alone_and_on_to_reading() -> None:
    app = make_app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.click("#tab-compare")
        await pilot.pause()
        await pilot.click("#second", offset=(4, 7))
        await pilot.pause()
        assert "Enter compares frame with pond" in _said(app, "verdict")
        await pilot.click("#compare-them")
        await settled(pilot)
        assert _heard(app) == [asks.CompareSpaces("frame", "pond")]
        await pilot.click("#first", offset=(4, 1))
        await pilot.pause()
        assert "bench: never read" in _said(app, "verdict")
        await pilot.click("#read-now")
        await pilot.pause()
        assert app.page == "reading"


async def test_what_cannot_be_compared_is_no_longer_waited_for() -> None:
    app = make_app()
    async with app.run_test(size=(44, 30)) as pilot:
        await _at_compare(pilot)
        cast("ScriptedBackend", app.backend).fails = PropschedError("no weather.csv")
        await pilot.press("enter")
        await settled(pilot)
        assert _said(app, "verdict") == "no weather.csv"


async def test_faulty_files_are_told() -> None:
    app = make_app("faulty")
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_compare(pilot)
        assert "x shows them" in _said(app, "compare-empty")
        await pilot.press("enter", "up", "right", "plus")
        assert _heard(app) == []
