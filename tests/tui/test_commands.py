"""The one table of what can be asked for, and what is told of it."""

import re
from pathlib import Path

from propsched.tui.app import PAGES, PropschedApp
from propsched.tui.commands import COMMANDS, Finder, bindings

README = (Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8")


def test_the_readme_tells_every_command_with_its_key() -> None:
    table = re.search(r"<!-- keys -->(.*)<!-- /keys -->", README, re.DOTALL)
    assert table
    rows = [
        tuple(cell.strip().strip("`") for cell in row.split("|")[1:4])
        for row in table.group(1).strip().splitlines()[2:]
    ]
    assert rows == [(one.key_told, one.name, one.help) for one in COMMANDS]


def test_no_key_stands_for_two_things() -> None:
    keys = [one.key for one in COMMANDS if one.key]
    assert len(keys) == len(set(keys))


def test_every_page_has_its_command() -> None:
    by_action = {one.action: one for one in COMMANDS}
    for name, page in PAGES.items():
        one = by_action[f"go('{name}')"]
        assert (one.key, one.name) == (page.KEY, page.TITLE)


def test_every_command_is_done_by_the_app() -> None:
    for one in COMMANDS:
        name = one.action.partition("(")[0]
        assert callable(getattr(PropschedApp, f"action_{name}"))
    bound = {binding.action for binding in bindings()}  # type: ignore[union-attr]
    assert bound == {c.action for c in COMMANDS if c.key} - {"command_palette"}
    assert len(Finder.LISTED) == len(COMMANDS) - 1
