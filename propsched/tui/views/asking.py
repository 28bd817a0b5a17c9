"""A few questions on one page, answered by turning, typing digits, mouse or touch."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, TypeAlias

from rich.cells import cell_len

from propsched.report.words import clean, day_text
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.pieces import Line, Piece, Spot, fitted, line, wrapped
from propsched.tui.views.typed_day import SIGNS, day_within

DIGITS = frozenset("0123456789")
MOST = 99_999
"""Largest number that can be typed."""
WEEK = 7
Kind: TypeAlias = Literal["day", "number", "one"]
_STEPS: dict[Kind, tuple[tuple[int, str], ...]] = {
    "day": ((-WEEK, "−7"), (-1, "‹"), (1, "›"), (WEEK, "+7")),
    "number": ((-10, "−10"), (-1, "−"), (1, "+"), (10, "+10")),
    "one": ((-1, "‹"), (1, "›")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing asked for."""

    name: str
    kind: Kind
    value: str = ""
    """A day as 2027-03-06, a number, or one of the options; blank: left open."""
    blank: str = ""
    """What it means to leave it open; of a day that must be given, blank."""
    options: tuple[tuple[str, str], ...] = ()
    """Of ``one``: value and text of each."""
    start: str = ""
    """Day or number that the first turn of a blank one begins from."""
    first: date = date.min
    last: date = date.max


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """The questions, and the one at which the cursor is."""

    title: str
    questions: tuple[Question, ...]
    today: date
    at: int = 0
    hint: str = ""
    """A sentence below them."""
    typed: str = ""
    """What was typed of the day at the cursor so far."""
    refused: str = ""
    """Why that is no day that can be meant; blank: it is one."""

    @property
    def here(self) -> Question:
        return self.questions[self.at]

    def of(self, name: str) -> Question | None:
        return next((one for one in self.questions if one.name == name), None)

    def text(self, name: str) -> str:
        """The answer; blank where it is left open, or not asked."""
        own = self.of(name)
        return "" if own is None else own.value

    def day(self, name: str) -> date | None:
        text = self.text(name)
        return date.fromisoformat(text) if text else None

    def number(self, name: str) -> int | None:
        text = self.text(name)
        return int(text) if text else None


def moved(form: Asking, by: int) -> Asking:
    """To the next question, or the one before."""
    return at_question(form, min(max(form.at + by, 0), len(form.questions) - 1))


def at_question(form: Asking, at: int) -> Asking:
    """With the cursor there; what is no day is not kept."""
    return replace(form, at=at, typed="", refused="")


def turned(form: Asking, by: int, at: int | None = None) -> Asking:
    """So many steps on, of the question at the cursor or of another."""
    form = at_question(form, form.at if at is None else at)
    own = form.here
    if own.kind == "one":
        values = [value for value, _ in own.options]
        place = values.index(own.value) if own.value in values else 0
        step = (by > 0) - (by < 0)
        return _with(form, values[(place + step) % len(values)])
    if own.kind == "number":
        before = int(own.value or own.start or 0)
        return _with(form, str(min(max(before + by, 0), MOST)))
    if not own.value:
        day = date.fromisoformat(own.start) if own.start else form.today
    else:
        day = date.fromisoformat(own.value)
        day = date.fromordinal(max(1, day.toordinal() + by))
    return _with(form, min(max(day, own.first), own.last).isoformat())


def takes(form: Asking, sign: str) -> bool:
    """Whether it can be typed here: a digit, and in a day what parts it."""
    return sign in DIGITS or (form.here.kind == "day" and sign in SIGNS)


def typed(form: Asking, sign: str) -> Asking:
    """One more digit of a number, or sign of a day."""
    own = form.here
    if own.kind == "day":
        return _day_typed(form, form.typed + sign)
    if own.kind != "number":
        return form
    return _with(form, str(min(int(own.value + sign), MOST)))


