"""Read a grower's own trial: counts by day at constant temperatures."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

from propsched.domain.trial import Dish
from propsched.files.cells import CellError, number, whole
from propsched.files.source import Faults, read_source
from propsched.files.table import Columns, read_table

Counts = Literal["new", "cumulative"]
"""Whether a count is what came since the look before, or all so far."""
_COUNTS = ("germinated", "new", "cumulative")
TRIAL_COLUMNS = Columns(("temp_c", "day"), ("sown", *_COUNTS, "dish", "lot", "note"))


@dataclass(frozen=True, slots=True)
class _Look:
    line: int
    day: float
    count: int
    sown: int | None


def read_trial(path: Path, counts: Counts | None = None) -> tuple[Dish, ...]:
    """
    Return the dishes of a trial, in file order.

    Parameters
    ----------
    path : Path
        A table with ``temp_c``, ``day``, ``sown`` and ``new`` or ``cumulative``, or
        ``germinated`` with ``counts`` given; rows of one temperature, ``dish`` and
        ``lot`` are one dish, of which ``sown`` may stand in the first row alone.

    Raises
    ------
    InvalidInputError
        With every fault.
    """
    faults = Faults()
    source = read_source(path, faults, needed=True)
    table = read_table(source, TRIAL_COLUMNS, faults) if source else None
    faults.raise_if_any()
    assert table is not None
    given = [name for name in _COUNTS if name in table.columns]
    name = given[0] if len(given) == 1 else ""
    if not name:
        what = "has no column of counts" if not given else "has two columns of counts"
        faults.add(str(path), 1, what, 'must have "new" or "cumulative"')
        faults.raise_if_any()
    looks: dict[tuple[float, str, str], list[_Look]] = {}
    for line, cells in table.records():
        try:
            temp = _in(cells, "temp_c", -20, 60, table.decimal_comma)
            day = _in(cells, "day", 0, 2000, table.decimal_comma)
            count = _whole(cells, name, least=0)
            sown = _whole(cells, "sown", least=1) if "sown" in cells else None
        except CellError as error:
            faults.add(str(path), line, error.what, error.right)
            continue
        key = temp, cells.get("dish", ""), cells.get("lot", "")
        looks.setdefault(key, []).append(_Look(line, day, count, sown))
    faults.raise_if_any()
    kind = counts if name == "germinated" else name
    if name == "germinated" and kind is None:
        kind = _evident(list(looks.values()))
        if kind is None:
            what = 'counts under "germinated" may be new or cumulative'
            right = "say --new or --cumulative, or name the column so"
            faults.add(str(path), 1, what, right)
            faults.raise_if_any()
    dishes = [
        dish
        for key, rows in looks.items()
        if (dish := _dish(str(path), key, rows, kind == "cumulative", faults))
    ]
    if not looks:
        faults.add(str(path), 1, "has no rows", "needs one for each count")
    faults.raise_if_any()
    return tuple(dishes)


def _in(
    cells: dict[str, str], name: str, low: float, high: float, decimal_comma: bool
) -> float:
    text = cells.get(name, "")
    right = f"must be {low:g} to {high:g}"
    if not text:
        raise CellError(f"{name} is blank", right)
    try:
        value = number(text, decimal_comma=decimal_comma)
    except CellError as error:
        raise CellError(f"{name} {error.what}", right) from None
    if not low <= value <= high:
        raise CellError(f"{name} is {text}", right)
    return value


def _whole(cells: dict[str, str], name: str, *, least: int) -> int:
    right = f"must be a whole number, {least} or more"
    if name not in cells:
        raise CellError(f"{name} is blank", right)
    try:
        value = whole(cells[name])
    except CellError as error:
        raise CellError(f"{name} {error.what}", right) from None
    if value < least:
        raise CellError(f"{name} is {value}", right)
    return value


def _evident(dishes: Sequence[Sequence[_Look]]) -> Counts | None:
    """What the counts can only be, if that can be seen."""
    falls = any(
        b.count < a.count
        for rows in dishes
        for a, b in pairwise(sorted(rows, key=lambda r: r.day))
    )
    too_many = any(
        sum(r.count for r in rows) > max((r.sown or 0 for r in rows), default=0)
        for rows in dishes
    )
    if falls == too_many:
        return None
    return "new" if falls else "cumulative"


def _dish(
    path: str,
    key: tuple[float, str, str],
    rows: list[_Look],
    cumulative: bool,
    faults: Faults,
) -> Dish | None:
    """One dish, or None with what is wrong with it."""
    temp, dish, lot = key
    name = " ".join(part for part in (f"{temp:g} °C", lot, dish) if part)
    before = len(faults.found)
    sown = {row.sown for row in rows if row.sown is not None}
    if len(sown) != 1:
        what = f"{name}: sown is " + (
            " and ".join(map(str, sorted(sown))) if sown else "blank"
        )
        right = "one number for each dish; tell dishes apart by the column dish"
        faults.add(path, rows[0].line, what, right)
    rows = sorted(rows, key=lambda row: row.day)
    new, so_far = [], 0
    for row, last in zip(rows, [None, *rows[:-1]], strict=True):
        if last is not None and row.day == last.day:
            right = "one count a look; tell dishes apart by the column dish"
            faults.add(path, row.line, f"{name}: day {row.day:g} is there twice", right)
        fresh = row.count - so_far if cumulative else row.count
        if fresh < 0:
            what = f"{name}: {row.count} on day {row.day:g} after {so_far}"
            faults.add(path, row.line, what, "cumulative counts never fall")
        if row.day == 0 and row.count:
            what = f"{name}: {row.count} come on day 0"
            faults.add(path, row.line, what, "days count from sowing")
        new.append(fresh)
        so_far += fresh
    if len(sown) == 1 and so_far > max(sown):
        what = f"{name}: {so_far} have come of {max(sown)} sown"
        faults.add(path, rows[-1].line, what, "cumulative counts? say --cumulative")
    if len(faults.found) > before:
        return None
    counted = [(row.day, n) for row, n in zip(rows, new, strict=True) if row.day > 0]
    if not counted:
        faults.add(path, rows[0].line, f"{name}: no look after day 0")
        return None
    days, news = zip(*counted, strict=True)
    return Dish(temp, max(sown), days, news, name)
