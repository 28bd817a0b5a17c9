"""A change of a batch's row or a pin taken back, if it has not been changed since."""

from pathlib import Path

from propsched.errors import PropschedError
from propsched.files.amend import (
    BATCHES,
    PINS,
    Change,
    pin_text,
    pins_of,
    rewrite,
    row_of,
)
from propsched.files.disk import only_writer, replace_file
from propsched.files.edits import Edit, filled
from propsched.files.spans import Layout


def put_back(folder: Path, change: Change) -> None:
    """
    Restore what a cell or row was.

    A file that is still as the change left it becomes what it was, byte for byte, and
    one that the change began is removed.  In a file changed since, the cell or row is
    put back alone.

    Raises
    ------
    PropschedError
        When the cell or row is no longer what it was changed to, or is gone; then
        nothing is changed.
    InvalidInputError
        With the fault that it would make.
    """
    if _restored(folder, change):
        return
    if change.file == BATCHES:
        rewrite(folder, BATCHES, lambda layout: _cell(layout, change))
        return
    content = _content(folder / PINS)
    if pin_text(content, change.batch, change.stage) != change.now:
        raise PropschedError(
            f"pins.csv: the pin of {change.batch} {change.stage} was changed since – "
            "change it by hand"
        )
    rewrite(folder, PINS, lambda layout: _pin(layout, change))


def _content(path: Path) -> bytes:
    return path.read_bytes() if path.is_file() else b""


def _restored(folder: Path, change: Change) -> bool:
    """The whole file, where nothing else has been done to it."""
    path = folder / change.file
    with only_writer(folder, path):
        if _content(path) != change.after:
            return False
        if change.before is None:
            path.unlink()
        else:
            replace_file(path, change.before)
    return True


def _cell(layout: Layout, change: Change) -> list[Edit]:
    row = row_of(layout, change.batch)
    now = layout.cell(row, change.column)
    if now != change.now:
        raise PropschedError(
            f"batches.csv: {change.column} of {change.batch} was changed since, to "
            f"{now or 'blank'} – change it by hand"
        )
    return filled(layout, row, {change.column: change.was})


def _pin(layout: Layout, change: Change) -> list[Edit]:
    rows = pins_of(layout, change.batch, change.stage)
    if not change.was:
        return [(row.first, row.end, "") for row in rows]
    if rows:
        (first, *more) = rows
        return [
            (first.first, first.end, change.was),
            *((row.first, row.end, "") for row in more),
        ]
    last = layout.rows[-1] if layout.rows else layout.head
    ending = layout.head.ending or "\n"
    row = change.was if change.was.endswith(("\n", "\r")) else change.was + ending
    return [(last.end, last.end, row if last.ending else ending + row)]
