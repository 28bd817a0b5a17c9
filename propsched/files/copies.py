"""Other copies of a season's files, as programs that keep folders alike leave them."""

import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from propsched.files.mend import Mended, mended
from propsched.files.pieces import Piece
from propsched.files.sheets import SHEETS, Sheet
from propsched.files.source import Faults, Source
from propsched.files.table import Header, Table, find_header, read_table

PLAN, PREVIOUS, SEASON = "plan.json", "plan.previous.json", "season.toml"
KNOWN = (*SHEETS, PLAN, PREVIOUS, SEASON)
TELLING = ("conflict", "copy")
"""Words in the name of a copy that such a program has made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A file beside one of the season's that bears its name and more."""

    path: Path
    of: str
    """Name of the season's file."""
    rows: tuple[Piece, ...] = ()
    """Rows that the season's file has not, in its layout."""
    ours: bool = True
    """Whether it surely is a copy, so that it may be taken over and moved away."""


def named_like(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield files such as ``daybook (2).csv`` with the name of the season's file."""
    paths = sorted(path for path in folder.iterdir() if path.is_file())
    for path in paths:
        if path.name in KNOWN or path.name.startswith("."):
            continue
        for name in KNOWN:
            stem, _, ending = name.rpartition(".")
            # the longer name first: plan.previous (2).json is no copy of plan.json
            longer = name == PLAN and path.name.startswith("plan.previous")
            same = path.suffix == f".{ending}" and path.name.startswith(stem)
            if same and not longer and (folder / name).is_file():
                yield path, name


def copy_of(path: Path, name: str, raw: bytes) -> Copy | None:
    """
    Look at what may be a copy of a table; None: it is another file.

    Parameters
    ----------
    raw : bytes
        Of the season's own file.
    """
    sheet = SHEETS[name]
    own = _read(raw, str(path.with_name(name)), sheet)
    other = _read(path.read_bytes(), str(path), sheet)
    if own is None or other is None:
        return None
    header, table = own
    its_header, its_table = other
    if its_header.delimiter != header.delimiter or its_table is None or table is None:
        return Copy(path=path, of=name, ours=False)
    had = Counter(frozenset(row.items()) for _, row in table.records())
    shared = 0
    rows: list[Piece] = []
    for line, row in its_table.records():
        key = frozenset(row.items())
        if had[key] > 0:
            had[key] -= 1
            shared += 1
        else:
            rows.append(_piece(str(path), line, row, header))
    told = any(word in path.name.casefold() for word in TELLING)
    ours = told or shared > 0 or not table.rows or not rows
    return Copy(path=path, of=name, rows=tuple(rows), ours=ours)


def _read(raw: bytes, path: str, sheet: Sheet) -> tuple[Header, Table | None] | None:
    """Header and rows of a file as it is once mended; None: no such table."""
    whole: Mended | None = mended(raw, path, sheet)
    if whole is None:
        return None
    text = whole.content.decode("utf-8-sig")
    source = Source(path, text.replace("\r\n", "\n").replace("\r", "\n"), "")
    header = find_header(source.text, sheet.columns)
    if header is None or not set(sheet.columns.needed) <= set(header.cells):
        return None
    faults = Faults()
    table = read_table(source, sheet.columns, faults)
    return header, None if faults.found else table


def _piece(path: str, line: int, row: dict[str, str], header: Header) -> Piece:
    """A row in the layout of the season's file; a remark if it has no place there."""
    strange = [name for name in row if name not in header.cells]
    text = io.StringIO()
    writer = csv.writer(text, delimiter=header.delimiter, lineterminator="")
    if strange:
        writer.writerow(row.values())
        what = f"# kept (has a column {', '.join(strange)}): {text.getvalue()}"
        return Piece(path=path, line=line, text=what, ending="\n", side="theirs")
    writer.writerow([row.get(name, "") for name in header.cells])
    bare = " ".join(text.getvalue().splitlines())
    if bare.startswith("#"):
        bare = f'"{row[header.cells[0]]}"' + bare[len(row[header.cells[0]]) :]
    return Piece(path=path, line=line, text=bare, ending="\n", side="theirs")
