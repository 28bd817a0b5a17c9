"""Dates, money and text as people read them; nothing that a terminal obeys."""

import unicodedata
from collections.abc import Iterable
from datetime import date
from math import ceil, isnan

from propsched.domain.plan import Placement
from propsched.domain.space import told

_JOINERS = frozenset("\u200c\u200d")
"""Without these some scripts are misspelt."""
_BREAKS = frozenset("\t\n\r\x0b\x0c\x85\u2028\u2029")


def clean(text: str) -> str:
    """
    Text from a file without what a terminal obeys or what cannot be seen.

    Left out are control characters, marks and changes of direction, and other
    characters of format; breaks of lines become spaces.
    """
    if text.isascii() and text.isprintable():  # as nearly all
        return text
    spaced = "".join(" " if c in _BREAKS else c for c in text)
    return "".join(c for c in spaced if c in _JOINERS or not _hidden(c))


def _hidden(character: str) -> bool:
    return unicodedata.category(character) in ("Cc", "Cf", "Cs")


def day_text(day: date | None) -> str:
    """``6 Feb``; a dash for no day."""
    return "–" if day is None else f"{day.day} {day:%b}"


def money(amount: float, currency: str) -> str:
    """``£11.40`` with a sign, ``11.40 EUR`` with letters."""
    sign = clean(currency)
    if len(sign) == 1 and not sign.isalpha():
        return f"{sign}{amount:.2f}"
    return f"{amount:.2f} {sign}".rstrip()


def percent_up(fraction: float) -> str:
    """A share in per cent, rounded up to a tenth so that it never promises more."""
    tenths = ceil(max(0.0, fraction) * 1000 - 1e-9)
    return f"{tenths / 10:.1f} %"


def degrees(value: float) -> str:
    """One decimal, a real minus sign left out of it; a dash where unknown."""
    return "–" if isnan(value) else f"{value:.1f}"


def route_text(stops: Iterable[Placement]) -> str:
    """
    ``propagator (heat on) 6 Feb → bench 20 Feb``.

    A space is named once while it stays there in one state.
    """
    parts: list[str] = []
    before = ""
    for stop in stops:
        place = place_text(stop)
        if place != before:
            parts.append(f"{place} {day_text(stop.start)}")
        before = place
    return " → ".join(parts)


def place_text(stop: Placement) -> str:
    """The space, with what of its state is worth telling: ``bench (heat on)``."""
    state = told(stop.variant)
    return clean(f"{stop.space} ({state})" if state else stop.space)
