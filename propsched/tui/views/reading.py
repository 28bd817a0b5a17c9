"""The page for readings: which space, what is typed, what becomes of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from propsched.report.words import clean, day_text
from propsched.tui.views.sitting import LEAST_SETTLING, Sitting, shown, tenths
from propsched.tui.views.spaces_read import SpaceRead

if TYPE_CHECKING:
    from propsched.service.settling import SoFar
    from propsched.tui.desk import Desk

NARROW = 60
"""Columns below which a row takes two lines, and the number pad is there."""
ROOMY = 70
"""Columns from which long names are told in full."""
EARLIER = 10
"""Days that are told of what was read before."""
LATEST = 4
"""Values of a sequence that are told where it is narrow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingView:
    """All that the page says; texts are plain."""

    empty: str = ""
    """What to do where there is nothing to read; all else is blank then."""
    heading: str = ""
    rows: tuple[str, ...] = ()
    """A line or two for each space."""
    cursor: int = -1
    where: str = ""
    """Space, depth and probe of what is typed."""
    typed: str = ""
    beside: str = ""
    """Last reading and what is expected, to see a slip of the finger by."""
    series: str = ""
    finding: str = ""
    refused: str = ""
    hint: str = ""
    earlier: str = ""
    """What was read there before and what the model had, a line a day."""

    @property
    def lines(self) -> tuple[str, ...]:
        """The same as plain lines."""
        marked = tuple(
            f"{'>' if at == self.cursor else ' '} {row}"
            for at, row in enumerate(self.rows)
        )
        told = (
            self.where, self.typed, self.beside, self.series, self.finding,
            self.refused, self.hint, self.earlier,
        )  # fmt: skip
        return tuple(
            line for line in (self.empty, self.heading, *marked, *told) if line
        )


def reading_view(
    desk: "Desk",
    spaces: Sequence[SpaceRead],
    sitting: Sitting,
    *,
    now_s: float = 0.0,
    width: int = 80,
    roomy: bool = False,
) -> ReadingView:
    """
    Build the view.

    Parameters
    ----------
    desk : Desk
    spaces : sequence of SpaceRead
        In the order of the list.
    sitting : Sitting
    now_s : float
        By the clock of the sitting. [s]
    width : int
        Columns of the list.
    roomy : bool
        Whether there is room for what was read before.
    """
    if not spaces:
        return ReadingView(empty=_nothing(desk))
    noted = dict(sitting.noted)
    names = [one.space for one in spaces]
    cursor = names.index(sitting.space) if sitting.space in names else -1
    rows = tuple(_row(one, noted.get(one.space), width) for one in spaces)
    if cursor < 0:
        return ReadingView(
            heading=_head(width), rows=rows, hint="a letter or an arrow picks a space"
        )
    one, narrow = spaces[cursor], width < NARROW
    return ReadingView(
        heading=_head(width),
        rows=rows,
        cursor=cursor,
        where=_where(one, sitting, narrow=narrow),
        typed=f"{sitting.typed}▏°C",
        beside=_beside(one, narrow=narrow),
        series=_series(sitting, now_s, LATEST if narrow else len(sitting.temps_c)),
        finding=_finding(desk.settles, sitting),
        refused=sitting.refused,
        hint="" if sitting.refused or narrow else _hint(sitting),
        earlier=_earlier(desk, one.space) if roomy else "",
    )


def _nothing(desk: "Desk") -> str:
    if desk.problems:
        return "The files have faults, so there is nothing to read yet: x shows them."
    if desk.opened is None:
        return "Reading the files …"
    return (
        "The season has no spaces yet: write a [[space]] into season.toml, with id "
        "and kind; it shows here once the file is saved."
    )


def _head(width: int) -> str:
    if width < NARROW:
        return "Longest unread first; tap or letter picks"
    return f"   {'space':<{_names(width)}} {'last read':<20} expected today, range"


def _names(width: int) -> int:
    return 18 if width >= ROOMY else 13


def _row(one: SpaceRead, noted: float | None, width: int) -> str:
    last = one.last_text if noted is None else f"{shown(noted)} °C ✓ noted now"
    letter = one.letter or " "
    if width >= NARROW:
        room = _names(width)
        return f"{letter}  {one.space:<{room}.{room}} {last:<20} {one.expected_text}"
    expected = "" if one.expected is None else f"expected {one.expected_text}"
    return f"{letter}  {one.space[:16]}: {last}\n   {expected}"


