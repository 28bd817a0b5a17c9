"""Lines of which a drawn page is made: text with the name of a style, and no more."""

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from rich.cells import cell_len, set_cell_size

Look = Literal["", "bold", "dim", "accent", "warning", "error", "success", "chosen"]
"""How a piece looks; what it means is in its text as well."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some characters of a line in one look."""

    text: str
    look: Look = ""


Line: TypeAlias = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A stretch of a line that does something when it is pressed."""

    row: int
    first: int
    last: int
    action: str
    """Name of the page's action."""

    def holds(self, x: int, y: int) -> bool:
        return y == self.row and self.first <= x <= self.last


def line(text: str, look: Look = "") -> Line:
    return (Piece(text, look),)


def text_of(pieces: Iterable[Piece]) -> str:
    """The line without its looks."""
    return "".join(piece.text for piece in pieces).rstrip()


def fitted(text: str, width: int) -> str:
    """Exactly so many columns; what is too long ends in a sign that it goes on."""
    if cell_len(text) > width:
        return set_cell_size(text, max(0, width - 1)) + "…" * (width > 0)
    return set_cell_size(text, width)


def wrapped(text: str, width: int, *, hanging: int = 0) -> list[str]:
    """Lines of a paragraph, from the second on set in."""
    return textwrap.wrap(
        text,
        max(width, 12),
        subsequent_indent=" " * hanging,
        break_on_hyphens=False,  # cold-frame is one name
    )


def beside(left: list[Line], right: list[Line], width: int) -> list[Line]:
    """Two columns of lines, the left one so wide."""
    found = []
    for row in range(max(len(left), len(right))):
        own = left[row] if row < len(left) else ()
        blank = Piece(" " * (width - cell_len("".join(p.text for p in own))))
        found.append((*own, blank, *(right[row] if row < len(right) else ())))
    return found
