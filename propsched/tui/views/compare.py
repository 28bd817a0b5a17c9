"""Two spaces beside one another: which is warmer, and how sure that is."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isinf
from typing import TYPE_CHECKING, Literal

from propsched.report.dots import dot_plot
from propsched.report.words import clean, day_text
from propsched.tui.views.sitting import tenths

if TYPE_CHECKING:
    from propsched.service.comparison import CompareAnswer, CompareRow
    from propsched.tui.desk import Desk

Side = Literal["first", "second"]
NARROW = 60
LEAST_PLOT = 30
"""Columns below which no plot is drawn."""
ALL_COLUMNS = 44
"""Columns from which the table has the model's, which a line below tells too."""
_NOT_YET = "not enough readings yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What the page has open."""

    first: str = ""
    second: str = ""
    side: Side = "first"
    """Which of the two is being chosen."""
    asked: tuple[str, str] | None = None
    """The two that are being compared; None: nothing is under way."""
    failed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareView:
    empty: str = ""
    rows: tuple[str, ...] = ()
    """Of both lists; a space with how often it was read."""
    heads: tuple[str, str] = ("", "")
    cursors: tuple[int, int] = (-1, -1)
    verdict: str = ""
    to_reading: bool = False
    """There is too little to go by: the way leads to Reading."""
    answer: tuple[str, ...] = ()
    hint: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """The same as plain lines."""
        told: list[str] = []
        for head, cursor in zip(self.heads, self.cursors, strict=True):
            if self.rows and 0 <= cursor < len(self.rows):
                told.append(f"{head}: {self.rows[cursor]}")
        lines = (self.empty, *told, self.verdict, *self.answer, self.hint)
        return tuple(line for line in lines if line)


def counts_of(desk: "Desk") -> Mapping[str, tuple[int, str]]:
    """Of each space how often it was read, and the day of the last time."""
    if desk.opened is None:
        return {}
    readings = desk.opened.files.readings
    found = {space.id: (0, "") for space in desk.opened.season.spaces}
    if len(readings):
        by_space = readings.groupby("space", sort=False)["time"]
        for space, number in by_space.size().items():
            found[str(space)] = int(number), ""
        for space, when in by_space.last().items():
            number, _ = found[str(space)]
            found[str(space)] = number, day_text(when.date())
    return found


def first_choice(desk: "Desk", counts: Mapping[str, tuple[int, str]]) -> Choice:
    """The space looked at and the one read most beside it."""
    names = list(counts)
    by_number = sorted(names, key=lambda name: -counts[name][0])
    first = desk.space if counts.get(desk.space, (0, ""))[0] else ""
    first = first or (by_number[0] if by_number else "")
    second = next((name for name in by_number if name != first), "")
    return Choice(first=first, second=second)


def compare_view(
    desk: "Desk",
    counts: Mapping[str, tuple[int, str]],
    choice: Choice,
    *,
    width: int = 80,
) -> CompareView:
    """
    Build the view.

    Parameters
    ----------
    counts : mapping
        Of ``counts_of``.
    width : int
        Columns of the answer.
    """
    if len(counts) < 2:
        return CompareView(empty=_nothing(desk))
    names = list(counts)
    verdict, to_reading, answer = _answer(desk, choice, counts, width)
    return CompareView(
        rows=tuple(_row(name, *counts[name], width=width) for name in names),
        heads=(_head(choice, "first"), _head(choice, "second")),
        cursors=(_at(choice.first, names), _at(choice.second, names)),
        verdict=verdict,
        to_reading=to_reading,
        answer=answer,
        hint="arrows choose, ← → the other list · enter compares · r notes a reading",
    )


def _nothing(desk: "Desk") -> str:
    if desk.problems:
        return "The files have faults, so there is nothing to compare: x shows them."
    if desk.opened is None:
        return "Reading the files …"
    return "It takes two spaces to compare: write them into season.toml."


def _at(name: str, names: Sequence[str]) -> int:
    return names.index(name) if name in names else -1


def _head(choice: Choice, side: Side) -> str:
    word = "Is this one …" if side == "first" else "… warmer than this?"
    return f"▸ {word}" if choice.side == side else f"  {word}"


def _row(name: str, number: int, last: str, *, width: int) -> str:
    times = f"{number} ×" if number else "never"
    if width < NARROW - 4:
        return f"{clean(name):<13.13} {times}"
    if not number:
        return f"{clean(name):<13.13} never read"
    return f"{clean(name):<13.13} {times:>6}, {last}"


