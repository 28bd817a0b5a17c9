"""Where the cells of a table stand in its text, so that one can be changed alone."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from propsched.files.table import Columns, Header, find_header

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\n|\r|\Z)")
_BLANK = " \t\v\f\xa0\ufeff"
"""What may stand round a cell without being part of it."""


@dataclass(frozen=True, slots=True)
class Span:
    """One cell: from where to where, quotes in it, _BLANK round it not."""

    first: int
    end: int
    text: str
    """What it says."""
    quoted: bool


@dataclass(frozen=True, slots=True)
class Record:
    """One row: its cells, and the whole of its line or lines with their ending."""

    cells: tuple[Span, ...]
    first: int
    stop: int
    """Where its line ending is."""
    end: int
    ending: str


@dataclass(frozen=True, slots=True)
class Layout:
    """A table by the places of its cells."""

    header: Header
    head: Record
    rows: tuple[Record, ...]

    def cell(self, row: Record, column: str) -> str:
        """What a row says in a column; blank where it has none."""
        if column not in self.header.cells:
            return ""
        at = self.header.cells.index(column)
        return row.cells[at].text if at < len(row.cells) else ""


def laid_out(text: str, columns: Columns) -> Layout | None:
    """Return the layout of a text with any line endings; None: no header."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    header = find_header(plain, columns)
    if header is None:
        return None
    at = 0
    for _ in range(header.line - 1):
        at = _line_end(text, at)
    head = _record(text, at, header.delimiter)
    return Layout(header, head, tuple(_records(text, head.end, header.delimiter)))


def _line_end(text: str, at: int) -> int:
    match = _LINE.match(text, at)
    return match.end() if match else len(text)


def _records(text: str, at: int, delimiter: str) -> Iterator[Record]:
    """The rows, without remarks and blank ones."""
    while at < len(text):
        if text[at:].lstrip("\ufeff")[:1] == "#":
            at = _line_end(text, at)
            continue
        record = _record(text, at, delimiter)
        if any(cell.text for cell in record.cells):
            yield record
        at = record.end


def _record(text: str, first: int, delimiter: str) -> Record:
    cells: list[Span] = []
    at = first
    while True:
        cell, at = _cell(text, at, delimiter)
        cells.append(cell)
        if at < len(text) and text[at] == delimiter:
            at += 1
            continue
        end = _line_end(text, at)
        return Record(tuple(cells), first, at, end, text[at:end])


def _cell(text: str, first: int, delimiter: str) -> tuple[Span, int]:
    """A cell, and the place of what parts it from the next."""
    at = first
    while at < len(text) and text[at] in " \xa0\ufeff":  # as the reader does
        at += 1
    quoted = text[at : at + 1] == '"'
    if quoted:
        at = _closing(text, at + 1)
    while at < len(text) and text[at] not in (delimiter, "\r", "\n"):
        at += 1
    typed = text[first:at]
    bare = typed.strip(_BLANK)
    begins = first + (len(typed) - len(typed.lstrip(_BLANK)) if bare else 0)
    said = _unquoted(bare) if quoted else bare
    return Span(begins, begins + len(bare), _plain(said), quoted), at


def _unquoted(typed: str) -> str:
    """What a quoted cell says; what follows its closing quote belongs to it."""
    end = _closing(typed, 1)
    inside = (
        typed[1 : end - 1] if typed[end - 1 : end] == '"' and end > 1 else typed[1:]
    )
    return inside.replace('""', '"') + typed[end:]


def _plain(said: str) -> str:
    return said.replace("\xa0", " ").replace("\ufeff", "").strip()


def _closing(text: str, at: int) -> int:
    """Place after the quote that ends a cell; two in a row stand for one inside."""
    while at < len(text):
        if text[at] == '"':
            if text[at + 1 : at + 2] != '"':
                return at + 1
            at += 1
        at += 1
    return at
