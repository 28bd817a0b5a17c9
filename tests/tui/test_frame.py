"""The frame of the app on a terminal: keys, mouse, planning, files that change."""

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList, Static
from textual.worker import WorkerFailed
from tui_desks import (
    FAULTS,
    FOLDER,
    ScriptedBackend,
    garden_replanned,
    make_app,
    make_desk,
    read_garden,
    settled,
)
from tui_season import TODAY, garden_plan, write_garden

from propsched.domain.plan import Plan
from propsched.errors import PinsImpossibleError, PropschedError
from propsched.files.write import read_plan, write_plan
from propsched.service.opened import open_season
from propsched.tui import asks
from propsched.tui.app import PAGES, PropschedApp
from propsched.tui.backend import Backend
from propsched.tui.desk import Begun, PageName, Tried
from propsched.tui.screens import HelpScreen, LeaveScreen


def scripted(app: PropschedApp) -> ScriptedBackend:
    assert isinstance(app.backend, ScriptedBackend)
    return app.backend


def shown(app: PropschedApp, name: str) -> str:
    return str(app.query_one(f"#{name}", Static).content)


@pytest.mark.parametrize("page", PAGES)
async def test_each_page_opens_by_its_key(page: PageName) -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("w" if page == "season" else "s", PAGES[page].KEY)
        await settled(pilot)
        assert app.page == page
        assert app.open_page.display
        assert "▸" in shown(app, f"tab-{page}")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (44, 30)])
async def test_each_page_opens_by_mouse(size: tuple[int, int]) -> None:
    """Every tab is on the screen, at every size."""
    app = make_app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        for page in PAGES:
            assert await pilot.click(f"#tab-{page}")
            await pilot.pause()
            assert app.page == page


async def test_escape_goes_back_to_the_page_before() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        app.page = "warmth"
        await pilot.pause()
        app.page = "problems"
        await pilot.pause()
        app.action_stop_or_back()
        await pilot.pause()
        assert app.page == "warmth"
        app.action_stop_or_back()
        await pilot.pause()
        assert app.page == "season"


async def test_a_plan_is_made_while_the_app_goes_on_and_is_shown_when_done() -> None:
    app = make_app("unplanned", hold=True)
    backend = scripted(app)
    async with app.run_test() as pilot:
        await settled(pilot)
        assert "no plan yet" in shown(app, "head")
        await pilot.press("p")
        backend.begun.wait(5)
        await pilot.press("w")
        await pilot.pause()
        assert app.page == "warmth"
        assert "within 2.7 %" in shown(app, "said")
        await pilot.press("p")
        await pilot.pause()
        backend.go.set()
        await settled(pilot)
        assert backend.heard[0] == "plan"
        assert backend.heard[1] == "through"
        assert isinstance(backend.heard[2], Plan), "kept"
        assert len(backend.heard) == 3, "a second p while planning does nothing"
        assert "A new plan is saved" in shown(app, "said")
        assert "of 10 batches" in shown(app, "head") or "changed" in shown(app, "head")
        assert app.desk.outcome is not None


async def test_escape_stops_the_planner_and_keeps_the_best() -> None:
    app = make_app(hold=True)
    backend = scripted(app)
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("p")
        backend.begun.wait(5)
        await pilot.pause()
        await pilot.press("escape")
        await settled(pilot)
        assert backend.heard[:2] == ["plan", "stopped"]
        assert isinstance(backend.heard[2], Plan)
        assert not app.desk.planning.busy


async def test_a_click_on_the_status_line_stops_it_too() -> None:
    app = make_app(hold=True)
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("p")
        scripted(app).begun.wait(5)
        await pilot.pause()
        await pilot.click("#said")
        await settled(pilot)
        assert "stopped" in scripted(app).heard


async def test_what_is_impossible_is_said_and_the_planner_is_free_again() -> None:
    app = make_app()
    scripted(app).fails = PinsImpossibleError("two pins on one tray")
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("p")
        await settled(pilot)
        assert "Not done: two pins on one tray" in shown(app, "said")
        assert not app.desk.planning.busy


