"""What the palette offers, chosen by the mouse."""

from collections.abc import Callable

import pytest
from textual.command import CommandList
from textual.pilot import Pilot
from tui_desks import FOLDER, ScriptedBackend, settled

from propsched.tui import asks
from propsched.tui.app import PropschedApp
from propsched.tui.commands import Command, Finder
from propsched.tui.desk import Read
from propsched.tui.screens import HelpScreen

EFFECTS: dict[str, Callable[[PropschedApp, ScriptedBackend], object]] = {
    "plan": lambda app, backend: backend.heard[0] == "plan",
    "plan_afresh": lambda app, backend: backend.heard[0] == "afresh",
    "stop_or_back": lambda app, backend: app.page == "season",
    "undo": lambda app, backend: backend.heard == [asks.Undo(changes=True)],
    "reload": lambda app, backend: backend.read_times == 2,
    "turn": lambda app, backend: app.theme == "propsched-light",
    "help": lambda app, backend: isinstance(app.screen, HelpScreen),
    "quit": lambda app, backend: app._exit,
}
"""Of each entry that opens no page."""


class Counting(ScriptedBackend):
    read_times = 0

    def read(self) -> Read:
        self.read_times += 1
        return super().read()


@pytest.mark.slow
async def test_every_entry_of_the_palette_is_done_by_a_click() -> None:
    entries = sorted(Finder.LISTED, key=lambda one: one.action == "quit")
    others = {one.action for one in entries if not one.action.startswith("go(")}
    assert others == {*EFFECTS}
    backend = Counting()
    app = PropschedApp(FOLDER, backend=backend, theme="propsched-dark")
    async with app.run_test(size=(100, 60)) as pilot:  # all of it at once
        await settled(pilot)
        for one in entries:
            backend.heard.clear()
            backend.read_times = 1
            app._before = []
            app.page = "problems" if one.action == "go('season')" else "season"
            if one.action == "stop_or_back":
                app.page = "year"
            await pilot.pause()
            await _chosen(app, pilot, one)
            if one.action.startswith("go("):
                assert app.page == one.action[4:-2]
            else:
                assert EFFECTS[one.action](app, backend), (one.name, backend.heard)
            while len(app.screen_stack) > 1 and not app._exit:
                app.pop_screen()
                await pilot.pause()


async def _chosen(app: PropschedApp, pilot: Pilot[None], one: Command) -> None:
    """Clicked where it is listed: each entry has a line of name and one of help."""
    await pilot.press("ctrl+p")
    await pilot.pause()
    for _ in range(100):
        await pilot.pause(0.02)
        listed = app.screen.query_one(CommandList)
        names = [
            str(listed.get_option_at_index(n).prompt).splitlines()[0].strip()
            for n in range(listed.option_count)
        ]
        if one.name in names:
            break
    top = listed.content_region.y - listed.region.y
    await pilot.click(CommandList, offset=(4, top + 2 * names.index(one.name)))
    await settled(pilot)
    await settled(pilot)
