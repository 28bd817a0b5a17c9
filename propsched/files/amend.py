"""
One cell of ``batches.csv`` or one row of ``pins.csv`` changed, all else left alone.

People keep these files by hand: every other byte stays, with its delimiter, quotes,
remarks, line endings and byte order mark.  What would make the files faulty is refused.
"""

import shutil
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from propsched.domain.batch import Pin
from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.files.batches import BATCH_COLUMNS, PIN_COLUMNS
from propsched.files.disk import only_writer, replace_file
from propsched.files.read import read_season
from propsched.files.source import Faults, read_source
from propsched.files.spans import Layout, Record, Span, laid_out
from propsched.files.table import Columns

BATCHES, PINS = "batches.csv", "pins.csv"
JUDGED = frozenset({"batches", "pins", "daybook", "crops"})
"""Files that a change of a batch or pin may put at fault, besides ``season.toml``."""
NEW_PINS = "batch,stage,space,start\n"
_MARK = "\ufeff"

Edit = tuple[int, int, str]
"""From where to where, and what stands there instead."""


def set_cell(folder: Path, batch: str, column: str, value: str) -> str:
    """
    Change one cell of ``batches.csv``.

    Parameters
    ----------
    batch : str
        Name of the row, as in its first column.
    column : str
        Added to the header where it is missing.
    value : str
        Blank clears the cell.

    Returns
    -------
    What the cell said before.

    Raises
    ------
    InvalidInputError
        With the fault that the change would make; then nothing is changed.
    PropschedError
        When there is no such row or column.
    """
    if column not in BATCH_COLUMNS.names or column == "batch":
        raise PropschedError(f'"{column}" is no column that can be changed')
    was: list[str] = []

    def change(layout: Layout) -> list[Edit]:
        row = next((r for r in layout.rows if layout.cell(r, "batch") == batch), None)
        if row is None:
            raise PropschedError(f'{BATCHES} has no row "{batch}"')
        was.append(layout.cell(row, column))
        return _filled(layout, row, {column: value})

    _rewrite(folder, BATCHES, BATCH_COLUMNS, change)
    return was[0]


def put_pin(folder: Path, pin: Pin) -> bool:
    """
    Add a row to ``pins.csv``, or change the one of that batch and stage.

    Returns
    -------
    Whether the stage was pinned before.

    Raises
    ------
    InvalidInputError
        With the fault that the change would make; then nothing is changed.
    """
    cells = {
        "batch": pin.batch,
        "stage": pin.stage,
        "space": pin.space,
        "start": "" if pin.start is None else pin.start.isoformat(),
    }
    replaced: list[bool] = []

    def change(layout: Layout) -> list[Edit]:
        rows = _pins_of(layout, pin.batch, pin.stage)
        replaced.append(bool(rows))
        if rows:
            told = {name: cells[name] for name in ("space", "start")}
            return _filled(layout, rows[0], told)
        return _added(layout, cells)

    _rewrite(folder, PINS, PIN_COLUMNS, change, new=NEW_PINS)
    return replaced[0]


def drop_pin(folder: Path, batch: str, stage: str) -> None:
    """
    Take the row of a batch and stage out of ``pins.csv``.

    Raises
    ------
    PropschedError
        When there is none.
    """

    def change(layout: Layout) -> list[Edit]:
        rows = _pins_of(layout, batch, stage)
        if not rows:
            raise PropschedError(f"{batch}: its stage {stage} is not pinned")
        return [(row.first, row.end, "") for row in rows]

    _rewrite(folder, PINS, PIN_COLUMNS, change, new=NEW_PINS)


def _pins_of(layout: Layout, batch: str, stage: str) -> list[Record]:
    return [
        row
        for row in layout.rows
        if layout.cell(row, "batch") == batch
        and "-".join(layout.cell(row, "stage").casefold().split()) == stage
    ]


