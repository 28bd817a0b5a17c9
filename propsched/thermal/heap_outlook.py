"""How hot a heap gets, when, and for how long, as ranges."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.thermal.guesses import Range, Rotting, run_guesses, spread_of

Array = NDArray[np.float64]

HOT_C = 40.0
"""Day's mean in its middle down to which a heap counts as hot."""
WATCHED_D = 60
LEAST_D = 30

REPORTED: tuple[tuple[str, float, float], ...] = (
    ("warmest hour, °C", 56.0, 67.0),
    ("on day", 5.0, 8.0),
    ("last day above 40 °C", 13.0, 22.0),
)
"""
A hot home heap under 1 m³, its owner's published log of 2014-17, filled at 4 to 13 °C.

The first day counts as 1. The model's rate and fuel of a heap were set to it.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapChanged:
    """The heap with one thing different, median of the winters."""

    what: str
    warmest_c: float
    on_day: float
    last_hot_day: float
    """0: never above 40 °C."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapOutlook:
    """Days are counted from making up, which is day 1."""

    made_up: date
    at: dict[str, Range]
    """By the names of ``REPORTED``."""
    sensitivity: tuple[HeapChanged, ...]
    draws: int
    winters: int


def last_hot_day(mean_c: Array) -> Array:
    """Number of the last day above ``HOT_C``, the first being 1; 0 if there is none."""
    hot = mean_c > HOT_C
    last = mean_c.shape[-1] - np.argmax(np.flip(hot, -1), axis=-1)
    return np.where(hot.any(axis=-1), last, 0.0)


def heap_outlook(heap: Rotting) -> HeapOutlook | None:
    """
    Heat in the middle of a heap over winters and what is not known of it.

    Returns
    -------
    HeapOutlook or None
        None where it has no day of making up, or the outlook does not hold the month
        after it.
    """
    found = run_guesses(heap, days=WATCHED_D, least_days=LEAST_D)
    if found is None:
        return None
    hours = found.hours_c.reshape(*found.hours_c.shape[:2], -1)
    columns = (
        hours.max(axis=-1),
        hours.argmax(axis=-1) // 24 + 1.0,
        last_hot_day(found.mean_c),
    )
    names = [name for name, _, _ in REPORTED]
    middle = [np.median(column, axis=1) for column in columns]
    return HeapOutlook(
        made_up=found.made_up,
        at={
            name: spread_of(column[: found.draws])
            for name, column in zip(names, columns, strict=True)
        },
        sensitivity=tuple(
            HeapChanged(
                what=what,
                warmest_c=float(middle[0][found.draws + i]),
                on_day=float(middle[1][found.draws + i]),
                last_hot_day=float(middle[2][found.draws + i]),
            )
            for i, what in enumerate(found.others)
        ),
        draws=found.draws,
        winters=found.winters,
    )
