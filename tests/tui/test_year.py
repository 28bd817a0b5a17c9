"""The season looked back on in the app: in every state, by key, mouse and thumb."""

from dataclasses import replace
from pathlib import Path

import pytest
from textual.containers import VerticalScroll
from tui_desks import (
    ScriptedBackend,
    UnheatedBackend,
    garden_looked,
    make_app,
    make_desk,
    settled,
)
from tui_season import TODAY, write_garden

from propsched.errors import PropschedError
from propsched.service.lookback_advice import for_next_year
from propsched.service.looked_back import LookBack
from propsched.tui.app import PropschedApp
from propsched.tui.desk import LookedBack, after
from propsched.tui.views.year import year_view

NOTHING = replace(garden_looked(), came=(), losses=(), silent=(), spaces=())


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("unread", "Reading the files"),
        ("faulty", "x lists them"),
        ("planned", "Looking back over the season"),
        ("unplanned", "Looking back over the season"),
    ],
)
def test_with_nothing_to_show_it_says_why(state: str, said: str) -> None:
    assert said in year_view(make_desk(state), width=80).lines[0]


def test_a_season_of_which_nothing_was_noted_leads_on() -> None:
    view = year_view(make_desk(looked=NOTHING), width=44)
    text = " ".join(view.lines)
    assert "Nothing to look back on yet." in text
    assert "j ticks jobs off" in text
    assert "r takes readings" in text


@pytest.mark.parametrize("width", [44, 60, 76, 80, 120, 160])
def test_all_that_the_report_says_is_there_at_any_width(width: int) -> None:
    view = year_view(make_desk(looked=garden_looked()), width=width)
    assert max(map(len, view.lines)) <= width
    text = " ".join(" ".join(view.lines).split())
    for said in ("1 of 2 came", "onion", "bean", "+4 d", "131", "planted out",
                 "What became of them", "Next season", "frame"):  # fmt: skip
        assert said in text, said
    for advice in for_next_year(garden_looked()):
        assert advice[:20] in text


def test_the_desk_keeps_the_answer() -> None:
    desk = after(make_desk(), LookedBack(garden_looked()))
    assert desk.looked == garden_looked()


async def test_it_is_asked_for_when_it_is_opened_and_scrolls() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert app.desk.looked is None
        await pilot.press("y")
        await settled(pilot)
        assert app.page == "year"
        assert app.desk.looked == garden_looked()
        body = app.query_one("#year-body", VerticalScroll)
        assert body.max_scroll_y > 0
        await pilot.press("down", "plus")
        await pilot.pause()
        assert body.scroll_y == 2
        await pilot.press("end")
        await pilot.pause()
        assert body.scroll_y == body.max_scroll_y
        await pilot.press("home", "pagedown", "up")
        await pilot.pause()
        assert 0 < body.scroll_y < body.max_scroll_y
        await pilot.press("space", "pageup", "minus", "escape")
        assert app.page == "season"


async def test_by_mouse_and_thumb() -> None:
    app = make_app()
    async with app.run_test(size=(44, 30)) as pilot:
        await settled(pilot)
        await pilot.click("#tab-year")
        await settled(pilot)
        body = app.query_one("#year-body", VerticalScroll)
        for _ in range(4):
            await pilot.click("#year .down")
            await pilot.pause()
        assert body.scroll_y == body.max_scroll_y > 0


async def test_it_is_found_by_name() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("ctrl+p", *"looking back")
        await pilot.pause(0.2)
        await pilot.press("enter")
        await settled(pilot)
        assert app.page == "year"


async def test_what_cannot_be_told_is_said() -> None:
    class Failing(ScriptedBackend):
        def look_back(self) -> LookBack:
            raise PropschedError("weather.csv is too short")

    app = PropschedApp(Path("garden"), backend=Failing())
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("y")
        await settled(pilot)
        assert app.desk.said == "weather.csv is too short"


async def test_it_is_told_anew_when_the_files_were_read_anew() -> None:
    class Counting(ScriptedBackend):
        asked = 0

        def look_back(self) -> LookBack:
            self.asked += 1
            return garden_looked()

    backend = Counting()
    app = PropschedApp(Path("garden"), backend=backend)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("y", "s", "y")
        await settled(pilot)
        assert backend.asked == 1
        read = backend.desk.opened
        assert read is not None
        backend.desk = replace(backend.desk, opened=replace(read))
        app.action_reload()
        for _ in range(3):  # read, asked for anew, told
            await pilot.pause()
            await settled(pilot)
        assert backend.asked == 2


def test_of_a_real_season(tmp_path: Path) -> None:
    backend = UnheatedBackend(write_garden(tmp_path), TODAY)
    batches = {one.batch for one in backend.look_back().came}
    assert batches >= {"onion", "tomato"}
