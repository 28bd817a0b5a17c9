"""Buttons drawn in a page: with a frame, so that they show without colours too."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from rich.cells import cell_len

from propsched.tui.views.pieces import Line, Piece, Spot

BIG = 3
"""Rows of a button for fingers."""
LEAST = 4
"""Columns in it: five such buttons beside each other fit a phone."""


def buttons_of(
    buttons: Sequence[tuple[str, str]], *, big: bool
) -> tuple[list[Line], list[Spot]]:
    """
    Buttons beside each other, and where they are from the first of their lines on.

    Parameters
    ----------
    buttons : sequence
        Text and action of each.
    big : bool
        Whether they are for fingers, three rows high.
    """
    rows: list[list[Piece]] = [[] for _ in range(BIG if big else 1)]
    spots: list[Spot] = []
    x = 0
    for text, action in buttons:
        texts = _framed(text) if big else (f"[{text}]",)
        width = cell_len(texts[0])
        for row, own in enumerate(texts):
            rows[row] += [*([Piece(" ")] if x else []), Piece(own, "accent")]
            spots.append(Spot(row, x, x + width - 1, action))
        x += width + 1
    return [tuple(row) for row in rows], spots


def _framed(text: str) -> tuple[str, ...]:
    wide = max(cell_len(text), LEAST)
    edge = "─" * (wide + 2)
    return f"┌{edge}┐", f"│ {text:^{wide}} │", f"└{edge}┘"


def moved_spots(spots: Iterable[Spot], rows: int, columns: int) -> list[Spot]:
    """The same further down and to the right."""
    return [
        replace(
            one,
            row=one.row + rows,
            first=one.first + columns,
            last=one.last + columns,
        )
        for one in spots
    ]
