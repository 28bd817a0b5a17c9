"""A batch's row or a pin changed in the files, and what was changed in words."""

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from propsched.domain.batch import Batch, Pin, part_name
from propsched.domain.repeats import expanded_ids
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.amend import Change, put_pin, set_cell
from propsched.files.amend import drop_pin as take_out
from propsched.files.batches import batches_as_written
from propsched.files.put_back import put_back
from propsched.files.source import one_of
from propsched.service.noted import NoteAnswer

AGAIN = "The plan is older than that: plan again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Amended(NoteAnswer):
    """What was changed, and how to take it back."""

    batch: str
    """As it was named."""
    change: Change
    words: str
    """``leek: priority 3 → 5``."""


def set_batch(folder: Path, name: str, column: str, value: str) -> Amended:
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
    change = set_cell(folder, row.id, column, written)
    what = column.replace("_", " ")
    words = f"{row.id}: {what} {change.was or 'blank'} → {written or 'blank'}"
    told = f"{words} in batches.csv"
    if row.repeat is not None:
        told += f", for all {row.repeat.times} sowings"
        if written != value:
            told += f", so that of {name} is {value}"
    elif row.id != name:
        told += ", for both halves"
    return Amended(lines=(f"{told}. {AGAIN}",), batch=name, change=change, words=words)


def set_pin(folder: Path, pin: Pin) -> Amended:
    """
    Pin a stage of a batch, in place of its pin if it has one.

    Raises
    ------
    InvalidInputError
        With the fault that the pin would make; then nothing is changed.
    """
    whole, of = _pinned(folder, pin.batch)
    change = put_pin(folder, replace(pin, batch=whole))
    where = f" to {pin.space}" if pin.space else ""
    when = f" from {pin.start}" if pin.start else ""
    verb = "now pinned" if change.was else "pinned"
    words = f"{whole}: {pin.stage} {verb}{where}{when}"
    return Amended(
        lines=(f"{words} in pins.csv{of}. {AGAIN}",), batch=pin.batch, change=change,
        words=words,
    )  # fmt: skip


def drop_pin(folder: Path, batch: str, stage: str) -> Amended:
    """
    Leave a stage of a batch to the plan again.

    Raises
    ------
    PropschedError
        When it is not pinned.
    """
    whole, of = _pinned(folder, batch)
    change = take_out(folder, whole, stage)
    words = f"{whole}: {stage} is pinned no more"
    return Amended(
        lines=(f"{words}{of}. {AGAIN}",), batch=batch, change=change, words=words
    )


def take_back(folder: Path, amended: Amended) -> NoteAnswer:
    """
    Put a row or pin back as it was before a change.

    Raises
    ------
    PropschedError
        When it was changed again since, or is gone; then nothing is changed.
    """
    put_back(folder, amended.change)
    return NoteAnswer(lines=(f"Taken back: {amended.words}.",))


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