def _beside(one: SpaceRead, *, narrow: bool) -> str:
    if narrow:
        return f"today {one.expected_text}"
    return f"last {one.last_text}; expected today {one.expected_text}"


def _earlier(desk: "Desk", space: str) -> str:
    """The last days on which it was read."""
    rows = () if desk.temps is None else desk.temps.rows
    told = [
        f"{row.date:%a} {day_text(row.date):<7} {tenths(row.reading_c):>5}  "
        f"{'–' if row.model_c is None else tenths(row.model_c):>5}"
        for row in rows
        if row.space == space and row.reading_c is not None
    ]
    if not told:
        return ""
    head = f"{'Read before':<11} {'as read':>5}  model, °C, days' means"
    return "\n".join((head, *told[: -EARLIER - 1 : -1]))


def _where(one: SpaceRead, sitting: Sitting, *, narrow: bool) -> str:
    depth = one.depth_cm if sitting.depth_cm is None else sitting.depth_cm
    parts = [one.space, f"{depth:g} cm" if narrow else f"{depth:g} cm deep"]
    if sitting.probe:
        offset = sitting.offset_k
        sign = "+" if offset > 0 else ""
        corrected = f" ({sign}{shown(offset)} °C)" if offset else ""
        name = "" if narrow else "probe "
        parts.append(f"{name}{clean(sitting.probe)}{corrected}")
    else:
        parts.append("any probe")
    if sitting.note:
        parts.append(f"“{clean(sitting.note)}”")
    return " · ".join(parts)


def clock_text(seconds: float) -> str:
    """``1:05`` for minutes and seconds."""
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


def _series(sitting: Sitting, now_s: float, latest: int) -> str:
    if not sitting.temps_c:
        return ""
    if not sitting.creeps:
        return "taken: " + ", ".join(shown(temp) for temp in sitting.temps_c)
    first = sitting.at_s[0]
    taken = ", ".join(
        f"{shown(temp)} at {clock_text(at - first)}"
        for temp, at in list(zip(sitting.temps_c, sitting.at_s, strict=True))[-latest:]
    )
    return f"{taken}; now {clock_text(max(0.0, now_s - first))}"


def _finding(so_far: "SoFar | None", sitting: Sitting) -> str:
    temps = sitting.temps_c
    if not temps:
        return ""
    return _settling(so_far, sitting) if sitting.creeps else _mean(temps)


def _mean(temps: Sequence[float]) -> str:
    if len(temps) == 1:
        return "one taken; one more for a mean, or enter stores it"
    mean = shown(round(fmean(temps), 2))
    spread = stdev(temps)
    return f"mean of {len(temps)}: {mean} °C, spread {spread:.2f} °C; enter stores it"


def _settling(so_far: "SoFar | None", sitting: Sitting) -> str:
    temps = sitting.temps_c
    if len(temps) < LEAST_SETTLING:
        left = LEAST_SETTLING - len(temps)
        more = "1 more" if left == 1 else f"{left} more"
        return f"still creeping: {more} at the least tells where it settles"
    if so_far is None or (so_far.temps_c, so_far.minutes) != (temps, sitting.minutes):
        return "reckoning where it settles …"
    if so_far.end_c is None:
        return f"wait longer: {_direction(temps)} – {so_far.why}"
    half = f" ± {so_far.half_c:.1f}" if so_far.half_c is not None else ""
    told = "at rest at" if so_far.at_rest else "settles at"
    longer = "; a longer wait would be surer" if so_far.longer else ""
    return f"{told} {tenths(so_far.end_c)}{half} °C{longer}; enter stores it"


def _direction(temps: Sequence[float]) -> str:
    if temps[-1] == temps[-2]:
        return "it stands still for now"
    return "still rising" if temps[-1] > temps[-2] else "still falling"


def _hint(sitting: Sitting) -> str:
    if sitting.creeps:
        return "number and space: one more · backspace: the last one out"
    if sitting.temps_c:
        return "number and +: one more for the mean · enter: store"
    if sitting.typed:
        return "enter: store · space: it still creeps · +: one more for a mean"
    return "type what the probe shows · d depth · n note · o other probe · # number pad"


def end_of(so_far: "SoFar | None", sitting: Sitting) -> float | None:
    """Where the sitting's values settle; None: not known, or of other values."""
    if so_far is None or so_far.temps_c != sitting.temps_c:
        return None
    return so_far.end_c if so_far.minutes == sitting.minutes else None
