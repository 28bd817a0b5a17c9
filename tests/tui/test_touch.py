"""On a phone 44 columns wide every page is worked by a finger alone."""

from dataclasses import replace

from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from tui_desks import FAULTS, ScriptedBackend, make_app, make_desk, settled

from propsched.errors import InputProblem
from propsched.tui import asks
from propsched.tui.app import PAGES, PropschedApp
from propsched.tui.pages.ask_field import AskField
from propsched.tui.pages.cold import ColdPage
from propsched.tui.pages.number_pad import PadButton
from propsched.tui.pages.picker import Picker
from propsched.tui.pages.season import SeasonPage
from propsched.tui.pages.warmth import WarmthPage
from propsched.tui.screens import HelpScreen
from propsched.tui.touch import DOES, Thumb, TouchWord

PHONE = (44, 30)


async def _tap(pilot: Pilot[None], target: str | Widget) -> None:
    await pilot.click(target)
    await pilot.pause()


async def _go(pilot: Pilot[None], page: str) -> None:
    await settled(pilot)
    await _tap(pilot, f"#tab-{page}")


async def _press(
    pilot: Pilot[None], page: SeasonPage | WarmthPage, action: str
) -> None:
    """A button that is drawn."""
    view = page._view
    assert view is not None
    spots = [spot for spot in view.spots if spot.action == action]
    assert spots, action
    spot = spots[len(spots) // 2]
    at = ((spot.first + spot.last) // 2, spot.row)
    await pilot.click(f"#{page.id} Drawn", offset=at)
    await pilot.pause()


def _heard(app: PropschedApp) -> list[object]:
    assert isinstance(app.backend, ScriptedBackend)
    return app.backend.heard


async def test_nothing_to_be_pressed_lies_outside() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        for page in PAGES:
            await _go(pilot, page)
            shown = [*app.screen.query(TouchWord), *app.screen.query(Thumb)]
            shown += [*app.screen.query(".arrow"), *app.screen.query(PadButton)]
            shown = [one for one in shown if one.is_on_screen and one.size.width]
            assert len(shown) >= len(DOES)
            for one in shown:
                assert one.region.right <= 44, one
                assert one.region.bottom <= 30, one
                assert one.region.width >= 4, one
            view = getattr(app.open_page, "_view", None)
            for spot in () if view is None else view.spots:
                assert spot.last < 44, spot


async def test_what_is_no_page_is_at_the_foot() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        await _go(pilot, "jobs")
        await _tap(pilot, ".touch-help")
        assert isinstance(app.screen, HelpScreen)
        help_text = app.screen.query_one("#help", VerticalScroll)
        assert help_text.max_scroll_y > 0
        for _ in range(3):
            await _tap(pilot, "HelpScreen .down")
        assert help_text.scroll_y == help_text.max_scroll_y
        await _tap(pilot, "HelpScreen .up")
        assert help_text.scroll_y < help_text.max_scroll_y
        await _tap(pilot, "#close")
        assert not isinstance(app.screen, HelpScreen)
        await _tap(pilot, ".touch-back")
        assert app.page == "season"
        await _tap(pilot, ".touch-undo")
        assert _heard(app) == [asks.Undo(changes=True)]
        await _tap(pilot, ".touch-plan")
        assert "plan" in _heard(app)
        await _tap(pilot, ".touch-find")
        assert app.screen.query(OptionList)
        await pilot.press("escape")
        await _tap(pilot, ".touch-quit")
    assert app.return_code == 0


async def test_wider_screens_have_their_keys_there() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert app.query_one("Footer").display
        assert not app.query_one("TouchBar").display


async def test_readings_are_taken_and_spaces_compared() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        await _go(pilot, "reading")
        await _tap(pilot, ".touch-undo")
        assert _heard(app) == [asks.Undo(what="reading")]
        await _go(pilot, "reading")
        field = app.query_one(AskField)
        await _tap(pilot, ".touch-depth")
        assert field.what == "depth"
        pad = {one.key: one for one in app.query(PadButton)}
        for key in ("2", "backspace", "9", ".", "u", "enter"):
            await _tap(pilot, pad[key])
        assert field.what == ""
        assert "9 cm" in str(app.query_one("#where", Static).content)
        probe = str(app.query_one("#where", Static).content)
        await _tap(pilot, "#reading .touch-probe")
        assert str(app.query_one("#where", Static).content) != probe
        await _tap(pilot, "#reading .touch-probe")
        await _tap(pilot, ".touch-note")
        assert field.what == "note"
        await pilot.press(*"wet", "enter")  # the phone's own keys
        for key in ("9", ".", "7", "enter"):
            await _tap(pilot, pad[key])
        (noted,) = [one for one in _heard(app) if isinstance(one, asks.NoteReading)]
        assert (noted.temps_c, noted.depth_cm, noted.note) == ((9.7,), 9.0, "wet")
        assert noted.probe == "stem"
        await _go(pilot, "reading")
        spaces = app.query_one("#spaces", Picker)
        assert spaces.max_scroll_y > 0
        for _ in range(3):
            await _tap(pilot, "#left .down")
        assert spaces.scroll_y == spaces.max_scroll_y
        await _go(pilot, "compare")
        for side in ("first", "second"):
            picker = app.query_one(f"#{side}", Picker)
            assert picker.parent is not None
            for _ in range(3):
                await _tap(pilot, next(iter(picker.parent.query(".down"))))
            assert picker.scroll_y == picker.max_scroll_y
        await _go(pilot, "compare")
        await _tap(pilot, "#compare-them")
        assert [one for one in _heard(app) if isinstance(one, asks.CompareSpaces)]
        answer = app.query_one("#answer", VerticalScroll)
        for _ in range(3):
            await _tap(pilot, "#answer-thumbs .down")
        assert answer.scroll_y == answer.max_scroll_y


async def _through_warmth(app: PropschedApp, pilot: Pilot[None]) -> None:
    await _go(pilot, "warmth")
    page = app.query_one(WarmthPage)
    before = page._sight
    assert before is not None
    await _press(pilot, page, "need")
    assert page._sight is not None
    assert page._sight.need == before.need + 1
    await _press(pilot, page, "space(1)")
    assert page._sight.space != before.space
    await _press(pilot, page, "space(-1)")
    await _press(pilot, page, "zoom(-1)")
    assert page._sight.span == "two months"
    await _press(pilot, page, "zoom(1)")
    view = page._view
    assert view is not None
    assert view.frame is not None
    await pilot.click("#warmth Drawn", offset=(40, view.top + 2))
    await pilot.pause()
    assert page._sight.day > before.day
    await _press(pilot, page, "today")
    assert page._sight.day == before.day
    texts = ["".join(piece.text for piece in one) for one in view.drawn]
    assert max(map(len, texts)) <= 44
    assert "propagator, fortnight" in texts[3]


async def test_season_warmth_and_batches_are_gone_through() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        await settled(pilot)
        page = app.query_one(SeasonPage)
        assert page._view is not None
        first = page._at
        assert first is not None
        await _press(pilot, page, "row(1)")
        assert page._at is not None
        assert page._at.row != first.row
        await _press(pilot, page, "row(-1)")
        assert page._at.row == first.row
        at = (3, page._view.keys.index(first.row))
        await pilot.click("#season Drawn", offset=at)
        await pilot.pause()
        batches = [key for key in page._view.keys if key and key.batch]
        assert batches, "the space is open"
        row = page._view.keys.index(batches[0])
        for _ in range(2):  # chosen, then opened
            await pilot.click("#season Drawn", offset=(6, row))
            await settled(pilot)
        assert app.page == "batches"
        await _tap(pilot, ".touch-back")  # to all batches, then to the season
        await _tap(pilot, ".touch-back")
        assert app.page == "season"
        await _through_warmth(app, pilot)
        await _go(pilot, "batches")
        field = app.query_one("BatchesPage Input", Input)
        await pilot.click("BatchesPage Drawn", offset=(4, 2))
        await pilot.pause()
        assert field.has_class("-open")
        await pilot.press(*"leek")
        await pilot.click("BatchesPage Drawn", offset=(4, 7))
        await settled(pilot)
        assert not field.has_class("-open")


async def test_cold_is_tried_looked_through_and_accepted() -> None:
    app = make_app()
    async with app.run_test(size=PHONE) as pilot:
        await _go(pilot, "cold")
        page = app.query_one(ColdPage)
        before = page._now
        assert before is not None
        await _tap(pilot, "#field-1 .on")
        await _tap(pilot, "#field-3 .on")
        await _tap(pilot, "#field-2 .back")
        assert page._now is not None
        assert page._now.drop_c == before.drop_c + 1
        assert page._now.days == before.days + 1
        await _tap(pilot, "#cold-try")
        body = app.query_one("#cold-body", VerticalScroll)
        for _ in range(3):
            await _tap(pilot, "#cold .down")
        assert body.scroll_y == body.max_scroll_y
        await _tap(pilot, "#cold-accept")
        assert type(_heard(app)[-1]).__name__ == "Replanned"
        await _tap(pilot, "#cold-leave")
        assert page._shown is not None
        assert page._shown.showing == "form"


async def test_every_fault_is_reached() -> None:
    many = tuple(InputProblem("garden/batches.csv", n, f"fault {n}") for n in range(24))
    app = make_app(replace(make_desk("faulty"), problems=(*FAULTS, *many)))
    async with app.run_test(size=PHONE) as pilot:
        await _go(pilot, "problems")
        faults = app.query_one("#problems-list", OptionList)
        for _ in range(3):
            await _tap(pilot, "#problems .down")
        assert faults.scroll_y == faults.max_scroll_y
        await pilot.click(faults, offset=(5, 1))
        await settled(pilot)
        assert faults.highlighted is not None
        assert faults.highlighted > 12
