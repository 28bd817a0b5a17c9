"""Jobs ticked off by key, mouse and thumb."""

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

from propsched.advice.job import Job
from propsched.files.write import write_plan
from propsched.service.answers import JobsAnswer
from propsched.service.opened import open_season
from propsched.tui import asks
from propsched.tui.app import PropschedApp
from propsched.tui.desk import Desk
from propsched.tui.pages.jobs import JobsPage


def _job(batch: str, **over: object) -> Job:
    plain = {
        "date": TODAY,
        "kind": "sow",
        "batch": batch,
        "crop": batch,
        "stage": "start",
        "what": f"Sow {batch}",
        "space": "house",
        "count": 60,
    }
    return Job(**{**plain, **over})  # type: ignore[arg-type]  # fmt: skip


BED = _job("", kind="make up bed", what="Make up hotbed", space="hotbed", count=None)
READ = _job("", kind="take readings", what="Take readings", space="", count=None)
NOTE = _job("onion", kind="note", what="Look whether onion is up: propsched note x")
JOBS = (BED, _job("bean"), _job("leek"), READ)


def _desk(*jobs: Job) -> Desk:
    answer = JobsAnswer(today=TODAY, rows=jobs or JOBS)
    return replace(make_desk(), jobs=answer)


async def _at_jobs(pilot: Pilot[None]) -> JobsPage:
    await settled(pilot)
    await pilot.press("j")
    await pilot.pause()
    return pilot.app.query_one(JobsPage)


def _heard(app: PropschedApp) -> list[object]:
    assert isinstance(app.backend, ScriptedBackend)
    return app.backend.heard


def _text(page: JobsPage) -> str:
    assert page._view is not None
    return "\n".join(page._view.lines)


def _ticks(app: PropschedApp) -> list[tuple[str, date | None, int, int | None]]:
    return [
        (one.job.batch, one.day, one.lost, one.count)
        for one in _heard(app)
        if isinstance(one, asks.Tick)
    ]


async def test_one_key_ticks_off_and_goes_on_to_the_next() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("space")
        await pilot.press("enter")
        await settled(pilot)
        assert _ticks(app) == [("", None, 0, None), ("bean", None, 0, None)]
        assert "▸[ ] Sow leek" in _text(page)


async def test_the_slow_way_asks_day_losses_and_count() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("down", "d", "left", "left", "right", "down", *"14")
        await pilot.press("backspace", "tab", *"50", "plus", "minus", "enter")
        await settled(pilot)
        assert _ticks(app) == [("bean", date(2027, 3, 5), 1, 50)]
        assert "done 5 Mar, 1 lost" in _text(page)


async def test_escape_leaves_the_questions_and_then_the_page() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("d", "escape")
        assert page._at.form is None
        assert app.page == "jobs"
        await pilot.press("escape")
        assert app.page == "season"
        assert _heard(app) == []


async def test_undo_takes_back_the_job_and_its_losses() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("space", "d", "down", "2", "enter")
        await settled(pilot)
        del _heard(app)[:]
        await pilot.press("u")
        await settled(pilot)
        assert _heard(app) == [asks.Undo("bean"), asks.Undo("bean")]
        assert "▸[ ] Sow bean" in _text(page)
        await pilot.press("u", "u")
        await settled(pilot)
        assert _heard(app)[2:] == [asks.Undo("hotbed"), asks.Undo("")]


async def test_what_was_ticked_off_is_gone_once_the_page_was_left() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("space")
        await settled(pilot)
        await pilot.press("s", "j")
        assert page._at.ticked == ()


async def test_readings_open_their_page_and_duties_are_never_done() -> None:
    look = _job("", kind="ventilate", what="Open house", until=date(2027, 3, 12))
    app = make_app(_desk(look, READ))
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_jobs(pilot)
        await pilot.press("space", "d")
        assert app.page == "jobs"
        await pilot.press("down", "enter")
        await pilot.pause()
        assert app.page == "reading"
        assert _heard(app) == []


async def test_what_should_be_up_is_noted() -> None:
    app = make_app(_desk(NOTE))
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_jobs(pilot)
        await pilot.press("space")
        await settled(pilot)
        assert [one[0] for one in _ticks(app)] == ["onion"]