async def test_a_fault_of_ours_ends_the_app_with_its_traceback() -> None:
    app = make_app()
    scripted(app).fails = RuntimeError("no such thing")

    async def plan() -> None:
        async with app.run_test() as pilot:
            await settled(pilot)
            await pilot.press("p")
            await settled(pilot)

    with pytest.raises(WorkerFailed, match="no such thing"):
        await plan()


@pytest.mark.parametrize(("key", "kept"), [("k", True), ("d", False)])
async def test_leaving_while_planning_asks_about_the_plan(key: str, kept: bool) -> None:
    app = make_app(hold=True)
    backend = scripted(app)
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("p")
        backend.begun.wait(5)
        await pilot.pause()
        await pilot.press("q")
        await pilot.pause()
        assert isinstance(app.screen, LeaveScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, LeaveScreen)
        await pilot.press("q")
        await pilot.pause()
        await pilot.press(key)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app._exit
    assert any(isinstance(one, Plan) for one in backend.heard) == kept


async def test_q_leaves_at_once_when_nothing_goes_on() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("q")
        await pilot.pause()
        assert app._exit


async def test_undo_and_read_again() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("u")
        await settled(pilot)
        assert isinstance(scripted(app).heard[-1], asks.Undo)
        assert "noted" in shown(app, "said")
        app.action_reload()
        await settled(pilot)
        assert app.desk.opened is not None


async def test_colours_by_key() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        before = app.theme
        await pilot.press("ctrl+l")
        assert {before, app.theme} == {"propsched-light", "propsched-dark"}
        await pilot.press("ctrl+l")
        assert app.theme == before


@pytest.mark.parametrize("page", PAGES)
async def test_help_of_every_page_tells_its_keys(page: PageName) -> None:
    app = make_app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.page = page
        await settled(pilot)
        app.action_help()
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        text = str(app.screen.query_one(Static).content)
        assert text.startswith(PAGES[page].TITLE)
        assert "Keys on every page" in text
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, HelpScreen)


async def test_the_question_mark_opens_help() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)


async def test_the_palette_finds_a_page() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        await pilot.press("ctrl+p")
        await pilot.pause()
        app.screen.query_one(Input).value = "cold"
        await pilot.pause(0.3)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert app.page == "cold"


