"""All that can be asked for by key or by name, in one table."""

from collections.abc import Coroutine
from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.command import DiscoveryHit, Hit, Hits, Provider

from propsched.tui.desk import PageName


@dataclass(frozen=True, slots=True)
class Command:
    """One thing that can be asked for on every page."""

    key: str
    """As Textual names it; blank: by name only."""
    name: str
    help: str
    action: str
    """Of the app."""
    shown: bool = False
    """In the line of keys at the bottom."""

    @property
    def key_told(self) -> str:
        """As it is printed."""
        return {"question_mark": "?", "escape": "esc"}.get(self.key, self.key)


def _go(page: PageName, key: str, name: str, help: str) -> Command:
    return Command(key, name, help, f"go('{page}')")


COMMANDS = (
    _go("season", "s", "Season", "which batches stand in which space, week by week"),
    _go("warmth", "w", "Warmth", "how warm a space is, was and will be"),
    _go("batches", "b", "Batches", "where each batch stands and what becomes of it"),
    _go("jobs", "j", "Jobs", "what to do next, ticked off as it is done"),
    _go("reading", "r", "Reading", "note what a thermometer shows"),
    _go("compare", "c", "Compare", "whether one space is warmer than another"),
    _go("cold", "t", "Cold snap", "try out what a cold spell would change"),
    _go("year", "y", "Looking back", "what was to be expected beside what happened"),
    _go("problems", "x", "Problems", "faults of the files, with file and line"),
    Command("p", "Plan", "plan again, near the plan in force", "plan", shown=True),
    Command("", "Plan afresh", "plan from nothing, forget the one in force",
            "plan_afresh"),
    Command("escape", "Stop or back", "stop planning and keep the best so far; else "
            "back to the page before", "stop_or_back"),
    Command("u", "Undo", "take back what was noted or changed last", "undo"),
    Command("", "Read again", "read all files anew (they are when they change)",
            "reload"),
    Command("ctrl+l", "Light or dark", "other colours", "turn"),
    Command("ctrl+p", "Find", "find any of these by name", "command_palette"),
    Command("question_mark", "Help", "what the keys of this page do", "help",
            shown=True),
    Command("q", "Quit", "leave; while planning you are asked about the plan", "quit",
            shown=True),
)  # fmt: skip


def bindings() -> list[BindingType]:
    """Of the app; the palette has its key from Textual."""
    return [
        Binding(one.key, one.action, one.name, show=one.shown, key_display=one.key_told)
        for one in COMMANDS
        if one.key and one.action != "command_palette"
    ]


class Finder(Provider):
    """The table in the command palette."""

    LISTED: ClassVar = tuple(c for c in COMMANDS if c.action != "command_palette")

    async def discover(self) -> Hits:
        for one in self.LISTED:
            yield DiscoveryHit(one.name, self._run(one), help=_help(one))

    async def search(self, query: str) -> Hits:
        matcher = self.matcher(query)
        for one in self.LISTED:
            score = max(matcher.match(one.name), matcher.match(one.help))
            if score > 0:
                shown = matcher.highlight(one.name)
                yield Hit(score, shown, self._run(one), help=_help(one))

    def _run(self, one: Command) -> "partial[Coroutine[Any, Any, bool]]":
        return partial(self.app.run_action, one.action)


def _help(one: Command) -> str:
    return f"{one.help} ({one.key_told})" if one.key else one.help
