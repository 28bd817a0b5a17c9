"""Batches found, opened and changed by key, mouse and thumb."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from textual.pilot import Pilot
from tui_desks import (
    ScriptedBackend,
    UnheatedBackend,
    make_app,
    make_desk,
    settled,
)
from tui_season import TODAY, garden_plan, write_garden

from propsched.domain.batch import Pin
from propsched.files.write import write_plan
from propsched.service.opened import open_season
from propsched.tui import asks
from propsched.tui.app import PropschedApp
from propsched.tui.desk import Desk
from propsched.tui.pages.batches import BatchesPage


async def _at_batches(pilot: Pilot[None]) -> BatchesPage:
    await settled(pilot)
    await pilot.press("b")
    await pilot.pause()
    return pilot.app.query_one(BatchesPage)


def _heard(app: PropschedApp) -> list[object]:
    assert isinstance(app.backend, ScriptedBackend)
    return app.backend.heard


def _text(page: BatchesPage) -> str:
    assert page._view is not None
    return "\n".join(page._view.lines)


async def _open(pilot: Pilot[None], page: BatchesPage, name: str) -> None:
    await pilot.press("slash", *name, "enter", "enter")
    await pilot.pause()
    assert page._at.batch == name
    assert page._at.opened


async def _press(pilot: Pilot[None], page: BatchesPage, action: str) -> None:
    assert page._view is not None
    spots = [spot for spot in page._view.spots if spot.action == action]
    spot = spots[len(spots) // 2]
    at = ((spot.first + spot.last) // 2, spot.row)
    await pilot.click("BatchesPage Drawn", offset=at)
    await pilot.pause()


async def test_keys_move_and_other_pages_follow() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        assert page._view is not None
        names = [row.name for row in page._view.rows]
        await pilot.press("down", "down", "up")
        await pilot.pause()
        assert app.desk.batch == names[1]
        await pilot.press("end")
        assert page._at.batch == names[-1]
        await pilot.press("home", "pagedown", "pageup")
        assert page._at.batch == names[0]


async def test_filter_as_one_types_and_let_go_of_it() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await pilot.press("slash", *"lettuce hot")
        await pilot.pause()
        assert "▸lettuce-1" in _text(page)
        assert '2 of 12 batches with "lettuce hot"' in _text(page)
        await pilot.press("enter", "down")
        assert page._at.batch == "lettuce-2"
        assert page.has_focus
        await pilot.press("escape")
        await pilot.pause()
        assert "12 of 12 batches" in _text(page)
        await pilot.press("slash", *"12", "escape")
        await pilot.pause()
        assert page._at.words == ""
        assert app.page == "batches"
        assert _heard(app) == []


async def test_order_by_key_and_by_heading() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        seen = []
        for _ in range(4):
            await pilot.press("o")
            seen.append(page._at.order)
        assert seen == ["batch", "space", "state", "next"]
        await _press(pilot, page, "sort('state')")
        assert page._at.order == "state"


async def test_enter_opens_and_escape_goes_back_step_by_step() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        assert "Why there" in _text(page)
        await pilot.press("down", "down")
        assert page._at.down == 2
        await pilot.press("n", "escape")
        assert page._at.form is None
        assert page._at.opened
        await pilot.press("backspace")
        assert not page._at.opened
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert app.page == "season"


async def test_left_and_right_go_through_those_that_were_found() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await pilot.press("slash", *"lettuce", "enter", "enter", "right", "right")
        assert page._at.batch == "lettuce-3"
        await pilot.press("right", "left")
        assert page._at.batch == "lettuce-2"
        assert page._at.opened


async def test_priority_by_digit_of_the_batch_that_is_open() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await pilot.press("4")
        await _open(pilot, page, "tomato")
        await pilot.press("2", "7")
        await settled(pilot)
        assert _heard(app) == [asks.SetBatch("tomato", "priority", "2")]


async def test_a_day_is_typed_in_a_form() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        await pilot.press("d", *"1.13", "enter")  # no day: nothing is changed
        assert page._at.form is not None
        assert "a day: 12, 12.1 or 2027-01-12" in _text(page)
        await pilot.press("backspace", "backspace", "5", "enter")
        await pilot.press("i", "down", "down", *"2027-04-10", "enter")
        await pilot.press("n", "down", *"1.3", "enter")
        await settled(pilot)
        changed, pinned, noted = _heard(app)
        assert changed == asks.SetBatch("tomato", "wanted_by", "2027-05-01")
        assert isinstance(pinned, asks.SetPin)
        assert pinned.pin.start == date(2027, 4, 10)
        assert isinstance(noted, asks.NoteEvent)
        assert noted.day == date(2027, 3, 1)


async def test_wanted_by_another_day_or_none() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        await pilot.press("d", "right", "pagedown", "enter")
        await pilot.press("d", "backspace", "enter")
        await settled(pilot)
        assert _heard(app) == [
            asks.SetBatch("tomato", "wanted_by", "2027-05-28"),
            asks.SetBatch("tomato", "wanted_by", ""),
        ]


async def test_a_stage_is_pinned_to_a_space_and_a_day() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "cucumber")
        await pilot.press("i", "right", "down", "right", "tab", "right", "enter")
        await settled(pilot)
        # from where the plan has it potted up: the bench on 18 April
        pin = Pin(
            batch="cucumber", stage="pot-up", space="windowsill",
            start=date(2027, 4, 18),
        )  # fmt: skip
        assert _heard(app) == [asks.SetPin(pin)]


def _pinned() -> Desk:
    desk = make_desk()
    assert desk.opened is not None
    pin = Pin(batch="cucumber", stage="start", space="bench")
    files = replace(desk.opened.files, pins=(pin,))
    opened = replace(desk.opened, loaded=replace(desk.opened.loaded, files=files))
    return replace(desk, opened=opened)


async def test_a_pin_is_dropped_and_nothing_is_no_pin() -> None:
    app = make_app(_pinned())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "cucumber")
        await pilot.press("i", "down")
        while "not pinned: as planned" not in _text(page):
            await pilot.press("left")
        await pilot.press("enter")
        await settled(pilot)
        assert _heard(app) == [asks.DropPin("cucumber", "start")]
        await pilot.press("i", "right", "down")
        while "not pinned: as planned" not in _text(page):
            await pilot.press("left")
        await pilot.press("enter")
        assert "That pins nothing" in _text(page)


async def test_what_happened_is_noted() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "chilli")
        await pilot.press("n", "down", "left", "down", "right", "down", *"15", "enter")
        await settled(pilot)
        assert _heard(app) == [
            asks.NoteEvent(
                "emerged", ("chilli", "15"), space="propagator", day=date(2027, 3, 5)
            )
        ]
        await pilot.press("u")
        await settled(pilot)
        assert _heard(app)[1:] == [asks.Undo("chilli", changes=True)]


async def test_losses_without_a_number_are_asked_for_it() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "bean")
        await pilot.press("n", "right", "enter")
        assert "say how many" in _text(page)
        await pilot.press("down", "down", "down", "3", "enter")
        await settled(pilot)
        assert _heard(app) == [asks.NoteEvent("lost", ("bean", "3"))]


async def test_of_what_is_over_nothing_is_noted() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "onion")
        await pilot.press("n", "i")
        assert page._at.form is None


async def test_by_thumb_one_gets_to_the_last_batch_and_down_an_opened_one() -> None:
    app = make_app()
    async with app.run_test(size=(44, 20)) as pilot:
        page = await _at_batches(pilot)
        assert page._view is not None
        names = [row.name for row in page._view.rows]
        seen = {name for name in page._view.names if name}
        assert seen < set(names)
        for _ in range(len(names)):
            await _press(pilot, page, "page(1)")
            seen |= {name for name in page._view.names if name}
        assert seen == set(names)
        for _ in range(len(names)):
            await _press(pilot, page, "page(-1)")
        assert names[0] in page._view.names
        row = page._view.names.index(names[0])
        await pilot.click("BatchesPage Drawn", offset=(6, row))
        await pilot.pause()
        assert page._at.opened
        top = _text(page)
        assert "… more below" in top
        for _ in range(9):
            if "… more below" in _text(page):
                await _press(pilot, page, "page(1)")
        assert "… more below" not in _text(page)
        for _ in range(9):
            await _press(pilot, page, "page(-1)")
        assert _text(page) == top
        await _press(pilot, page, "close")
        assert not page._at.opened


async def test_a_press_on_more_below_shows_it() -> None:
    app = make_app()
    async with app.run_test(size=(80, 20)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        assert "… more below" in _text(page)
        await _press(pilot, page, "page(1)")
        assert page._at.down > 0


async def test_by_thumb_words_are_found_and_let_go_of() -> None:
    app = make_app()
    async with app.run_test(size=(44, 30)) as pilot:
        page = await _at_batches(pilot)
        await _press(pilot, page, "find")
        await pilot.press(*"lost", "enter")
        assert page._view is not None
        assert [row.name for row in page._view.rows] == ["leek"]
        assert all(len(text) <= 44 for text in page._view.lines)
        await _press(pilot, page, "clear")
        assert "12 of 12 batches" in _text(page)


async def test_by_thumb_a_batch_is_opened_pinned_and_left() -> None:
    app = make_app()
    async with app.run_test(size=(44, 30)) as pilot:
        page = await _at_batches(pilot)
        assert page._view is not None
        row = page._view.names.index("bean")
        await pilot.click("BatchesPage Drawn", offset=(12, row))
        await pilot.pause()
        assert (page._at.batch, page._at.opened) == ("bean", True)
        await _press(pilot, page, "priority(5)")
        await _press(pilot, page, "note")
        for action in ("form_turn(0, 1)", "form_turn(3, 10)", "form_turn(1, -1)"):
            await _press(pilot, page, action.replace("turn", "at").split(",")[0] + ")")
            await _press(pilot, page, action)
        await _press(pilot, page, "form_done")
        await _press(pilot, page, "close")
        assert not page._at.opened
        await settled(pilot)
        assert _heard(app) == [
            asks.SetBatch("bean", "priority", "5"),
            asks.NoteEvent("lost", ("bean", "60"), day=date(2027, 3, 5)),
        ]


async def test_the_wheel_moves_and_the_season_leads_here() -> None:
    app = make_app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.post_message(asks.Choose(batch="vine"))
        app.post_message(asks.Go("batches"))
        await settled(pilot)
        page = app.query_one(BatchesPage)
        assert page._at.batch == "vine"
        assert "grape vine from hardwood" in _text(page)  # beside the list
        assert not page._at.opened
        app.post_message(asks.Go("season"))
        app.post_message(asks.Choose(batch="bean"))
        app.post_message(asks.Go("batches", opened=True))
        await settled(pilot)
        assert (page._at.batch, page._at.opened) == ("bean", True)


async def test_changes_reach_the_files(tmp_path: Path) -> None:
    write_garden(tmp_path)
    digests = open_season(tmp_path, today=TODAY).files.digests
    write_plan(tmp_path, garden_plan(inputs=dict(digests)))
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    before = (tmp_path / "batches.csv").read_text(encoding="utf-8")
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        await pilot.press("2")
        await settled(pilot)
        now = (tmp_path / "batches.csv").read_text(encoding="utf-8")
        assert now == before.replace("2027-05-20,5,,", "2027-05-20,2,,")
        assert app.desk.opened is not None
        assert app.desk.opened.changed == ("batches.csv",)
        assert "priority 2" in _text(page)
        await pilot.press("i", "enter")
        await settled(pilot)
        assert "tomato,seedling,propagator" in (tmp_path / "pins.csv").read_text()


async def test_what_was_done_is_taken_back_in_turn(tmp_path: Path) -> None:
    """Pins and rows are again what they were, byte for byte."""
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    names = ("batches.csv", "pins.csv", "daybook.csv")
    before = {name: (tmp_path / name).read_bytes() for name in names}
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        await pilot.press("2")
        await settled(pilot)
        await pilot.press("n", "enter")  # pricked out
        await settled(pilot)
        await pilot.press("i", "enter")
        await settled(pilot)
        changed = {name: (tmp_path / name).read_bytes() for name in names}
        assert all(changed[name] != before[name] for name in names)
        said = []
        for _ in names:
            await pilot.press("u")
            await settled(pilot)
            said.append(app.desk.said)
        assert "tomato: prick-out pinned to propagator" in said[0]
        assert "tomato pricked out" in said[1].replace("-", " ")
        assert "tomato: priority 5 → 2" in said[2]
        assert all(text.startswith("Taken back: ") for text in said)
        for name in ("batches.csv", "pins.csv"):
            assert (tmp_path / name).read_bytes() == before[name]
        assert app.desk.opened is not None
        assert app.desk.opened.states["tomato"].stage == "seedling"


async def test_a_row_changed_by_another_hand_is_left_alone(tmp_path: Path) -> None:
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_batches(pilot)
        await _open(pilot, page, "tomato")
        await pilot.press("4")
        await settled(pilot)
        await pilot.press("2")
        await settled(pilot)
        rows = (tmp_path / "batches.csv").read_text(encoding="utf-8")
        other = rows.replace("2027-05-20,2,,", "2027-05-20,1,,")
        assert other != rows
        (tmp_path / "batches.csv").write_text(other, encoding="utf-8")
        await pilot.press("escape", "u")  # from the list, of all batches
        await settled(pilot)
        assert "priority of tomato was changed since, to 1" in app.desk.said
        assert app.desk.tone == "error"
        assert (tmp_path / "batches.csv").read_text(encoding="utf-8") == other
        await pilot.press("s", "u")  # the change before that one, from another page
        await settled(pilot)
        assert "was changed since" in app.desk.said


async def test_by_thumb_a_change_is_taken_back(tmp_path: Path) -> None:
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    before = (tmp_path / "batches.csv").read_bytes()
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    async with app.run_test(size=(44, 30)) as pilot:
        page = await _at_batches(pilot)
        assert page._view is not None
        row = page._view.names.index("tomato")
        await pilot.click("BatchesPage Drawn", offset=(12, row))
        await pilot.pause()
        await _press(pilot, page, "priority(1)")
        await settled(pilot)
        assert (tmp_path / "batches.csv").read_bytes() != before
        await _press(pilot, page, "undo_note")
        await settled(pilot)
        assert (tmp_path / "batches.csv").read_bytes() == before
