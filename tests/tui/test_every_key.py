"""Nothing that can be pressed or chosen goes untried."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.binding import Binding
from textual.command import CommandList
from textual.pilot import Pilot
from tui_desks import UnheatedBackend, settled
from tui_season import TODAY, garden_plan, write_garden

from propsched.files.write import write_plan
from propsched.tui.app import PAGES, PropschedApp
from propsched.tui.commands import Command, Finder

HERE = Path(__file__).parent
BY_PAGE = {
    "app": ("test_frame.py", "test_touch.py", "test_every_key.py", "test_away.py"),
    **{name: (f"test_{name}_page.py",) for name in PAGES},
    "season": ("test_season_page.py",),
    "year": ("test_year.py",),
    "problems": ("test_frame.py", "test_touch.py", "test_problems_view.py"),
}
"""Where the keys of each page are pressed, besides here."""


def bound(kind: type) -> Iterator[str]:
    """Keys of a page or the app that are ours."""
    for one in kind.__mro__:
        if one.__module__.startswith("propsched"):
            for binding in vars(one).get("BINDINGS", ()):
                key = binding.key if isinstance(binding, Binding) else binding[0]
                yield from key.split(",")


@pytest.mark.parametrize("name", ["app", *PAGES])
def test_every_key_is_pressed_in_a_test(name: str) -> None:
    """A key that is added has to be tried: each of these files presses keys."""
    kind = PropschedApp if name == "app" else PAGES[name]
    files = [HERE / file for file in (*BY_PAGE[name], "test_every_key.py")]
    if name == "app":
        files = list(HERE.glob("test_*.py"))
    text = "".join(f.read_text(encoding="utf-8") for f in files if f.exists())
    pressed = set(re.findall(r'"([a-z0-9_+.=\-]+)"', text))
    assert set(bound(kind)) <= pressed, set(bound(kind)) - pressed


@pytest.fixture
def app(tmp_path: Path) -> PropschedApp:
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    return PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))


async def test_second_keys_do_what_the_first_do(app: PropschedApp) -> None:
    """What is drawn after the one is what is drawn after the other."""
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        for page, key, same, back in (
            ("s", "equals_sign", "plus", "minus"),
            ("w", "equals_sign", "plus", "minus"),
            ("j", "equals_sign", "plus", "minus"),
            ("c", "tab", "right", "left"),
            ("t", "pageup", "left", "right"),
        ):
            await pilot.press(page, back)
            drawn = []
            for one in (key, same):
                before = _drawn(app)
                await pilot.press(one)
                await pilot.pause()
                drawn.append(_drawn(app))
                assert drawn[-1] != before, (page, one)
                await pilot.press(*([back] * (7 if one == "pageup" else 1)))
                await pilot.pause()
            if key != "pageup":  # a week at a time
                assert drawn[0] == drawn[1], (page, key)


async def test_a_full_stop_leads_back_to_today(app: PropschedApp) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("w")
        await pilot.pause()
        today = _drawn(app)
        await pilot.press("right", "right")
        await pilot.pause()
        assert _drawn(app) != today
        await pilot.press("full_stop")
        await pilot.pause()
        assert _drawn(app) == today


def _drawn(app: PropschedApp) -> str:
    """The page as it is on the screen."""
    lines = app.screen._compositor.render_strips()
    return "\n".join("".join(s.text for s in strip) for strip in lines)


@pytest.mark.slow
async def test_every_entry_of_the_palette_is_done_by_a_click(
    app: PropschedApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    run = app.run_action

    async def recorded(action: str, *rest: object, **more: object) -> bool:
        done.append(action)
        if action in ("quit", "plan", "plan_afresh"):
            return True
        return await run(action, *rest, **more)  # type: ignore[arg-type]

    async with app.run_test(size=(100, 60)) as pilot:  # all of it at once
        await settled(pilot)
        monkeypatch.setattr(app, "run_action", recorded)
        for one in Finder.LISTED:
            done.clear()
            await _chosen(app, pilot, one)
            assert one.action in done, (one.name, done)
            if one.action.startswith("go("):
                assert app.page == one.action[4:-2]
            if len(app.screen_stack) > 1:
                await pilot.press("escape")


async def _chosen(app: PropschedApp, pilot: Pilot[None], one: Command) -> None:
    """Clicked where it is listed: each entry has a line of name and one of help."""
    await pilot.press("ctrl+p")
    await pilot.pause()
    for _ in range(100):
        await pilot.pause(0.05)
        listed = app.screen.query_one(CommandList)
        names = [
            str(listed.get_option_at_index(n).prompt).splitlines()[0].strip()
            for n in range(listed.option_count)
        ]
        if one.name in names:
            break
    top = listed.content_region.y - listed.region.y
    await pilot.click(CommandList, offset=(4, top + 2 * names.index(one.name)))
    await pilot.pause(0.1)
