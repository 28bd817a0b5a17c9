"""A day as it is typed: ``12``, ``12.1`` or ``2027-01-12``."""

from collections.abc import Iterator
from datetime import date

from propsched.report.words import day_text

FORMS = "a day: 12, 12.1 or 2027-01-12"
SIGNS = frozenset(".-")
"""What parts a date, besides its digits."""


def day_typed(text: str, today: date, *, past: bool = False) -> date | None:
    """
    The next 12th or 12 January, or the day itself.

    Parameters
    ----------
    past : bool
        Of what has happened: the last one, today among them, not the next.

    Returns
    -------
    The day; None where it is no day, or none yet.
    """
    try:
        if text.count("-") == 2:
            return date.fromisoformat(text)
        day, _, month = text.rstrip(".").replace("-", ".").partition(".")
        return next(_days(int(day), int(month or 0), today, past=past), None)
    except ValueError:
        return None


def _days(day: int, month: int, today: date, *, past: bool) -> Iterator[date]:
    """Days of that number, month by month from today on, or back from it."""
    back = -1 if past else 1
    for step in range(13 if month == 0 or (month, day) != (2, 29) else 97):
        at = today.year * 12 + today.month - 1 + back * step
        if month not in (0, at % 12 + 1):
            continue
        try:
            found = date(at // 12, at % 12 + 1, day)
        except ValueError:  # no 31st in it
            continue
        if (found <= today) if past else (found >= today):
            yield found


def day_within(
    text: str, today: date, first: date, last: date
) -> tuple[date | None, str]:
    """
    The day that is meant where only those from ``first`` to ``last`` will do.

    Of what ends today the last such day is meant, else the next one, unless only the
    other lies within.

    Returns
    -------
    day, and why it is none; the day is None where the reason is not blank.
    """
    past = last <= today
    meant = [day_typed(text, today, past=way) for way in (past, not past)]
    days = [day for day in meant if day is not None]
    for day in days:
        if first <= day <= last:
            return day, ""
    if not days:
        return None, FORMS
    span = f"{day_text(first)} to {day_text(last)}"
    if first == date.min:
        span = f"{day_text(last)} or before"
    told = day_text(days[0])
    if days[0].year != today.year:
        told += f" {days[0].year}"
    return None, f"{told} – must be {span}"
