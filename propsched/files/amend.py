"""
One cell of ``batches.csv`` or one row of ``pins.csv`` changed, all else left alone.

People keep these files by hand: every other byte stays, with its delimiter, quotes,
remarks, line endings and byte order mark.  What would make the files faulty is refused.
"""

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
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
from propsched.files.template import EMPTY

BATCHES, PINS = "batches.csv", "pins.csv"
JUDGED = frozenset({"batches", "pins", "daybook", "crops"})
"""Files that a change of a batch or pin may put at fault, besides ``season.toml``."""
COLUMNS: dict[str, Columns] = {BATCHES: BATCH_COLUMNS, PINS: PIN_COLUMNS}
NEW = {PINS: EMPTY[PINS]}
"""What a file begins with that need not be there."""
_MARK = "\ufeff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What was changed, so that it can be put back (``files.put_back``)."""

    file: str
    batch: str
    column: str = ""
    """Of ``batches.csv``."""
    stage: str = ""
    """Of ``pins.csv``."""
    was: str
    """What the cell said; of a pin its whole row, blank where there was none."""
    now: str
    before: bytes | None
    """The whole file; None: there was none."""
    after: bytes


def set_cell(folder: Path, batch: str, column: str, value: str) -> Change:
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
        row = row_of(layout, batch)
        was.append(layout.cell(row, column))
        return filled(layout, row, {column: value})

    before, after = rewrite(folder, BATCHES, change)
    layout = layout_of(after, BATCHES)
    assert layout is not None
    return Change(
        file=BATCHES, batch=batch, column=column, was=was[0],
        now=layout.cell(row_of(layout, batch), column), before=before, after=after,
    )  # fmt: skip


def row_of(layout: Layout, batch: str) -> Record:
    """The row of a batch in ``batches.csv``."""
    for row in layout.rows:
        if layout.cell(row, "batch") == batch:
            return row
    raise PropschedError(f'{BATCHES} has no row "{batch}"')


def put_pin(folder: Path, pin: Pin) -> Change:
    """
    Add a row to ``pins.csv``, or change the one of that batch and stage.

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

    def change(layout: Layout) -> list[Edit]:
        rows = pins_of(layout, pin.batch, pin.stage)
        if rows:
            told = {name: cells[name] for name in ("space", "start")}
            return filled(layout, rows[0], told)
        return added(layout, cells)

    return _of_pin(pin.batch, pin.stage, *rewrite(folder, PINS, change))


def drop_pin(folder: Path, batch: str, stage: str) -> Change:
    """
    Take the row of a batch and stage out of ``pins.csv``.

    Raises
    ------
    PropschedError
        When there is none.
    """

    def change(layout: Layout) -> list[Edit]:
        rows = pins_of(layout, batch, stage)
        if not rows:
            raise PropschedError(f"{batch}: its stage {stage} is not pinned")
        return [(row.first, row.end, "") for row in rows]

    return _of_pin(batch, stage, *rewrite(folder, PINS, change))


def _of_pin(batch: str, stage: str, before: bytes | None, after: bytes) -> Change:
    return Change(
        file=PINS, batch=batch, stage=stage, was=pin_text(before or b"", batch, stage),
        now=pin_text(after, batch, stage), before=before, after=after,
    )  # fmt: skip


def pin_text(content: bytes, batch: str, stage: str) -> str:
    """The row of a pin, or its rows, as they stand in the file; blank: none."""
    layout = layout_of(content, PINS)
    rows = [] if layout is None else pins_of(layout, batch, stage)
    text = content.decode("utf-8-sig")
    return "".join(text[row.first : row.end] for row in rows)


def pins_of(layout: Layout, batch: str, stage: str) -> list[Record]:
    return [
        row
        for row in layout.rows
        if layout.cell(row, "batch") == batch
        and "-".join(layout.cell(row, "stage").casefold().split()) == stage
    ]


def layout_of(content: bytes, name: str) -> Layout | None:
    """The places of the cells in one of the two files; None: it has no header."""
    return laid_out(content.decode("utf-8-sig"), COLUMNS[name])


def rewrite(
    folder: Path, name: str, change: Callable[[Layout], list[Edit]]
) -> tuple[bytes | None, bytes]:
    """
    Change a file, unless that would make it faulty.

    Returns
    -------
    The file before, None where there was none, and after.
    """
    path, new = folder / name, NEW.get(name, "")
    with only_writer(folder, path):
        faults = Faults()
        source = read_source(path, faults, needed=not new)
        faults.raise_if_any()
        raw = path.read_bytes() if source else new.encode()
        mark = _MARK if raw.startswith(_MARK.encode()) else ""
        text = raw.decode("utf-8-sig")
        layout = layout_of(raw, name)
        if layout is None:
            problem = InputProblem(str(path), 1, "has no header", "mend the header")
            raise InvalidInputError([problem])
        content = (mark + edited(text, change(layout))).encode()
        _raise_new_faults(folder, name, content)
        replace_file(path, content)
    return (raw if source else None), content


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