async def test_no_colour_is_honoured(monkeypatch: pytest.MonkeyPatch) -> None:
    """https://no-color.org: set and not empty, there is no colour in the output."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        strips = app.screen._compositor.render_strips()
        for strip in strips:
            for _, style, _ in strip.apply_filter(app._filters[-1], app.screen.background_colors[1]):  # fmt: skip  # noqa: E501
                assert style is None or style.color is None or style.color.is_default
                assert (
                    style is None or style.bgcolor is None or style.bgcolor.is_default
                )


async def test_bad_files_open_the_problems_and_mended_ones_the_page_before(
    tmp_path: Path,
) -> None:
    write_garden(tmp_path)
    season = (tmp_path / "season.toml").read_text()
    app = PropschedApp(tmp_path, backend=Unsimulated(tmp_path, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("w")
        (tmp_path / "season.toml").write_text(season.replace("4.0", "-4.0"))
        await looked(app, pilot)
        assert app.page == "problems"
        assert app.desk.opened is not None, "what was read is still there"
        await pilot.press("enter")
        await settled(pilot)
        assert "▸" in shown(app, "problems-excerpt")
        assert "area_m2 = -4.0" in shown(app, "problems-excerpt")
        (tmp_path / "season.toml").write_text(season)
        await looked(app, pilot)
        assert app.desk.problems == ()
        assert app.page == "warmth"


async def test_a_plan_made_by_another_program_is_read(tmp_path: Path) -> None:
    write_garden(tmp_path)
    app = PropschedApp(tmp_path, backend=Unsimulated(tmp_path, TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "no plan yet" in shown(app, "head")
        write_plan(tmp_path, garden_plan())
        await looked(app, pilot)
        assert app.desk.jobs is not None
        assert "files changed since the plan" in shown(app, "head"), "of no known files"


async def test_what_is_being_typed_is_not_cut_off_by_a_fault() -> None:
    app = make_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        box = Input(id="typed")
        await app.open_page.mount(box)
        box.focus()
        await pilot.press("1", "2", "s", "w")
        scripted(app).desk = make_desk("faulty")
        app.action_reload()
        await settled(pilot)
        assert app.desk.problems == FAULTS
        assert (app.page, box.value) == ("season", "12sw"), "letters went into it"
        assert "x shows them" in shown(app, "head")


async def test_faults_from_the_start() -> None:
    app = make_app("faulty")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert app.page == "problems"
        faults = app.query_one("#problems-list", OptionList)
        assert faults.option_count == len(FAULTS)
        await pilot.press("down")
        await settled(pilot)
        assert app.desk.excerpt is not None
        assert app.desk.excerpt.path == FAULTS[1].path
        assert await pilot.click("#problems-list", offset=(4, 0))
        await settled(pilot)
        assert app.desk.excerpt.path == FAULTS[0].path
        scripted(app).desk = make_desk()
        app.action_reload()
        await settled(pilot)
        assert app.page == "season"


async def test_an_older_run_is_not_heard() -> None:
    app = make_app()
    async with app.run_test() as pilot:
        await settled(pilot)
        app.happen(Begun("Planning", 7))
        app.post_message(app.Happened(Tried(None), run=6))  # type: ignore[arg-type]
        await pilot.pause()
        assert app.desk.planning.busy


class Unsimulated(Backend):
    """Reads real files; what has to be simulated comes by script."""

    def temps(self):  # type: ignore[no-untyped-def]
        return ScriptedBackend().temps()

    def tonight(self):  # type: ignore[no-untyped-def]
        return ScriptedBackend().tonight()


async def looked(app: PropschedApp, pilot) -> None:  # type: ignore[no-untyped-def]
    """As the clock does once a second."""
    app._work.look()
    await settled(pilot)
    await settled(pilot)


async def test_accept_is_refused_once_files_have_changed(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = Backend(tmp_path, TODAY)
    opened = backend.read().opened
    tried = garden_replanned()
    plan = replace(tried.outcome.plan, inputs=dict(opened.files.digests))
    answer = replace(tried, before=None, outcome=replace(tried.outcome, plan=plan))
    backend.accept(answer)
    assert read_plan(tmp_path) == plan
    with pytest.raises(PropschedError, match="another plan"):
        backend.accept(answer)
    (tmp_path / "plan.json").unlink()
    batches = tmp_path / "batches.csv"
    batches.write_text(
        batches.read_text().replace("aubergine,,seed,8", "aubergine,,seed,9")
    )
    with pytest.raises(PropschedError, match=r"batches\.csv changed"):
        backend.accept(answer)
    assert not (tmp_path / "plan.json").exists()
    assert tmp_path != FOLDER
    assert read_garden().opened.folder == FOLDER


async def test_the_plan_is_older_only_by_what_is_not_as_planned(tmp_path: Path) -> None:
    write_garden(tmp_path)
    files = open_season(tmp_path, today=TODAY).files
    plan = garden_plan(inputs=dict(files.digests), noted=len(files.noted))
    write_plan(tmp_path, plan)
    app = PropschedApp(tmp_path, backend=Unsimulated(tmp_path, TODAY))
    async with app.run_test(size=(120, 24)) as pilot:
        await settled(pilot)
        good = "within 0.4 % of the best"
        assert good in shown(app, "head")
        sown = asks.NoteEvent("sown", ("lettuce-1", "30"), space="hotbed")
        app.post_message(sown)
        await settled(pilot)
        assert app.desk.opened is not None
        assert "lettuce-1" in app.desk.opened.states
        assert good in shown(app, "head")
        app.post_message(asks.NoteEvent("lost", ("vine", "9")))
        await settled(pilot)
        told = "1 noted otherwise than planned: p plans again"
        assert told in shown(app, "head")
        assert app.desk.jobs is not None
        assert any("vine: 9 lost" in note for note in app.desk.jobs.notes)
        await pilot.press("u")
        await settled(pilot)
        assert good in shown(app, "head")
