"""Comma-separated text to rows of cells with their lines, as spreadsheets write it."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from propsched.files.source import Faults, Source, did_you_mean


@dataclass(frozen=True, slots=True)
class Columns:
    """What the header of a table must and may name."""

    needed: tuple[str, ...]
    optional: tuple[str, ...] = ()
    exact: bool = False
    """
    Whether every row needs exactly the header's number of cells.

    True for tables of numbers: there a decimal comma in a comma table would
    otherwise shift the row unseen.
    """

    @property
    def names(self) -> tuple[str, ...]:
        return self.needed + self.optional


@dataclass(frozen=True, slots=True)
class Table:
    """Cells by column, stripped; a column that is not there is blank."""

    path: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    """First line of each row."""
    decimal_comma: bool
    complete: bool
    """Whether no row had to be left out."""

    def column(self, name: str) -> list[str]:
        if name not in self.columns:
            return [""] * len(self.rows)
        at = self.columns.index(name)
        return [row[at] for row in self.rows]

    def records(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Yield each row's line and its cells that are not blank."""
        for line, row in zip(self.lines, self.rows, strict=True):
            cells = zip(self.columns, row, strict=True)
            yield line, {name: cell for name, cell in cells if cell}


@dataclass(frozen=True, slots=True)
class Header:
    """The layout of a table."""

    cells: tuple[str, ...]
    delimiter: str
    line: int


def read_table(source: Source, columns: Columns, faults: Faults) -> Table | None:
    """Return the rows; None where the header cannot be used, with the faults."""
    header = find_header(source.text, columns)
    if header is None:
        what = "has no header"
        right = f"the first line must name {', '.join(columns.needed)}"
        faults.add(source.path, _first_line(source.text), what, right)
        return None
    if not _header_is_right(source.path, header, columns, faults):
        return None
    used = [at for at, name in enumerate(header.cells) if name]
    rows: list[tuple[str, ...]] = []
    lines: list[int] = []
    width = len(header.cells)
    before = len(faults.found)
    all_named = len(used) == width
    for line, cells in _records(source, header, faults):
        if not any(cells):
            continue
        if all_named and len(cells) == width:  # as nearly every row of a long table
            rows.append(tuple(cells))
            lines.append(line)
            continue
        fault = _wrong_width(cells, header, columns)
        if fault:
            faults.add(source.path, line, *fault)
            continue
        full = cells + [""] * (width - len(cells))
        rows.append(tuple(full[at] for at in used))
        lines.append(line)
    return Table(
        source.path,
        tuple(header.cells[at] for at in used),
        tuple(rows),
        tuple(lines),
        decimal_comma=header.delimiter != ",",
        complete=len(faults.found) == before,
    )


def find_header(text: str, columns: Columns) -> Header | None:
    """
    Return the header, with the delimiter under which most of it is known.

    Lines before it may be blank, start with ``#``, or be the ``sep=;`` that one
    kind of spreadsheet writes.
    """
    for line, content in enumerate(io.StringIO(text), start=1):
        typed = content.strip()
        bare = typed.strip(',;\t "')
        if not bare or bare.startswith("#") or bare.casefold().startswith("sep="):
            continue
        best: tuple[int, Header] | None = None
        for delimiter in ",;\t":
            cells = tuple(
                _clean(cell).casefold().replace(" ", "_").replace("-", "_")
                for cell in next(csv.reader([content], delimiter=delimiter))
            )
            known = len({cell for cell in cells if cell in columns.names})
            if best is None or known > best[0]:
                best = known, Header(cells, delimiter, line)
        return best[1] if best and best[0] else None
    return None


def _records(
    source: Source, header: Header, faults: Faults
) -> Iterator[tuple[int, list[str]]]:
    """Yield the line and cells of every record after the header, no remarks."""
    body = _Body(source, header)
    reader = csv.reader(
        body, delimiter=header.delimiter, strict=True, skipinitialspace=True
    )
    line = header.line + 1
    try:
        for cells in reader:
            yield line, [cell.strip() for cell in cells]
            body.begins = True
            line = header.line + reader.line_num + 1
    except csv.Error as error:
        right = 'a quoted cell ends in ", and a " inside it is written ""'
        faults.add(source.path, line, f"cannot be parted into cells ({error})", right)


def is_open(source: Source, header: Header) -> bool:
    """Whether the text ends inside a quoted cell."""
    faults = Faults()
    for _ in _records(source, header, faults):
        pass
    return any("unexpected end of data" in fault.what for fault in faults.found)


class _Body:
    """The lines after the header, those that are remarks left blank."""

    def __init__(self, source: Source, header: Header) -> None:
        plain = source.text.replace("\xa0", " ").replace("\ufeff", "")
        self._lines = islice(io.StringIO(plain), header.line, None)
        self.begins = True
        """Whether the next line begins a record; inside one # is text."""

    def __iter__(self) -> Iterator[str]:
        for line in self._lines:
            remark = self.begins and line.startswith("#")
            self.begins = False
            yield "\n" if remark else line


def _header_is_right(
    path: str, header: Header, columns: Columns, faults: Faults
) -> bool:
    right = True
    seen: set[str] = set()
    missing = [name for name in columns.needed if name not in header.cells]
    for name in header.cells:
        if name and name not in columns.names:
            hint = did_you_mean(name, columns.names)
            known = f"columns are {', '.join(columns.names)}"
            faults.add(path, header.line, f'unknown column "{name}"', hint or known)
            right = False
        elif name and name in seen:
            faults.add(path, header.line, f'column "{name}" is there twice', "keep one")
            right = False
        seen.add(name)
    for name in missing:
        what = f'column "{name}" is missing'
        faults.add(path, header.line, what, f"needed: {', '.join(columns.needed)}")
        right = False
    return right


def _wrong_width(
    cells: list[str], header: Header, columns: Columns
) -> tuple[str, str] | None:
    width = len(header.cells)
    right = f"must be as many as in the header, {width}"
    if len(cells) < width and columns.exact:
        return f"has {len(cells)} cells", right + "; leave unknown ones blank"
    if len(cells) <= width or not (columns.exact or any(cells[width:])):
        heads = zip(cells, header.cells, strict=False)
        stray = [cell for cell, name in heads if cell and not name]
        if stray:
            return f'"{stray[0]}" stands under no column', "name the column or clear it"
        return None
    if header.delimiter == ",":
        right += "; a decimal comma or a comma in a note needs quotes"
    return f"has {len(cells)} cells", right


def _clean(cell: str) -> str:
    return cell.replace("\xa0", " ").replace("\ufeff", "").strip()


def _first_line(text: str) -> int:
    lines = enumerate(io.StringIO(text), start=1)
    return next((n for n, content in lines if content.strip()), 1)
