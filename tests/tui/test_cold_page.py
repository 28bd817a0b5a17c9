"""The page for what might come under keys and mouse."""

from datetime import timedelta
from typing import cast

from textual.pilot import Pilot
from textual.widgets import Static
from tui_desks import ScriptedBackend, garden_replanned, make_app, settled
from tui_season import TODAY

from propsched.errors import PropschedError
from propsched.service.change import Change, Lost
from propsched.thermal.snap import Spell
from propsched.tui import asks
from propsched.tui.app import PropschedApp

TOMORROW = TODAY + timedelta(days=1)


def _heard(app: PropschedApp) -> list[object]:
    return cast("ScriptedBackend", app.backend).heard


def _tried(app: PropschedApp) -> list[asks.TryOut]:
    return [ask for ask in _heard(app) if isinstance(ask, asks.TryOut)]


def _said(app: PropschedApp, name: str) -> str:
    return str(app.query_one(f"#cold-{name}", Static).render())


async def _at_cold(pilot: Pilot[None]) -> None:
    await settled(pilot)
    await pilot.press("t")
    await pilot.pause()


async def test_enter_tries_the_usual_cold_and_a_accepts_it() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        assert "At risk" in _said(app, "text")
        await pilot.press("enter")
        await settled(pilot)
        (ask,) = _tried(app)
        assert ask.change == Change(cold=(Spell(first=TOMORROW, days=3, drop_k=8.0),))
        assert ask.what == "8 °C colder for 3 days from 7 Mar"
        assert "What if: 8 °C colder" in _said(app, "title")
        assert "6 of 19 placements" in _said(app, "text")
        await pilot.press("down", "plus", "minus", "pagedown", "up")
        await pilot.press("a")
        await settled(pilot)
        assert garden_replanned() in _heard(app)
        assert _said(app, "title") == "Accepted"
        assert "weather.csv: the forecast of the cold days" in _said(app, "text")
        await pilot.press("l")
        await pilot.pause()
        assert app.query_one("#cold-try").display


async def test_keys_choose_and_type_what_is_supposed() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        await pilot.press(*"11", "backspace", "2", "down", "right", "pagedown", "left")
        await pilot.press("down", "right", "right", "left", "enter")
        await settled(pilot)
        spell = Spell(first=TOMORROW + timedelta(days=7), days=4, drop_k=12.0)
        assert _tried(app)[0].change == Change(cold=(spell,))


async def test_what_makes_no_sense_is_not_tried() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        await pilot.press(*"99", "enter")
        await settled(pilot)
        assert _tried(app) == []
        assert "must be 1 to 30" in _said(app, "refused")
        await pilot.press("down", *"2027-04-01", "enter")
        await settled(pilot)
        assert _tried(app)[0].what == "9 °C colder for 3 days from 1 Apr"


async def test_escape_leaves_what_was_tried_and_then_the_page() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert (app.desk.tried, app.page) == (None, "cold")
        assert garden_replanned() not in _heard(app)
        await pilot.press("escape")
        await pilot.pause()
        assert app.page == "season"


async def test_a_try_out_under_way_is_stopped_by_escape() -> None:
    app = make_app(hold=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "Trying 8 °C colder" in _said(app, "title")
        await pilot.press("enter", "a", "l", "5", "right")
        await pilot.press("escape")
        await settled(pilot)
        assert "stopped" in _heard(app)
        assert len(_tried(app)) == 1


async def test_what_cannot_be_tried_gives_the_form_back() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_cold(pilot)
        cast("ScriptedBackend", app.backend).fails = PropschedError("pins clash")
        await pilot.press("enter")
        await settled(pilot)
        assert app.query_one("#cold-try").display
        assert app.desk.said == "pins clash"


async def test_by_mouse_alone() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.click("#tab-cold")
        await pilot.pause()
        await pilot.click("#field-0 .on")
        await pilot.click("#field-1 .back")
        await pilot.click("#field-2 .value")
        await pilot.click("#field-2 .on")
        await pilot.pause()
        await pilot.click("#cold-try")
        await settled(pilot)
        batches = [one.batch.id for one in app.desk.opened.whole]  # type: ignore[union-attr]
        lost = Lost(batch=batches[-1], count=1)
        assert _tried(app)[0].change == Change(lost=(lost,))
        await pilot.click("#cold-leave")
        await pilot.pause()
        assert app.desk.tried is None


async def test_without_a_plan_it_says_how_to_come_by_one() -> None:
    app = make_app("unplanned")
    async with app.run_test(size=(44, 30)) as pilot:
        await _at_cold(pilot)
        assert "p plans" in _said(app, "title")
        await pilot.press("enter", "a", "l", "right", "up", "8", "backspace")
        await settled(pilot)
        assert _heard(app) == []