def _filled(layout: Layout, row: Record, cells: dict[str, str]) -> list[Edit]:
    """The cells into a row; columns that the header lacks are added to it."""
    delimiter = layout.header.delimiter
    edits: list[Edit] = []
    heads = list(layout.header.cells)
    missing = [name for name, cell in cells.items() if cell and name not in heads]
    if missing:
        end = layout.head.stop
        edits.append((end, end, "".join(delimiter + name for name in missing)))
        heads += missing
    told = {heads.index(name): cell for name, cell in cells.items() if name in heads}
    more = ""
    for at in range(max(told, default=-1) + 1):
        if at < len(row.cells):
            if at in told:
                edits.append(_in_place(row.cells[at], told[at], delimiter, at))
        else:
            more += delimiter + _typed(told.get(at, ""), delimiter, at)
    if more.strip(delimiter):
        end = row.stop
        edits.append((end, end, more))
    return edits


def _in_place(span: Span, cell: str, delimiter: str, at: int) -> Edit:
    """A cell for another; blanks round it stay, and its quotes."""
    return span.first, span.end, _typed(cell, delimiter, at, quoted=span.quoted)


def _typed(cell: str, delimiter: str, at: int, *, quoted: bool = False) -> str:
    plain = " ".join(cell.replace("\0", "").split())
    needs = delimiter in plain or '"' in plain or (at == 0 and plain.startswith("#"))
    if quoted or needs:
        return '"' + plain.replace('"', '""') + '"'
    return plain


def _added(layout: Layout, cells: dict[str, str]) -> list[Edit]:
    """One more row after the last."""
    delimiter = layout.header.delimiter
    heads = list(layout.header.cells)
    missing = [name for name, cell in cells.items() if cell and name not in heads]
    edits: list[Edit] = []
    if missing:
        end = layout.head.stop
        edits.append((end, end, "".join(delimiter + name for name in missing)))
        heads += missing
    row = delimiter.join(
        _typed(cells.get(name, ""), delimiter, at) for at, name in enumerate(heads)
    )
    last = layout.rows[-1] if layout.rows else layout.head
    ending = layout.head.ending or "\n"
    text = row + ending if last.ending else ending + row + ending
    return [*edits, (last.end, last.end, text)]


def _rewrite(
    folder: Path,
    name: str,
    columns: Columns,
    change: Callable[[Layout], list[Edit]],
    *,
    new: str = "",
) -> None:
    """
    Change a file, unless that would make it faulty.

    Parameters
    ----------
    new : str
        What to begin with where there is no file; blank: it must be there.
    """
    path = folder / name
    with only_writer(folder, path):
        faults = Faults()
        source = read_source(path, faults, needed=not new)
        faults.raise_if_any()
        raw = path.read_bytes() if source else new.encode()
        mark = _MARK if raw.startswith(_MARK.encode()) else ""
        text = raw.decode("utf-8-sig")
        layout = laid_out(text, columns)
        if layout is None:
            problem = InputProblem(str(path), 1, "has no header", "mend the header")
            raise InvalidInputError([problem])
        content = (mark + _edited(text, change(layout))).encode()
        _raise_new_faults(folder, name, content)
        replace_file(path, content)


def _edited(text: str, edits: Sequence[Edit]) -> str:
    """All edits made, the last in the text first, so that places stay right."""
    order = sorted(enumerate(edits), key=lambda one: (one[1][0], one[0]), reverse=True)
    for _, (first, end, instead) in order:
        text = text[:first] + instead + text[end:]
    return text


def _raise_new_faults(folder: Path, name: str, content: bytes) -> None:
    """Faults that were there before, and stay, do not matter."""
    before = {replace(one, line=0) for one in _faults(folder, folder)}
    with TemporaryDirectory(prefix="propsched-") as other:
        copy = Path(other)
        for each in ("season.toml", *(f"{one}.csv" for one in sorted(JUDGED))):
            if (folder / each).is_file():
                shutil.copyfile(folder / each, copy / each)
        (copy / name).write_bytes(content)
        found = _faults(copy, folder)
    fresh = [one for one in found if replace(one, line=0) not in before]
    if fresh:
        raise InvalidInputError(fresh)


def _faults(folder: Path, named: Path) -> list[InputProblem]:
    """Faults of a folder, with the paths of another."""
    try:
        read_season(folder, need=frozenset(), only=JUDGED)
    except InvalidInputError as error:
        return [
            replace(one, path=str(named / Path(one.path).name))
            for one in error.problems
        ]
    return []
