"""
Random keys and clicks on every page, planning going on, files changed under it.

PROPSCHED_HAMMER sets how many of them, and has it done on every page; by default it
is few of them on two.
"""

import asyncio
import os
import random
from datetime import timedelta
from pathlib import Path

import pytest
from textual import events
from textual.keys import Keys, _character_to_key
from tui_desks import UnheatedBackend, settled
from tui_season import TODAY, garden_plan, write_garden

from propsched.files.write import write_plan
from propsched.service.opened import open_season
from propsched.tui import asks
from propsched.tui.app import PAGES, PropschedApp

HITS = int(os.environ.get("PROPSCHED_HAMMER", "40"))
WHICH = tuple(PAGES) if "PROPSCHED_HAMMER" in os.environ else ("jobs", "reading")
KEYS = (
    *"swbjrctxpuadhiklmno0123456789.+-/[]?# ",
    "enter", "escape", "tab", "up", "down", "left", "right", "pageup", "pagedown",
    "home", "end", "backspace", "delete",
)  # fmt: skip
"""All that may be pressed but leaving."""
EVERY = 10
"""Hits from one change of the files to the next."""


def _key(name: str) -> events.Key:
    if len(name) > 1:
        return events.Key(name, None)
    return events.Key(_character_to_key(name), name)


async def _click(app: PropschedApp, rng: random.Random) -> None:
    """Anywhere but on the bottom line, where leaving is."""
    x, y = rng.randrange(app.size.width), rng.randrange(app.size.height - 1)
    for kind in (events.MouseDown, events.MouseUp):
        app.post_message(
            kind(None, x, y, 0, 0, 1, False, False, False, screen_x=x, screen_y=y)
        )


def _another_program(folder: Path, hit: int) -> str:
    """Adds a row to the daybook, as somebody else may."""
    row = f"{TODAY.isoformat()} 08:{hit % 60:02d},tomato,moved,propagator,,row {hit}\n"
    with (folder / "daybook.csv").open("a", encoding="utf-8") as file:
        file.write(row)
    return row


@pytest.mark.slow
@pytest.mark.parametrize("page", WHICH)
async def test_nothing_breaks_and_no_row_is_lost(page: str, tmp_path: Path) -> None:
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    rng = random.Random(page)
    app = PropschedApp(tmp_path, backend=UnheatedBackend(tmp_path, TODAY))
    book = tmp_path / "daybook.csv"
    before = book.read_text(encoding="utf-8").rstrip("\n")
    added = []
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.page = page
        app.action_plan()
        for hit in range(HITS):
            if rng.random() < 0.2:
                await _click(app, rng)
            else:
                app.post_message(_key(rng.choice(KEYS)))
            if hit % EVERY == EVERY - 1:
                added.append(_another_program(tmp_path, hit))
            await asyncio.sleep(0.01)
        app.post_message(asks.StopPlanning())
        await settled(pilot)
        rows = len(book.read_text(encoding="utf-8").splitlines())
        app.post_message(asks.NoteEvent("lost", ("vine", "1")))
        await settled(pilot)
        await settled(pilot)
        assert len(book.read_text(encoding="utf-8").splitlines()) == rows + 1
    text = book.read_text(encoding="utf-8")
    assert text.startswith(before)
    lines = text.splitlines()
    assert [row for row in added if lines.count(row.strip()) != 1] == []
    events_now = open_season(tmp_path, today=TODAY + timedelta(days=60)).files.noted
    assert len(events_now) >= len(added)


def test_keys_have_names_that_textual_knows() -> None:
    known = {key.value for key in Keys}
    assert {key for key in KEYS if len(key) > 1} <= known
