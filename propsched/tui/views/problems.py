"""The page of problems: what of the files is to be mended, and where."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from propsched.errors import InputProblem
from propsched.report.words import clean
from propsched.tui.desk import Desk, Excerpt

MOST = 200
"""Faults listed; who has more mends these first."""


@dataclass(frozen=True, slots=True)
class Row:
    """One fault."""

    place: str
    """``batches.csv, line 7``."""
    what: str
    right: str
    """What would be right; blank if that is not told."""

    @property
    def text(self) -> str:
        return f"{self.what} – {self.right}" if self.right else self.what


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemsView:
    head: str
    rows: tuple[Row, ...]
    lead: tuple[str, ...]
    """What to do about them, or what to know where there are none."""
    excerpt: tuple[str, ...]
    """Lines round the fault, with numbers; the faulty one marked with ▸."""

    @property
    def lines(self) -> tuple[str, ...]:
        rows = tuple(f"{row.place}: {row.text}" for row in self.rows)
        return (self.head, *rows, *self.lead, *self.excerpt)


def problems_view(desk: Desk, *, cursor: int = 0) -> ProblemsView:
    """What the page shows with the cursor on a fault."""
    problems = desk.problems[:MOST]
    rows = tuple(_row(desk.folder, one) for one in problems)
    excerpt: tuple[str, ...] = ()
    if desk.excerpt is not None and cursor < len(problems):
        excerpt = _lines_round(problems[cursor], desk.excerpt)
    return ProblemsView(
        head=_head(desk), rows=rows, lead=tuple(_lead(desk)), excerpt=excerpt
    )


def _head(desk: Desk) -> str:
    if not desk.problems:
        return "Reading the files" if desk.opened is None else "The files are in order"
    number = len(desk.problems)
    faults = "1 fault" if number == 1 else f"{number} faults"
    shown = f", the first {MOST} of them" if number > MOST else ""
    return f"{faults} in the files of {clean(str(desk.folder))}{shown}"


def _lead(desk: Desk) -> Sequence[str]:
    if desk.problems:
        rest = "" if desk.opened is None else "; until then you see what was read last"
        return (f"Mend them in your editor: they are read again when saved{rest}.",)
    if desk.opened is None:
        return ()
    notes = [f"To know: {clean(note)}" for note in desk.opened.files.notes]
    return (
        "Files are read again as soon as they change. Faults would be listed here.",
        *notes,
    )


def _row(folder: Path, one: InputProblem) -> Row:
    place = _name(folder, one.path)
    if one.line:
        place += f", line {one.line}"
    return Row(place, clean(one.what), clean(one.right))


def _name(folder: Path, path: str) -> str:
    """Of a file of the season its name alone."""
    inside = Path(path).is_relative_to(folder) and Path(path) != folder
    return clean(str(Path(path).relative_to(folder)) if inside else path)


def _lines_round(one: InputProblem, excerpt: Excerpt) -> tuple[str, ...]:
    if (one.path, one.line) != (excerpt.path, excerpt.line):
        return ()
    if not excerpt.rows:
        return ("There is no such file, or it is empty.",)
    digits = len(str(excerpt.rows[-1][0]))
    return tuple(
        f"{'▸' if number == one.line else ' '}{number:>{digits}}  {clean(text)}"
        for number, text in excerpt.rows
    )
