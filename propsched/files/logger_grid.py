"""A logger's file into cells under named columns, whatever its layout."""

import csv
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError
from propsched.files.source import LONGEST_LINE, long_line
from propsched.files.stamps import Kind, kind_of

LARGEST_BYTES = 100_000_000
SAMPLE = 400
"""Rows looked at to tell what a column holds."""
MOSTLY = 0.6
"""So much of a column's sample has to be of its kind."""
NUMBER = re.compile(
    r"([+-]?\d{1,4}(?:[.,]\d*)?|[+-]?[.,]\d+)\s*(?:°|º|deg\.?)?\s*([CcFf]?)", re.ASCII
)
"""A number as a logger writes it, perhaps with its unit."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The body of the file in cells, under the names of its columns."""

    path: str
    names: tuple[str, ...]
    header_line: int
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    skipped: tuple[tuple[int, str], ...]

    def column(self, at: int) -> list[str]:
        return [row[at] for row in self.rows]

    def sample(self, at: int) -> list[str]:
        step = max(1, len(self.rows) // SAMPLE)
        return [row[at] for row in self.rows[::step] if row[at]]

    def fault(self, what: str, right: str) -> InvalidInputError:
        return InvalidInputError(
            [InputProblem(self.path, self.header_line, what, right)]
        )

    def named(self, numbers: Iterable[int]) -> str:
        return ", ".join(f'"{self.names[n]}"' for n in numbers)


def read_grid(path: Path) -> Grid:
    """
    Part a file by the delimiter that yields most rows with time and number.

    Raises
    ------
    InvalidInputError
        When there is none.
    """
    lines = read_text(path).split("\n")
    step = max(1, len(lines) // SAMPLE)
    some = [*lines[:SAMPLE], *lines[SAMPLE::step]]
    counts = {mark: _data_rows(some, mark) for mark in ";\t,|"}
    mark = max(counts, key=lambda m: counts[m])
    if not counts[mark]:
        right = "export the logger's data as CSV, a row for each reading"
        raise _fault(path, 0, "has no rows with a time and a temperature", right)
    records = _records(path, lines, mark)
    first = next(at for at, (_, cells) in enumerate(records) if _is_data(cells))
    names, header_line = _header(records, first)
    width = len(names)
    rows, at, skipped = [], [], []
    for line, row in records[first:]:
        if not any(row):
            continue
        if any(row[width:]):
            skipped.append((line, f"has {len(row)} cells, the header {width}"))
            continue
        rows.append((*row, *[""] * (width - len(row)))[:width])
        at.append(line)
    if len(skipped) > len(rows):
        right = "a decimal comma in a table of commas needs quotes or semicolons"
        raise _fault(path, *skipped[0], right)
    return Grid(str(path), names, header_line, tuple(rows), tuple(at), tuple(skipped))


def _data_rows(lines: Sequence[str], mark: str) -> int:
    try:
        return sum(_is_data(cells) for cells in csv.reader(lines, delimiter=mark))
    except csv.Error:
        return 0


def _fault(path: Path, line: int, what: str, right: str = "") -> InvalidInputError:
    return InvalidInputError([InputProblem(str(path), line, what, right)])


def read_text(path: Path) -> str:
    """Loggers write UTF-8, UTF-16 or the code page of an old machine."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            what = f"is larger than {LARGEST_BYTES // 1_000_000} MB"
            raise _fault(path, 0, what, "import it in parts")
        raw = path.read_bytes()
    except OSError as error:
        raise _fault(path, 0, f"cannot be read: {error.strerror}") from None
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    encodings = ("utf-16",) if wide else ("utf-8-sig", "cp1252", "latin-1")
    for encoding in encodings if wide or b"\0" not in raw else ():
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        if long := long_line(text):
            what = f"is longer than {LONGEST_LINE:,} characters"
            raise _fault(path, long, what, "must be a text file with a line each row")
        return text.replace("\xa0", " ").replace("−", "-")
    raise _fault(path, 0, "is no text", "export the logger's data as CSV")


def _records(path: Path, lines: list[str], mark: str) -> list[tuple[int, list[str]]]:
    """Line and stripped cells of every record."""
    reader = csv.reader(
        [f"{line}\n" for line in lines], delimiter=mark, skipinitialspace=True
    )
    records: list[tuple[int, list[str]]] = []
    before = 0
    try:
        for cells in reader:
            records.append((before + 1, [cell.strip() for cell in cells]))
            before = reader.line_num
    except csv.Error as error:
        what = f"cannot be parted into cells ({error})"
        raise _fault(path, before + 1, what) from None
    return records


def _header(
    records: Sequence[tuple[int, list[str]]], first: int
) -> tuple[tuple[str, ...], int]:
    """Names and line of the header: the last line of words before the data."""
    width = len(records[first][1])
    units: list[str] = []
    for line, cells in reversed(records[:first]):
        heads = [" ".join(cell.split()).lstrip("#").strip() for cell in cells]
        while len(heads) > width and not heads[-1]:
            heads.pop()
        filled = sum(bool(head) for head in heads)
        if filled >= 2:
            units += [""] * (len(heads) - len(units))
            named = [f"{h} {u}".strip() for h, u in zip(heads, units, strict=False)]
            return tuple(
                name or f"column {at}" for at, name in enumerate(named, start=1)
            ), line
        if filled and len(heads) < 2:
            break  # a line of prose: there is no header
        if filled and not units:
            units = heads  # of one column
    names = tuple(f"column {at}" for at in range(1, width + 1))
    return names, records[first][0]


def _is_data(cells: Sequence[str]) -> bool:
    bare = [cell.strip() for cell in cells]
    if not any(kind_of(cell) in ("moment", "date", "epoch") for cell in bare):
        return False
    return any(NUMBER.fullmatch(cell) for cell in bare)


def kind_of_column(cells: Sequence[str]) -> Kind | str:
    """The kind of most of a column's cells, ``number`` among them."""
    if not cells:
        return ""
    found = [kind_of(c) or ("number" if NUMBER.fullmatch(c) else "") for c in cells]
    best = max(set(found), key=found.count)
    return best if found.count(best) >= MOSTLY * len(found) else ""