def _answer(
    desk: "Desk", choice: Choice, counts: Mapping[str, tuple[int, str]], width: int
) -> tuple[str, bool, tuple[str, ...]]:
    """Verdict, whether it leads to Reading, and all that it rests on."""
    first, second = clean(choice.first), clean(choice.second)
    if choice.failed:
        return clean(choice.failed), False, ()
    if choice.first == choice.second:
        return "Choose two that differ.", False, ()
    if choice.asked is not None:
        return f"Comparing {first} with {second} …", False, ()
    never = [n for n in (choice.first, choice.second) if not counts.get(n, (0, ""))[0]]
    if never:
        names = " and ".join(map(clean, never))
        said = f"{names}: never read. Read both on the same mornings, then compare."
        return said, True, ()
    answer = desk.compared
    if answer is None or (answer.first, answer.second) != (choice.first, choice.second):
        return f"Enter compares {first} with {second}.", False, ()
    verdict = answer.verdict[:1].upper() + answer.verdict[1:] + "."
    to_reading = answer.verdict.startswith(_NOT_YET)
    return clean(verdict), to_reading, tuple(_told(answer, width))


def _told(answer: "CompareAnswer", width: int) -> Iterator[str]:
    first, second = clean(answer.first), clean(answer.second)
    if not answer.days:
        yield (
            f"Read {first} and {second} within 90 minutes of one another, at rooting "
            "depth, with the same probe; r opens the page for it."
        )
        return
    yield from _more(answer)
    yield ""
    yield f"{first} less {second}, °C"
    yield from _table(answer, width)
    if width >= LEAST_PLOT:
        yield ""
        yield from _plot(answer, width)
    yield ""
    yield from (f"· {clean(line)}" for line in answer.remarks)
    yield from (f"· {line}" for line in _model(answer))


def _more(answer: "CompareAnswer") -> Iterator[str]:
    """The verdict says how many more days are wanted; here, that none are."""
    half = f"±{answer.wanted_half_k:.1f} °C"
    one = answer.whole.interval
    if one is not None and one.half <= answer.wanted_half_k:
        yield f"It is known to {half} or better: more readings are not needed for it."


def _table(answer: "CompareAnswer", width: int) -> Iterator[str]:
    level = f"{answer.level * 100:.0f} % lie in"
    yield f"{'':<10} {'days':>4} {'mean':>5}  {level:<14}{_if(width, 'model')}"
    rows = answer.by_time if len(answer.by_time) > 1 else ()
    for row in (answer.whole, *rows):
        only = answer.by_time[0].when if answer.by_time and not rows else None
        name = row.when or only or "all times"
        mean, model = _signed(row.mean_k), _signed(row.model_k)
        yield (
            f"{name:<10} {row.days:>4} {mean:>5}  {_interval(row):<14}"
            f"{_if(width, model)}"
        )


def _if(width: int, text: str) -> str:
    return f" {text:>5}" if width >= ALL_COLUMNS else ""


def _signed(value: float | None) -> str:
    if value is None:
        return "–"
    return f"+{tenths(value)}" if round(value, 1) > 0 else tenths(value)


def _interval(row: "CompareRow") -> str:
    one = row.interval
    if one is None:
        return "too few days"
    if isinf(one.low):
        return "too much alike"
    return f"{_signed(one.low)} to {_signed(one.high)}"


def _plot(answer: "CompareAnswer", width: int) -> Iterator[str]:
    """A dot a day, with the interval of the mean where it is not far wider."""
    spread = [day.difference_k for day in answer.days]
    one = answer.whole.interval
    band = None
    if one is not None and not isinf(one.low):
        reach = max(max(spread) - min(spread), 0.5)
        band = (one.low, one.high) if one.high - one.low <= 4 * reach else None
    yield from dot_plot([d.date for d in answer.days], spread, band=band, width=width)
    yield "● a day's difference" + ("   ··· where the mean lies" if band else "")


def _model(answer: "CompareAnswer") -> Iterator[str]:
    if answer.whole.model_k is not None:
        yield f"The model has {_signed(answer.whole.model_k)} °C for the same hours."
    season = answer.season
    if season is not None:
        yield (
            f"Over the whole season it has {_signed(season.mean_k)} °C, "
            f"{_signed(season.low_k)} to {_signed(season.high_k)} in 80 % of winters."
        )
