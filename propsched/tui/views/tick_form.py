"""What really happened: on which day a job was done, how many, and what was lost."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, TypeAlias

from rich.cells import cell_len

from propsched.advice.job import Job
from propsched.report.words import day_text
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.jobs_book import plain_what
from propsched.tui.views.pieces import Line, Piece, Spot, fitted, line, wrapped

MOST = 99_999
"""Largest number that can be typed."""
COUNTED = frozenset({"sow", "strike", "divide", "start", "prick out", "pot up",
                     "pot on", "harden off", "plant out", "ready"})  # fmt: skip
"""Jobs over which plants are counted."""
Field: TypeAlias = Literal["day", "lost", "count"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TickForm:
    """The questions about one job, and what has been answered."""

    job: Job
    today: date
    earliest: date
    day: date
    lost: str = ""
    """As typed; blank: none."""
    count: str = ""
    """As typed; blank: as many as the job says."""
    at: int = 0

    @property
    def fields(self) -> tuple[Field, ...]:
        if not self.job.batch:
            return ("day",)
        return ("day", "lost", *(("count",) if self.job.kind in COUNTED else ()))

    @property
    def field(self) -> Field:
        return self.fields[self.at]


def asked(job: Job, today: date, earliest: date) -> TickForm:
    """The form of a job, as if all went well today."""
    return TickForm(job=job, today=today, earliest=min(earliest, today), day=today)


def moved(form: TickForm, by: int) -> TickForm:
    """To the next question, or the one before."""
    return replace(form, at=min(max(form.at + by, 0), len(form.fields) - 1))


def turned(form: TickForm, by: int) -> TickForm:
    """A day or a number on; not into the future, not below nothing."""
    if form.field == "day":
        day = form.day + timedelta(days=by)
        return replace(form, day=min(max(day, form.earliest), form.today))
    before = _number(form)
    return _with(form, str(min(max(before + by, 0), MOST)))


def typed(form: TickForm, digit: str) -> TickForm:
    """One more digit of a number."""
    if form.field == "day":
        return form
    now = getattr(form, form.field) + digit
    return _with(form, str(min(int(now), MOST)))


def rubbed(form: TickForm) -> TickForm:
    """The last digit out; the day back to today."""
    if form.field == "day":
        return replace(form, day=form.today)
    return _with(form, getattr(form, form.field)[:-1])


def _with(form: TickForm, text: str) -> TickForm:
    if form.field == "lost":
        return replace(form, lost=text)
    return replace(form, count=text)


def _number(form: TickForm) -> int:
    typed_text = form.lost if form.field == "lost" else form.count
    if typed_text:
        return int(typed_text)
    return 0 if form.field == "lost" else form.job.count or 0


def drawn_form(
    form: TickForm, width: int, *, big: bool
) -> tuple[list[Line], list[Spot]]:
    """
    The form as lines, and what can be pressed in them.

    Parameters
    ----------
    big : bool
        Whether it is for fingers: each button three rows high.
    """
    what = f"Done: {plain_what(form.job)}"
    lines = [line(part, "bold") for part in wrapped(what, width)]
    spots: list[Spot] = []
    for at, field in enumerate(form.fields):
        mark = "▸" if at == form.at else " "
        text = fitted(f"{mark}{field:<6}{_answer(form, field)}", width if big else 32)
        steps = _DAYS if field == "day" else _NUMBERS
        buttons = [(told, f"form_turn({at}, {by})") for by, told in steps]
        here = line(text, "accent" if at == form.at else "")
        rows, own = buttons_of(buttons, big=big)
        if big:
            lines.append(here)
            spots += moved_spots(own, len(lines), 0)
            lines += rows
        else:
            spots += moved_spots(own, len(lines), cell_len(text) + 1)
            lines.append((*here, Piece(" "), *rows[0]))
    ends = [("Note it" if big else "enter  note it", "form_done"),
            ("Leave it" if big else "esc  leave it", "form_drop")]  # fmt: skip
    rows, own = buttons_of(ends, big=big)
    spots += moved_spots(own, len(lines), 0)
    return [*lines, *rows], spots


_DAYS = ((-1, "‹"), (1, "›"))
_NUMBERS = ((-10, "−10"), (-1, "−"), (1, "+"), (10, "+10"))


def _answer(form: TickForm, field: Field) -> str:
    if field == "day":
        when = ", today" if form.day == form.today else ""
        return f"{form.day:%a} {day_text(form.day)}{when}"
    if field == "lost":
        return form.lost or "0"
    if form.count:
        return form.count
    number = form.job.count
    return f"{number}, as the job says" if number is not None else "not counted"
