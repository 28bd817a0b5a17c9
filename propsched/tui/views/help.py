"""What the help screen says of a page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

KEYS = 11
"""Columns of the keys."""
SIGNS = {
    "up": "↑", "down": "↓", "left": "←", "right": "→", "plus": "+", "minus": "−",
    "slash": "/", "question_mark": "?", "escape": "esc", "comma": ",",
    "full_stop": ".", "pageup": "page up", "pagedown": "page down",
    "left_square_bracket": "[", "right_square_bracket": "]", "shift+tab": "⇧tab",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys that do the same, and what they do."""

    keys: tuple[str, ...]
    what: str

    @property
    def told(self) -> str:
        return " ".join(SIGNS.get(key, key) for key in self.keys)

    @property
    def line(self) -> str:
        return f"  {self.told:<{KEYS}} {self.what}"


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpView:
    title: str
    about: str
    page: tuple[Keys, ...]
    everywhere: tuple[Keys, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        own = [f"Keys of the page {self.title}", *(k.line for k in self.page), ""]
        return (
            self.title,
            *([self.about] if self.about else []),
            "",
            *(own if self.page else []),
            "Keys on every page",
            *(k.line for k in self.everywhere),
            "",
            "All of it works by mouse or finger too: tabs, rows, the keys at the "
            "bottom.",
        )


def help_view(
    title: str,
    about: str,
    page: Iterable[tuple[str, str]],
    everywhere: Sequence[tuple[str, str]],
) -> HelpView:
    """
    Help of one page.

    Parameters
    ----------
    page, everywhere : (key, what it does) pairs
        Keys that do the same are told together.
    """
    return HelpView(
        title=title,
        about=about,
        page=_together(page),
        everywhere=_together(everywhere),
    )


def _together(pairs: Iterable[tuple[str, str]]) -> tuple[Keys, ...]:
    found: dict[str, list[str]] = {}
    for key, what in pairs:
        keys = found.setdefault(what, [])
        if key not in keys:
            keys.append(key)
    return tuple(Keys(tuple(keys), what) for what, keys in found.items())
