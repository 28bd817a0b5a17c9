"""Readings being taken: what is typed, what was taken so far, what would be stored."""

from dataclasses import dataclass, replace
from statistics import fmean

ODD_K = 5.0
"""So far outside what a day is expected to bring, a reading is asked for again."""
ABSURD_K = 30.0
"""So far outside, it is a slip of the finger; judgement, as the two limits below."""
COLDEST_C, HOTTEST_C = -40.0, 80.0
"""Colder no ground gets in a garden, and hotter no heap."""
LONGEST = 6
"""Characters of a number."""
LEAST_S = 1.0
"""Between two readings of one sequence."""
LEAST_SETTLING = 3
"""Readings that a curve goes through."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What a space's root zone is expected to show today, over the day. [°C]"""

    mean_c: float
    low_c: float
    high_c: float

    def off_k(self, temp_c: float) -> float:
        """How far outside the range of the day; below it negative."""
        return temp_c - min(max(temp_c, self.low_c), self.high_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """A reading to be stored."""

    space: str
    temps_c: tuple[float, ...]
    minutes: tuple[float, ...] = ()
    settling: bool = False
    probe: str = ""
    depth_cm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """One go round the garden with the probe."""

    space: str = ""
    typed: str = ""
    temps_c: tuple[float, ...] = ()
    """Taken here before what is being typed. [°C]"""
    at_s: tuple[float, ...] = ()
    """When, by the clock. [s]"""
    creeps: bool = False
    """They are on their way to rest; else they are several of one temperature."""
    probe: str = ""
    """Blank: one that the season does not describe."""
    offset_k: float = 0.0
    """Of the probe, to add to what it shows."""
    depth_cm: float | None = None
    """None: the space's."""
    note: str = ""
    sure_of: float | None = None
    """The odd number that was asked for once more."""
    refused: str = ""
    """Why nothing came of the last key, or what it asks for."""
    noted: tuple[tuple[str, float], ...] = ()
    """Spaces noted in this sitting, with the temperature last shown there."""

    @property
    def minutes(self) -> tuple[float, ...]:
        """When each was taken, from the first on. [min]"""
        return tuple(round((at - self.at_s[0]) / 60, 2) for at in self.at_s)

    @property
    def open(self) -> bool:
        """Whether something would be lost by leaving."""
        return bool(self.typed or self.temps_c)


def typing(sitting: Sitting, character: str) -> Sitting:
    """A digit, a point or comma; a minus anywhere turns the sign."""
    text = sitting.typed
    if character in "-−":
        text = text[1:] if text.startswith("−") else f"−{text}"
    elif character in ".,":
        text = text if "." in text else f"{text}."
    else:
        text += character
    if len(text) > LONGEST:
        return replace(sitting, refused=f"a temperature has {LONGEST} signs at most")
    return replace(sitting, typed=text, sure_of=None, refused="")


def rubbed(sitting: Sitting) -> Sitting:
    """The last sign goes; where nothing is typed, the last value taken."""
    if sitting.typed:
        return replace(sitting, typed=sitting.typed[:-1], sure_of=None, refused="")
    left = sitting.temps_c[:-1]
    return replace(
        sitting,
        temps_c=left,
        at_s=sitting.at_s[:-1],
        creeps=sitting.creeps and bool(left),
        refused="",
    )


def emptied(sitting: Sitting) -> Sitting:
    """Nothing typed, nothing taken, at the space's own depth."""
    return Sitting(
        space=sitting.space,
        probe=sitting.probe,
        offset_k=sitting.offset_k,
        noted=sitting.noted,
    )


def going_to(sitting: Sitting, space: str) -> Sitting:
    """To another space; a number that is typed already goes along."""
    if space == sitting.space:
        return replace(sitting, refused="")
    if sitting.temps_c:
        return replace(
            sitting,
            refused=f"{sitting.space} is not stored yet: enter stores, escape drops it",
        )
    return replace(emptied(sitting), space=space, typed=sitting.typed)


def added(
    sitting: Sitting, now_s: float, expected: Expected | None, *, creeps: bool
) -> Sitting:
    """What is typed is taken, and more is to come."""
    sitting = _looked_at(sitting, expected, creeps=creeps)
    if sitting.refused:
        return sitting
    if sitting.temps_c and sitting.creeps != creeps:
        other = "space adds to them" if sitting.creeps else "+ adds to them"
        return replace(sitting, refused=f"those taken so far are otherwise: {other}")
    if sitting.at_s and now_s - sitting.at_s[-1] < LEAST_S:
        return replace(sitting, refused="wait a little before the next one")
    return replace(
        sitting,
        typed="",
        temps_c=(*sitting.temps_c, _number(sitting.typed)),
        at_s=(*sitting.at_s, now_s),
        creeps=creeps,
        sure_of=None,
    )


def ended(
    sitting: Sitting, now_s: float, expected: Expected | None, end_c: float | None
) -> tuple[Sitting, Stored | None]:
    """
    Store what there is; None: the sitting says why it cannot be stored yet.

    ``end_c`` is where the values taken so far settle, where that can be told.
    """
    if sitting.creeps and sitting.temps_c:
        return _settled(sitting, now_s, expected, end_c)
    if sitting.typed or not sitting.temps_c:
        sitting = added(
            replace(sitting, at_s=()) if not sitting.temps_c else sitting,
            max(now_s, sitting.at_s[-1] + LEAST_S) if sitting.at_s else now_s,
            expected,
            creeps=False,
        )
        if sitting.refused:
            return sitting, None
    return _stored(sitting, round(fmean(sitting.temps_c), 2), settling=False)


def _settled(
    sitting: Sitting, now_s: float, expected: Expected | None, end_c: float | None
) -> tuple[Sitting, Stored | None]:
    if sitting.typed:
        return added(sitting, now_s, expected, creeps=True), None
    number = len(sitting.temps_c)
    if number < LEAST_SETTLING:
        why = f"{LEAST_SETTLING} readings at the least tell where it ends, not {number}"
        return replace(sitting, refused=why), None
    if end_c is None:
        return replace(sitting, refused="it cannot be told yet where it ends"), None
    sitting = _sure(sitting, end_c, expected)
    if sitting.refused:
        return sitting, None
    return _stored(sitting, end_c, settling=True)


def _stored(
    sitting: Sitting, shown_c: float, *, settling: bool
) -> tuple[Sitting, Stored]:
    stored = Stored(
        space=sitting.space,
        temps_c=sitting.temps_c,
        minutes=sitting.minutes if settling else (),
        settling=settling,
        probe=sitting.probe,
        depth_cm=sitting.depth_cm,
        note=sitting.note,
    )
    before = tuple(one for one in sitting.noted if one[0] != sitting.space)
    noted = (*before, (sitting.space, shown_c))
    return replace(emptied(sitting), noted=noted), stored


def taken_back(sitting: Sitting) -> Sitting:
    """The space noted last is no longer said to be."""
    return replace(sitting, noted=sitting.noted[:-1], refused="")


def _number(text: str) -> float:
    return float(text.replace("−", "-"))


def _looked_at(sitting: Sitting, expected: Expected | None, *, creeps: bool) -> Sitting:
    """
    Whether what is typed can be: ``refused`` says why not, or asks once more.

    A probe that creeps comes from anywhere; what it settles at is looked at then.
    """
    try:
        temp = _number(sitting.typed)
    except ValueError:
        return replace(sitting, refused="type what the probe shows first")
    if not sitting.space:
        return replace(sitting, refused="pick a space first: its letter, or an arrow")
    if not COLDEST_C <= temp <= HOTTEST_C:
        return replace(sitting, refused=_absurd(temp, sitting.offset_k, expected))
    if creeps or expected is None:
        return replace(sitting, refused="")
    if abs(expected.off_k(temp + sitting.offset_k)) > ABSURD_K:
        return replace(sitting, refused=_absurd(temp, sitting.offset_k, expected))
    return _sure(sitting, temp, expected)


def _sure(sitting: Sitting, temp: float, expected: Expected | None) -> Sitting:
    """Asks once more where it is far from what is expected."""
    off = expected.off_k(temp + sitting.offset_k) if expected else 0.0
    if abs(off) < ODD_K or sitting.sure_of == temp:
        return replace(sitting, refused="")
    side = "warmer" if off > 0 else "colder"
    why = (
        f"{shown(temp)} °C is {abs(off):.0f} °C {side} than the model has it today: "
        "the same key once more takes it"
    )
    return replace(sitting, refused=why, sure_of=temp)


def _absurd(temp: float, offset_k: float, expected: Expected | None) -> str:
    tenth = temp / 10
    why = f"{shown(temp)} °C is not taken"
    if expected and abs(expected.off_k(tenth + offset_k)) < ODD_K:
        return f"{why} – {shown(tenth)} is likelier"
    if expected and COLDEST_C <= temp <= HOTTEST_C:
        return f"{why} – expected is {_range(expected)}"
    return f"{why} – must be {shown(COLDEST_C)} to {shown(HOTTEST_C)}"


def _range(expected: Expected) -> str:
    return f"{tenths(expected.low_c)} to {tenths(expected.high_c)} °C"


def shown(temp_c: float) -> str:
    """``−2.5``, with a real minus."""
    return f"{temp_c:g}".replace("-", "−")


def tenths(temp_c: float) -> str:
    """With one decimal, as what is reckoned is told."""
    return f"{temp_c:.1f}".replace("-", "−")
