"""One cell of text to one value, never to a wrong one."""

import re
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from propsched.domain.batch import Repeat
from propsched.domain.container import CONTAINERS, Container
from propsched.files.source import one_of

_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"[+-]?\d*,\d+", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}([.,]\d{3})+", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,12}", re.ASCII)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_TIME = re.compile(
    r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?)"
    r"\s?(Z|[+-]\d{2}:?\d{2})?",
    re.ASCII,
)
_REPEAT = re.compile(r"every\s+(\d+)\s+days?\s*[×xX*]\s*(\d+)", re.ASCII)
_ROW = re.compile(r"row(?:\s+(.+?)\s*[×xX*]\s*(.+))?", re.ASCII)
_NO_VALUE = {"nan", "na", "n/a", "inf", "-inf", "+inf", "infinity", "-", "null", "none"}
_YES, _NO = {"yes", "y", "true"}, {"no", "n", "false"}


class CellError(ValueError):
    """A cell that cannot be read: what it is, and what would be right."""

    def __init__(self, what: str, right: str) -> None:
        self.what, self.right = what, right
        super().__init__(what, right)


def number(text: str, *, decimal_comma: bool = False, largest: float = 1e300) -> float:
    """
    Return the number in a cell.

    Parameters
    ----------
    decimal_comma : bool
        Whether the table parts its cells with something else than a comma, as
        spreadsheets do where 2,5 is a number.
    largest : float
        No value of this column is larger. Below 1000 nothing can be a group of
        thousands, so 1,234 is then not open to two readings.
    """
    plain = text.replace("−", "-")
    if _THOUSANDS.fullmatch(plain) and ("," in plain or decimal_comma):
        single = plain.count(",") + plain.count(".") == 1
        if not (single and decimal_comma and largest < 1000):
            digits = re.sub("[.,]", "", plain)
            point = re.sub("[.,]", ".", plain, count=1)
            right = f"write {digits} or {point}" if single else f"write {digits}"
            raise CellError(f'is "{text}", which can be read two ways', right)
    if _COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    if _PLAIN.fullmatch(plain):
        value = float(plain)
        if abs(value) < 1e300:
            return value
    if text.casefold() in _NO_VALUE:
        raise CellError(f'is "{text}"', "must be a number; blank where not known")
    raise CellError(f'is "{text}"', "must be a number such as 2.5")


def whole(text: str, *, decimal_comma: bool = False) -> int:
    """Return the whole number in a cell; ``40.0`` is one, ``1,234`` is refused."""
    if _WHOLE.fullmatch(text):
        return int(text)
    value = number(text, decimal_comma=decimal_comma)
    if value != int(value) or abs(value) > 1e12:
        raise CellError(f'is "{text}"', "must be a whole number")
    return int(value)


def day(text: str) -> date:
    """Return the day; only year-month-day is never read two ways."""
    if not _DATE.fullmatch(text):
        right = "must be year-month-day, such as 2026-11-01"
        raise CellError(f'is "{text}"', right)
    try:
        value = date.fromisoformat(text)
    except ValueError:
        right = "must be a day that the calendar has"
        raise CellError(f'is "{text}"', right) from None
    if not 1800 <= value.year <= 2200:
        raise CellError(f'is "{text}"', "must lie between 1800 and 2200")
    return value


def moment(text: str, zone: ZoneInfo | None, *, day_will_do: bool = False) -> datetime:
    """Return the local clock time; one with an offset is turned into the site's."""
    if day_will_do and _DATE.fullmatch(text):
        return datetime.combine(day(text), time())
    match = _TIME.fullmatch(text)
    right = "must be year-month-day hour:minute, such as 2026-11-01 08:30"
    if not match:
        raise CellError(f'is "{text}"', right)
    day(match[1])
    try:
        value = datetime.fromisoformat(f"{match[1]}T{match[2]}{match[3] or ''}")
    except ValueError:
        raise CellError(f'is "{text}"', right) from None
    if value.tzinfo is not None:
        value = value.astimezone(zone or value.tzinfo).replace(tzinfo=None)
    return value


def yes_no(text: str) -> bool:
    if text.casefold() in _YES:
        return True
    if text.casefold() in _NO:
        return False
    raise CellError(f'is "{text}"', "must be yes or no")


def repeat(text: str) -> Repeat:
    """Return ``every 14 days × 4``."""
    match = _REPEAT.fullmatch(text.casefold())
    right = 'must be such as "every 14 days × 4"'
    if not match:
        raise CellError(f'is "{text}"', right)
    every, times = int(match[1]), int(match[2])
    if not (1 <= every <= 365 and 1 <= times <= 60):
        raise CellError(f'is "{text}"', "must be 1 to 365 days, 1 to 60 times")
    return Repeat(every_days=every, times=times)


def container(text: str) -> Container:
    """Return ``tray``, ``module-tray 40`` (holds 40) or ``row 15x30`` (cm)."""
    typed = " ".join(text.casefold().split())
    if typed == "row" or typed.startswith("row "):
        return _row(text, typed)
    name, _, holds = typed.rpartition(" ") if typed[-1:].isdigit() else (typed, "", "")
    name = name.replace(" ", "-")
    known = {token: token for token in CONTAINERS}
    if name not in known:
        raise CellError(f'is "{text}"', one_of(name, CONTAINERS))
    if not holds:
        return Container(name=known[name])
    if not _WHOLE.fullmatch(holds) or not 1 <= int(holds) <= 2000:
        right = "the number is how many plants one holds, 1 to 2000"
        raise CellError(f'is "{text}"', right)
    return Container(name=known[name], holds=int(holds))


def _row(text: str, typed: str) -> Container:
    match = _ROW.fullmatch(typed)
    right = 'must be such as "row 15x30": cm between plants × cm between rows'
    if not match:
        raise CellError(f'is "{text}"', right)
    if match[1] is None:
        return Container(name="row")
    apart, rows = number(match[1]), number(match[2])
    if not (1 <= apart <= 200 and 1 <= rows <= 200):
        raise CellError(f'is "{text}"', f"{right}, each 1 to 200")
    return Container(name="row", in_row_cm=apart, rows_cm=rows)