def _day_typed(form: Asking, text: str) -> Asking:
    """Taken at once as far as it makes sense."""
    own = form.here
    if not text:
        return replace(form, typed="", refused="")
    day, refused = day_within(text, form.today, own.first, own.last)
    form = replace(form, typed=text, refused=refused)
    return form if day is None else _with(form, day.isoformat())


def rubbed(form: Asking) -> Asking:
    """The last sign out; a day left open, or put back to today."""
    own = form.here
    if form.typed:
        return _day_typed(form, form.typed[:-1])
    if own.kind == "number":
        return _with(form, own.value[:-1])
    if own.kind == "day":
        return _with(form, "" if own.blank else form.today.isoformat())
    return form


def changed(form: Asking, question: Question) -> Asking:
    """The same with another question in place of the one of that name."""
    rest = tuple(question if q.name == question.name else q for q in form.questions)
    return replace(form, questions=rest)


def _with(form: Asking, value: str) -> Asking:
    return changed(form, replace(form.here, value=value))


def answer_text(form: Asking, own: Question) -> str:
    """The answer in words."""
    if own.kind == "one":
        return clean(dict(own.options).get(own.value, own.value))
    if not own.value:
        return own.blank
    if own.kind == "number":
        return own.value
    day = date.fromisoformat(own.value)
    if day == form.today:
        return f"{day:%a} {day_text(day)}, today"
    if day == form.today - timedelta(days=1):
        return f"{day:%a} {day_text(day)}, yesterday"
    return f"{day:%a} {day_text(day)}"


def drawn_asking(
    form: Asking,
    width: int,
    *,
    big: bool,
    ends: Sequence[str] = ("note it", "leave it"),
    high: int | None = None,
) -> tuple[list[Line], list[Spot]]:
    """
    The questions as lines, and what can be pressed in them.

    Parameters
    ----------
    big : bool
        Whether it is for fingers: each button three rows high.
    ends : sequence of str
        What is on the buttons that store the answers and that drop them.
    high : int, optional
        Lines that there are; where they are too few, only the question at the cursor
        has buttons.
    """
    lines, spots = _drawn(form, width, big=big, ends=ends, all_turn=True)
    if high is not None and len(lines) > high:
        return _drawn(form, width, big=big, ends=ends, all_turn=False)
    return lines, spots


def _drawn(
    form: Asking, width: int, *, big: bool, ends: Sequence[str], all_turn: bool
) -> tuple[list[Line], list[Spot]]:
    lines = [line(part, "bold") for part in wrapped(clean(form.title), width)]
    spots: list[Spot] = []
    label = max(len(one.name) for one in form.questions) + 1
    for at, own in enumerate(form.questions):
        here = at == form.at
        answer = answer_text(form, own)
        if here and form.typed:  # what is typed stands beside what it is taken for
            answer = f"{form.typed}?" if form.refused else f"{answer} ({form.typed})"
        told = f"{'▸' if here else ' '}{own.name:<{label}}{answer}"
        room = width if big else min(max(24, width - 26), 48)
        text = fitted(told, room)
        spots.append(Spot(len(lines), 0, room - 1, f"form_at({at})"))
        steps = [(told, f"form_turn({at}, {by})") for by, told in _STEPS[own.kind]]
        rows, there = buttons_of(steps, big=big)
        shown = line(text, "accent" if here else "")
        if not big:
            spots += moved_spots(there, len(lines), cell_len(text) + 1)
            lines.append((*shown, Piece(" "), *rows[0]))
            continue
        lines.append(shown)
        if here or all_turn:
            spots += moved_spots(there, len(lines), 0)
            lines += rows
    if form.refused:
        lines += [line(part, "error") for part in wrapped(clean(form.refused), width)]
    if form.hint:
        lines += [line(part, "dim") for part in wrapped(clean(form.hint), width)]
    keys = ("", "") if big else ("enter  ", "esc  ")
    actions = ("form_done", "form_drop")
    rows, there = buttons_of(
        [(key + end, act) for key, end, act in zip(keys, ends, actions, strict=True)],
        big=big,
    )
    spots += moved_spots(there, len(lines), 0)
    return [*lines, *rows], spots