async def test_further_ahead_and_nearer() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        seen = []
        for key in ("minus", "minus", "plus", "plus", "plus"):
            await pilot.press(key)
            seen.append(page._at.days)
        assert seen == [7, 7, 14, 28, 28]


async def test_keys_move_and_other_pages_follow() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(120, 40)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("end", "up")
        await pilot.pause()
        assert app.desk.batch == "leek"
        await pilot.press("home")
        assert "▸[ ] Make up hotbed" in _text(page)
        await pilot.press("pagedown", "down", "down", "pageup", "pageup")
        await pilot.pause()
        assert "▸[ ] Make up hotbed" in _text(page)


async def _press(pilot: Pilot[None], page: JobsPage, action: str) -> None:
    """Press in the middle of what does it."""
    assert page._view is not None
    spots = [spot for spot in page._view.spots if spot.action == action]
    spot = spots[len(spots) // 2]
    at = ((spot.first + spot.last) // 2, spot.row)
    await pilot.click("JobsPage Drawn", offset=at)
    await pilot.pause()


async def test_by_thumb_alone_a_job_is_ticked_and_taken_back() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(44, 30)) as pilot:
        page = await _at_jobs(pilot)
        await _press(pilot, page, "tick_at(1)")
        await settled(pilot)
        assert _ticks(app) == [("bean", None, 0, None)]
        assert "[✓] Sow bean" in _text(page)
        await _press(pilot, page, "tick_at(1)")
        await settled(pilot)
        assert _heard(app)[1:] == [asks.Undo("bean")]


async def test_by_thumb_alone_losses_are_told() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(44, 30)) as pilot:
        page = await _at_jobs(pilot)
        await _press(pilot, page, "row(1)")
        await _press(pilot, page, "ask")
        for action in ("form_turn(0, -1)", "form_turn(1, 10)", "form_turn(1, -1)",
                       "form_turn(2, 1)", "form_done"):  # fmt: skip
            await _press(pilot, page, action)
        await settled(pilot)
        assert _ticks(app) == [("bean", date(2027, 3, 5), 9, 61)]
        await _press(pilot, page, "span(28)")
        assert page._at.days == 28


async def test_the_day_of_a_job_is_typed() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        await pilot.press("down", "d", *"8-8", "enter")  # before the season
        assert page._at.form is not None
        assert "8 Aug 2026 – must be" in _text(page)
        await pilot.press(*["backspace"] * 3, *"2.3", "enter")
        await settled(pilot)
        assert _ticks(app) == [("bean", date(2027, 3, 2), 0, None)]


async def test_the_mouse_chooses_scrolls_and_ticks() -> None:
    app = make_app(_desk())
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        assert page._view is not None
        row = next(n for n, text in enumerate(page._view.lines) if "bean" in text)
        await pilot.click("JobsPage Drawn", offset=(12, row))
        await pilot.pause()
        assert "▸[ ] Sow bean" in _text(page)
        assert _heard(app) == []
        await pilot.click("JobsPage Drawn", offset=(2, row))
        await settled(pilot)
        assert [one[0] for one in _ticks(app)] == ["bean"]
        await _press(pilot, page, "ask")
        await _press(pilot, page, "form_drop")
        assert page._at.form is None


async def test_ticks_reach_the_daybook_and_are_taken_back(tmp_path: Path) -> None:
    write_garden(tmp_path)
    digests = open_season(tmp_path, today=TODAY).files.digests
    write_plan(tmp_path, garden_plan(inputs=dict(digests)))
    book = tmp_path / "daybook.csv"
    before = book.read_text(encoding="utf-8")
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        page = await _at_jobs(pilot)
        row = page._row
        assert row is not None
        await pilot.press("space")
        await settled(pilot)
        rows = book.read_text(encoding="utf-8").removeprefix(before).splitlines()
        assert len(rows) == 1
        assert row.job.batch in rows[0] or row.job.space in rows[0]
        assert "[✓]" in _text(page)
        await pilot.press("u")
        await settled(pilot)
        rows = book.read_text(encoding="utf-8").removeprefix(before).splitlines()
        assert len(rows) == 2
        assert ",undone," in rows[1]
        assert "[✓]" not in _text(page)
