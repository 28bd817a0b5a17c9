"""A batch's row or a pin changed in the files, and what was changed in words."""

from contextlib import suppress
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from propsched.domain.batch import Batch, Pin, part_name
from propsched.domain.repeats import expanded_ids
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.amend import drop_pin as take_out
from propsched.files.amend import put_pin, set_cell
from propsched.files.batches import batches_as_written
from propsched.files.source import one_of
from propsched.service.noted import NoteAnswer

AGAIN = "The plan is older than that: plan again."


def set_batch(folder: Path, name: str, column: str, value: str) -> NoteAnswer:
    """
    Change a cell of the row of ``batches.csv`` that a batch comes from.

    Parameters
    ----------
    name : str
        A batch, one of the sowings of a row, or a half: the row is changed, and so
        all that come from it. A date is that of the batch named; the row's own is
        as many days earlier as its sowing is after the first.
    value : str
        Blank clears the cell.

    Raises
    ------
    InvalidInputError
        With the fault that the change would make; then nothing is changed.
    PropschedError
        When there is no such batch or column.
    """
    row, later = _row_of(folder, name)
    written = value
    if later and column.startswith(("wanted_", "available_")):
        with suppress(ValueError):  # what is no date is refused by its own fault
            written = (date.fromisoformat(value) - later).isoformat()
    was = set_cell(folder, row.id, column, written)
    what = column.replace("_", " ")
    told = f"{row.id}: {what} {was or 'blank'} → {written or 'blank'} in batches.csv"
    if row.repeat is not None:
        told += f", for all {row.repeat.times} sowings"
        if written != value:
            told += f", so that of {name} is {value}"
    elif row.id != name:
        told += ", for both halves"
    return NoteAnswer(lines=(f"{told}. {AGAIN}",))


def set_pin(folder: Path, pin: Pin) -> NoteAnswer:
    """
    Pin a stage of a batch, in place of its pin if it has one.

    Raises
    ------
    InvalidInputError
        With the fault that the pin would make; then nothing is changed.
    """
    whole, of = _pinned(folder, pin.batch)
    replaced = put_pin(folder, replace(pin, batch=whole))
    where = f" to {pin.space}" if pin.space else ""
    when = f" from {pin.start}" if pin.start else ""
    verb = "now pinned" if replaced else "pinned"
    told = f"{whole}: {pin.stage} {verb}{where}{when} in pins.csv{of}"
    return NoteAnswer(lines=(f"{told}. {AGAIN}",))


def drop_pin(folder: Path, batch: str, stage: str) -> NoteAnswer:
    """
    Leave a stage of a batch to the plan again.

    Raises
    ------
    PropschedError
        When it is not pinned.
    """
    whole, of = _pinned(folder, batch)
    take_out(folder, whole, stage)
    told = f"{whole}: {stage} is pinned no more{of}"
    return NoteAnswer(lines=(f"{told}. {AGAIN}",))


def _row_of(folder: Path, name: str) -> tuple[Batch, timedelta]:
    """The row that a batch comes from, and by how much it is after the row's own."""
    rows = batches_as_written(folder)
    for row in rows:
        if name == row.id or name in (part_name(row.id, 1), part_name(row.id, 2)):
            return row, timedelta()
        ids = expanded_ids(row)
        if row.repeat is not None and name in ids:
            return row, timedelta(days=row.repeat.every_days * ids.index(name))
    right = one_of(name, [row.id for row in rows])
    if not rows:
        raise PropschedError("batches.csv lists no batch that can be read")
    raise UnknownNameError(f'no batch "{name}" – {right}')


def _pinned(folder: Path, name: str) -> tuple[str, str]:
    """Batch to name in ``pins.csv``, and whether that is more than was named."""
    row, _ = _row_of(folder, name)
    if row.repeat is None and row.id != name:
        return row.id, ", for both halves"
    return name, ""
