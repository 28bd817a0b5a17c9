"""
One cell of ``batches.csv`` or one row of ``pins.csv`` changed, all else left alone.

People keep these files by hand: every other byte stays, with its delimiter, quotes,
remarks, line endings and byte order mark.  What would make the files faulty is refused.
"""

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from propsched.domain.batch import Pin
from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.files.batches import BATCH_COLUMNS, PIN_COLUMNS
from propsched.files.disk import only_writer, replace_file
from propsched.files.edits import Edit, added, edited, filled
from propsched.files.read import read_season
from propsched.files.source import Faults, read_source
from propsched.files.spans import Layout, Record, laid_out
from propsched.files.table import Columns

BATCHES, PINS = "batches.csv", "pins.csv"
JUDGED = frozenset({"batches", "pins", "daybook", "crops"})
"""Files that a change of a batch or pin may put at fault, besides ``season.toml``."""
NEW_PINS = "batch,stage,space,start\n"
_MARK = "\ufeff"


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
        return filled(layout, row, {column: value})

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
            return filled(layout, rows[0], told)
        return added(layout, cells)

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
        content = (mark + edited(text, change(layout))).encode()
        _raise_new_faults(folder, name, content)
        replace_file(path, content)


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
