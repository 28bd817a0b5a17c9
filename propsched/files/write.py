"""Write into a season folder so that a kill at any moment loses nothing."""

import csv
import io
import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout

from propsched.domain.batch import Event
from propsched.domain.plan import Plan
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.batches import EVENT_COLUMNS
from propsched.files.plan_json import plan_as_json, read_plan
from propsched.files.series import READING_COLUMNS
from propsched.files.source import Faults, read_source
from propsched.files.table import Columns, find_header

__all__ = [
    "append_event", "append_reading", "plan_as_json", "read_plan", "write_plan",
]  # fmt: skip

LOCK = ".propsched.lock"
LOCK_S = 30.0
"""How long to wait for another program. [s]"""
EVENT_HEADER = ("time", "batch", "event", "space", "count", "note")
READING_HEADER = ("time", "space", "depth_cm", "temp_c", "probe", "note")


def write_plan(folder: Path, plan: Plan) -> Path:
    """
    Put the plan in force; the one before is kept as ``plan.previous.json``.

    Raises
    ------
    InvalidInputError
        When the folder cannot be written to.
    """
    path = folder / "plan.json"
    text = plan_as_json(plan)
    with _writing(path):
        if path.exists():
            replace_file(folder / "plan.previous.json", path.read_bytes())
        replace_file(path, text.encode())
    return path


def append_event(folder: Path, event: Event) -> Path:
    """
    Add one row to ``daybook.csv``.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the row.
    """
    cells = {
        "time": _clock(event.time),
        "batch": event.batch,
        "event": event.event,
        "space": event.space,
        "count": "" if event.count is None else str(event.count),
        "note": event.note,
    }
    return _append(folder / "daybook.csv", EVENT_COLUMNS, EVENT_HEADER, cells)


def append_reading(
    folder: Path,
    *,
    time: datetime,
    space: str,
    temp_c: float,
    depth_cm: float | None = None,
    probe: str = "",
    note: str = "",
) -> Path:
    """
    Add one row to ``readings.csv``; time is the site's clock time.

    Raises
    ------
    InvalidInputError
        When the file there cannot take the row.
    """
    cells = {
        "time": _clock(time),
        "space": space,
        "depth_cm": "" if depth_cm is None else f"{depth_cm:.10g}",
        "temp_c": f"{temp_c:.10g}",
        "probe": probe,
        "note": note,
    }
    numbers = ("depth_cm", "temp_c")
    path = folder / "readings.csv"
    return _append(path, READING_COLUMNS, READING_HEADER, cells, numbers)


def replace_file(path: Path, content: bytes) -> None:
    """Put the content in place at once: a reader sees the old file or the new one."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
        Path(name).chmod(mode)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _append(
    path: Path,
    columns: Columns,
    header: tuple[str, ...],
    cells: Mapping[str, str],
    numbers: tuple[str, ...] = (),
) -> Path:
    """Add a row in the layout that the file has, a new file with its header."""
    with _writing(path):
        faults = Faults()
        source = read_source(path, faults, needed=False)
        if source is None:
            faults.raise_if_any()
            lines = _line(header, ",", "\n") + _line(
                [cells[name] for name in header], ",", "\n"
            )
            _write_at_end(path, lines)
            return path
        found = find_header(source.text, columns)
        unknown = [n for n, cell in cells.items() if cell and n not in _heads(found)]
        if found is None or unknown:
            what = f"has no column {', '.join(unknown)}" if found else "has no header"
            faults.add(str(path), found.line if found else 1, what, "mend the header")
            raise InvalidInputError(faults.found)
        comma = found.delimiter != ","
        row = [
            cells[name].replace(".", ",")
            if comma and name in numbers
            else cells.get(name, "")
            for name in found.cells
        ]
        with path.open("rb") as file:
            first = file.readline()
        ending = "\r\n" if first.endswith(b"\r\n") else "\n"
        # a line cut short by a kill or an editor must not run into this one
        start = "" if source.text.endswith("\n") else ending
        _write_at_end(path, start + _line(row, found.delimiter, ending))
    return path


def _heads(found: object) -> tuple[str, ...]:
    return getattr(found, "cells", ())


def _line(cells: Sequence[str], delimiter: str, ending: str) -> str:
    text = io.StringIO()
    one_line = [" ".join(cell.split()) for cell in cells]
    csv.writer(text, delimiter=delimiter, lineterminator=ending).writerow(one_line)
    return text.getvalue()


def _write_at_end(path: Path, text: str) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
    try:
        os.write(handle, text.encode())
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    """Hold the folder's lock; what the disk refuses is the user's to mend."""
    if not path.parent.is_dir():  # the lock would make it
        problem = InputProblem(str(path), 0, "cannot be written: there is no folder")
        raise InvalidInputError([problem])
    try:
        with FileLock(path.parent / LOCK, timeout=LOCK_S):
            yield
    except Timeout:
        what, right = "is being written by another program", "try again"
        raise InvalidInputError([InputProblem(str(path), 0, what, right)]) from None
    except OSError as error:
        what = f"cannot be written: {error.strerror or error}"
        raise InvalidInputError([InputProblem(str(path), 0, what)]) from error


def _clock(time: datetime) -> str:
    exact = "seconds" if time.second else "minutes"
    return time.replace(tzinfo=None).isoformat(sep=" ", timespec=exact)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return  # no handle on a folder elsewhere
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
