"""Every key and the mouse on the page of the season."""

from textual.pilot import Pilot
from tui_desks import ScriptedBackend, make_app, make_desk, settled
from tui_season import TODAY

from propsched.tui.app import PropschedApp
from propsched.tui.pages.drawn import Drawn
from propsched.tui.pages.season import SeasonPage
from propsched.tui.views.pieces import text_of
from propsched.tui.views.season_open import Open, Row
from propsched.tui.views.season_rows import LABEL


def page_of(app: PropschedApp) -> SeasonPage:
    return app.query_one(SeasonPage)


def open_of(app: PropschedApp) -> Open:
    at = page_of(app)._at
    assert at is not None
    return at


def line_of(app: PropschedApp, row: Row) -> int:
    view = page_of(app)._view
    assert view is not None
    return view.keys.index(row)


async def click(pilot: Pilot[None], x: int, y: int) -> None:
    await pilot.click(SeasonPage, offset=(x, y))
    await pilot.pause()


async def press(pilot: Pilot[None], action: str) -> None:
    """One of the buttons on the first line."""
    assert isinstance(pilot.app, PropschedApp)
    view = page_of(pilot.app)._view
    assert view is not None
    spot = next(one for one in view.spots if one.action == action)
    await click(pilot, spot.last, spot.row)


async def test_up_down_open_close_and_on_to_the_batch() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert open_of(app).row == Row("propagator")
        await pilot.press("down")
        assert open_of(app).row == Row("bench")
        assert app.desk.space == "bench"
        await pilot.press("up", "enter")
        assert open_of(app).opened == "propagator"
        await pilot.press("down")
        batch = open_of(app).row.batch
        assert batch == "tomato"
        await pilot.press("backspace")
        assert open_of(app).opened == ""
        await pilot.press("pagedown")
        assert open_of(app).row == Row("pond")
        await pilot.press("pageup", "pageup", "enter", "down", "enter")
        await pilot.pause()
        assert app.page == "batches"
        assert app.desk.batch == "tomato"


async def test_left_right_home_and_zoom() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert open_of(app).day == TODAY
        await pilot.press("right", "right")
        assert (open_of(app).day - TODAY).days == 14
        await pilot.press("left", "home")
        assert open_of(app).day == TODAY
        await pilot.press("plus", "right")
        assert open_of(app).zoom == "days"
        assert (open_of(app).day - TODAY).days == 1
        await pilot.press("minus", "minus")
        assert open_of(app).zoom == "season"
        await pilot.press("full_stop")
        assert open_of(app).day == TODAY


async def test_right_on_a_batch_follows_it() -> None:
    app = make_app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("enter", "down", "right")
        assert open_of(app).row == Row("bench", "tomato")
        await pilot.press("left")
        assert open_of(app).row == Row("propagator", "tomato")
        await pilot.pause()
        assert (app.desk.batch, app.desk.space) == ("tomato", "propagator")


async def test_rows_columns_and_buttons_by_mouse() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await click(pilot, 3, line_of(app, Row("frame")))
        assert open_of(app).row == Row("frame")
        await click(pilot, 3, line_of(app, Row("frame")))
        assert open_of(app).opened == "frame"
        await click(pilot, LABEL + 21, line_of(app, Row("frame")))
        assert (open_of(app).day - TODAY).days > 7
        await press(pilot, "zoom_out")
        assert open_of(app).zoom == "season"
        await press(pilot, "zoom_in")
        await press(pilot, "zoom_in")
        assert open_of(app).zoom == "days"
        await press(pilot, "today")
        assert open_of(app).day == TODAY
        await press(pilot, "earlier")
        assert (open_of(app).day - TODAY).days == -1
        await press(pilot, "later")
        assert open_of(app).day == TODAY
        drawn = page_of(app).query_one(Drawn)
        before = open_of(app).row
        drawn.post_message(Drawn.Scrolled(1))
        await pilot.pause()
        assert open_of(app).row != before


async def test_it_opens_on_what_was_chosen_on_another_page() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("w", "right_square_bracket", "right_square_bracket")
        await pilot.pause()
        await pilot.press("s")
        await pilot.pause()
        assert open_of(app).row == Row("windowsill")


async def test_keys_do_no_harm_while_there_is_nothing_to_show() -> None:
    for state in ("faulty", "empty"):
        desk = make_desk(state)
        app = PropschedApp(desk.folder, backend=ScriptedBackend(desk))
        async with app.run_test(size=(44, 30)) as pilot:
            for key in (
                "up", "down", "left", "right", "enter", "down", "enter", "backspace",
                "plus", "minus", "home", "pageup", "pagedown",
            ):  # fmt: skip
                await pilot.press(key)
            await settled(pilot)


async def test_a_change_of_size_draws_it_anew() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.resize_terminal(160, 50)
        await pilot.pause()
        view = page_of(app)._view
        assert view is not None
        assert max(len(text_of(one)) for one in view.drawn) > 110
