"""Every key and the mouse on the page of warmth."""

from textual.pilot import Pilot
from tui_desks import make_app, make_desk, settled
from tui_season import TODAY

from propsched.tui.app import PropschedApp
from propsched.tui.pages.drawn import Drawn
from propsched.tui.pages.warmth import WarmthPage
from propsched.tui.views.warmth import Sight, WarmthView
from propsched.tui.views.warmth_plot import MARGIN


def page_of(app: PropschedApp) -> WarmthPage:
    return app.query_one(WarmthPage)


def sight_of(app: PropschedApp) -> Sight:
    found = page_of(app)._sight
    assert found is not None
    return found


def view_of(app: PropschedApp) -> WarmthView:
    found = page_of(app)._view
    assert found is not None
    return found


async def arrived(pilot: Pilot[None]) -> None:
    await settled(pilot)
    await pilot.press("w")
    await pilot.pause()


async def test_every_key() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await arrived(pilot)
        assert sight_of(app).space == "propagator"
        await pilot.press("right_square_bracket")
        assert sight_of(app).space == "bench"
        await pilot.pause()
        assert app.desk.space == "bench"
        await pilot.press("left_square_bracket", "left_square_bracket")
        assert sight_of(app).space == "pond"
        await pilot.press("down", "down", "up")
        assert sight_of(app).space == "propagator"
        await pilot.press("right", "right", "left")
        assert (sight_of(app).day - TODAY).days == 1
        await pilot.press("pagedown", "pageup", "pagedown")
        assert (sight_of(app).day - TODAY).days == 8
        await pilot.press("home", "minus", "minus")
        assert (sight_of(app).day, sight_of(app).span) == (TODAY, "season")
        await pilot.press("plus", "plus", "n")
        assert (sight_of(app).span, sight_of(app).need) == ("fortnight", 1)


async def test_the_needs_of_the_next_batch_are_drawn() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await arrived(pilot)
        labels = []
        for _ in range(2):
            text = ["".join(p.text for p in one) for one in view_of(app).drawn]
            labels.append([n for n in ("tomato best", "chilli best") if n in str(text)])
            await pilot.press("n")
            await pilot.pause()
        assert sorted(labels) == [["chilli best"], ["tomato best"]]


async def test_days_and_buttons_by_mouse() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await arrived(pilot)
        await pilot.click(WarmthPage, offset=(MARGIN + 40, 5))
        await pilot.pause()
        assert sight_of(app).day > TODAY
        spots = {spot.action: spot for spot in view_of(app).spots}
        assert set(spots) == {
            "space(-1)", "space(1)", "zoom(-1)", "zoom(1)", "today", "need",
        }  # fmt: skip
        await pilot.click(WarmthPage, offset=(spots["today"].first, 0))
        await pilot.pause()
        assert sight_of(app).day == TODAY
        await pilot.click(WarmthPage, offset=(spots["space(1)"].first, 0))
        await pilot.pause()
        assert sight_of(app).space == "bench"
        spots = {spot.action: spot for spot in view_of(app).spots}
        await pilot.click(WarmthPage, offset=(spots["zoom(-1)"].first, 0))
        await pilot.pause()
        assert sight_of(app).span == "two months"
        page_of(app).query_one(Drawn).post_message(Drawn.Scrolled(-1))
        await pilot.pause()
        assert (sight_of(app).day - TODAY).days == -1


async def test_it_opens_on_the_space_chosen_on_another_page() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("down", "down")
        await pilot.pause()
        await pilot.press("w")
        await pilot.pause()
        assert sight_of(app).space == "windowsill"


async def test_keys_do_no_harm_while_there_is_nothing_to_show() -> None:
    app = make_app(make_desk("faulty"))
    async with app.run_test(size=(44, 30)) as pilot:
        await arrived(pilot)
        for key in ("up", "down", "left", "right", "plus", "minus", "n", "home"):
            await pilot.press(key)
        await pilot.pause()
