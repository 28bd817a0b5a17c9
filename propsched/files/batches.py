"""``batches.csv``, ``pins.csv`` and ``daybook.csv``, row by row."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from pydantic import TypeAdapter, ValidationError

from propsched.domain.batch import Batch, Event, Pin
from propsched.files.cells import (
    CellError,
    container,
    day,
    moment,
    number,
    repeat,
    whole,
    yes_no,
)
from propsched.files.source import Faults, Source, read_source
from propsched.files.table import Columns, Table, read_table
from propsched.files.words import say

T = TypeVar("T")
Parse = Callable[[str, Table], Any]

BATCH_COLUMNS = Columns(
    ("batch", "crop", "method", "wanted"),
    ("variety", "sown", "container", "available_from", "available_to",
     "wanted_from", "wanted_by", "priority", "repeat", "seed_year",
     "germination_pct", "split", "note"),
)  # fmt: skip
PIN_COLUMNS = Columns(("batch", "stage"), ("space", "start"))
EVENT_COLUMNS = Columns(("time", "event"), ("batch", "space", "count", "note"))


def _text(text: str, _: Table) -> str:
    return text


def _token(text: str, _: Table) -> str:
    return "-".join(text.casefold().split())


def _whole(text: str, table: Table) -> int:
    return whole(text, decimal_comma=table.decimal_comma)


def _percent(text: str, table: Table) -> float:
    plain = text.removesuffix("%").rstrip()
    return number(plain, decimal_comma=table.decimal_comma, largest=100)


def _cell(parse: Callable[[str], Any]) -> Parse:
    return lambda text, _: parse(text)


_BATCH: dict[str, Parse] = {
    "method": _token,
    "wanted": _whole,
    "sown": _whole,
    "container": _cell(container),
    "available_from": _cell(day),
    "available_to": _cell(day),
    "wanted_from": _cell(day),
    "wanted_by": _cell(day),
    "priority": _whole,
    "repeat": _cell(repeat),
    "seed_year": _whole,
    "germination_pct": _percent,
    "split": _cell(yes_no),
}
_PIN: dict[str, Parse] = {"stage": _token, "start": _cell(day)}


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def read_batches(source: Source, faults: Faults) -> list[tuple[int, Batch]]:
    """Return the rows that are right in themselves, each with its line."""
    return _rows(source, BATCH_COLUMNS, Batch, _BATCH, "batch", faults)


def batch_names(source: Source) -> set[str] | None:
    """Return every name in the batch column, of rows at fault too; None: not all."""
    table = read_table(source, BATCH_COLUMNS, Faults())
    if table is None or not table.complete:
        return None
    return {name for name in table.column("batch") if name}


def batches_as_written(folder: Path) -> tuple[Batch, ...]:
    """The rows of ``batches.csv`` that are right in themselves, as they are."""
    faults = Faults()
    source = read_source(folder / "batches.csv", faults, needed=True)
    faults.raise_if_any()
    rows = read_batches(source, faults) if source else []
    return tuple(batch for _, batch in rows)


def read_pins(source: Source, faults: Faults) -> list[tuple[int, Pin]]:
    """Return the rows that are right in themselves, each with its line."""
    return _rows(source, PIN_COLUMNS, Pin, _PIN, "", faults)


def read_daybook(
    source: Source, zone: ZoneInfo | None, faults: Faults
) -> list[tuple[int, Event]]:
    """Return the rows that are right in themselves, each with its line."""
    parse: dict[str, Parse] = {
        "time": lambda text, _: moment(text, zone, day_will_do=True),
        "event": _token,
        "count": _whole,
    }
    return _rows(source, EVENT_COLUMNS, Event, parse, "", faults)


def noted_events(folder: Path, zone: ZoneInfo) -> tuple[Event, ...]:
    """
    Return the daybook as the file has it, names that are not known too.

    Raises
    ------
    InvalidInputError
        When rows cannot be read.
    """
    faults = Faults()
    source = read_source(folder / "daybook.csv", faults, needed=False)
    rows = read_daybook(source, zone, faults) if source else []
    faults.raise_if_any()
    return tuple(event for _, event in rows)


def _rows(
    source: Source,
    columns: Columns,
    kind: type[T],
    parsers: dict[str, Parse],
    id_column: str,
    faults: Faults,
) -> list[tuple[int, T]]:
    table = read_table(source, columns, faults)
    if table is None:
        return []
    rows: list[tuple[int, T]] = []
    for line, cells in table.records():
        values: dict[str, Any] = {}
        broken: set[str] = set()
        label = _label(cells)
        for name, text in cells.items():
            field = "id" if name == id_column else name
            try:
                values[field] = parsers.get(name, _text)(text, table)
            except CellError as error:
                broken.add(field)
                what = f"{label}{name} {error.what}"
                faults.add(source.path, line, what, error.right)
        row = _validated(kind, values, broken, id_column, label, (source, line), faults)
        if row is not None:
            rows.append((line, row))
    return rows


def _label(cells: dict[str, str]) -> str:
    return f'batch "{cells["batch"]}": ' if "batch" in cells else ""


def _validated(
    kind: Any,
    values: dict[str, Any],
    broken: set[str],
    id_column: str,
    label: str,
    place: tuple[Source, int],
    faults: Faults,
) -> Any:
    """Return the row or None; a cell that is broken anyway is not faulted again."""
    try:
        row = _adapter(kind).validate_python(values)
    except ValidationError as invalid:
        for error in invalid.errors(include_url=False):
            name = str(error["loc"][0])
            if name in broken:
                continue
            what, right = say(error)
            if error["type"] in ("missing", "missing_argument"):
                what, right = "is blank", "every row needs it"
            column = id_column if name == "id" else name
            faults.add(place[0].path, place[1], f"{label}{column} {what}", right)
        return None
    return None if broken else row
