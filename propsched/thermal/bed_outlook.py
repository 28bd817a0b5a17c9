"""
When a hotbed can be sown and how long it is of use, as ranges.

References
----------
.. [1] L. H. Bailey, "Manual of Gardening" (depths of beds, how long they last).
.. [2] Handbooks of hotbed gardening: sow when the soil has fallen to 90 °F (32 °C), to
   80-85 °F after about a week, or to 75-80 °F (24-27 °C); 55 °F is too cold.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.thermal.guesses import Range, Rotting, run_guesses, spread_of

Array = NDArray[np.float64]

KILLS_SEED_C = 30.0
"""Root zone above which seed is not sown; common practice, about 24 to 32 °C, [2]."""
KILLS_SEED_BAND_C = (24.0, 32.0)
TOO_COLD_C = 15.0
"""Root zone below which the bed is of no more use; 55 °F is too cold, [2]."""
LEAST_LIFT_K = 5.0
"""
Lift over the same frame without manure below which it is of no more use.

Judgement: with it the usual bed serves some nine weeks, "up to eight" in handbooks.
"""
SPIKE_D = 56
"""Days after making up within which the first heat must have passed."""
WATCHED_D = 100
SMOOTH_D = 5
REPORTED: tuple[tuple[str, float, float], ...] = (
    ("day 3", 18.0, 30.0),
    ("day 7", 26.0, 35.0),
    ("warmest", 28.0, 36.0),
    ("day 28", 21.0, 29.0),
    ("day 56", 17.0, 23.0),
)
"""
Soil of 60 cm of fresh stable manure in a cold frame in February. [°C]

Growers' reports, not measurements by anybody who published a series; the model's
defaults were set to them, so agreement proves nothing.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BedChanged:
    """The bed with one thing different, median of the winters. [°C]"""

    what: str
    warmest_c: float
    day_28_c: float
    day_56_c: float
    ready_d: float
    """Days from making up; NaN: never."""
    useful_d: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BedOutlook:
    """Days are counted from making up."""

    made_up: date
    too_hot: float
    """Share of winters and guesses in which it passes what seed stands. 0..1"""
    ready_d: Range
    """Day on which it is back under that, where it passes it."""
    warm_d: Range
    """Day on which it is warm enough, where it does not pass it."""
    useful_d: Range
    """Until the manure is of no more use."""
    at: dict[str, Range]
    """Daily mean of the root zone at the names of ``REPORTED``. [°C]"""
    sensitivity: tuple[BedChanged, ...]
    draws: int
    winters: int


def ready_day(mean_c: Array, kills_c: float = KILLS_SEED_C) -> Array:
    """
    First day on which seed is safe and the bed warm; NaN if there is none.

    Parameters
    ----------
    mean_c : ndarray
        Day's mean of the root zone from the day of making up on, which is what a probe
        shows of a morning; shape (…, D), D > ``SPIKE_D``. [°C]
    kills_c : float
        No later day of the first heat may be hotter. [°C]

    Returns
    -------
    ndarray
        Days from making up, at least 1. (…)
    """
    hot = mean_c[..., :SPIKE_D] > kills_c
    later = np.flip(np.logical_or.accumulate(np.flip(hot, -1), axis=-1), -1)
    fit = ~later & (mean_c[..., :SPIKE_D] >= TOO_COLD_C)
    fit[..., 0] = False
    return np.where(fit.any(axis=-1), fit.argmax(axis=-1), np.nan)


def useful_days(mean_c: Array, frame_c: Array) -> Array:
    """
    Days until the bed is of no more use; NaN if it outlasts them all.

    Parameters
    ----------
    mean_c : ndarray
        Root zone of the bed from the day of making up on, shape (…, D). [°C]
    frame_c : ndarray
        Of the same frame without manure; broadcasts. [°C]

    Notes
    -----
    After its warmest day the mean of five days must stay ``LEAST_LIFT_K`` above the
    frame and at ``TOO_COLD_C`` or more. A bed that never is has 0 days.
    """
    kernel = np.ones(SMOOTH_D) / SMOOTH_D

    def smooth(x: Array) -> Array:
        return np.apply_along_axis(np.convolve, -1, x, kernel, "valid")

    bed, lift = smooth(mean_c), smooth(mean_c - frame_c)
    good = (bed >= TOO_COLD_C) & (lift >= LEAST_LIFT_K)
    warmest = bed[..., :SPIKE_D].argmax(axis=-1)[..., None]
    after = np.arange(bed.shape[-1]) >= warmest
    spent = after & ~good
    first = np.where(spent.any(axis=-1), spent.argmax(axis=-1), np.nan)
    return np.where(good.any(axis=-1), first + SMOOTH_D - 1.0, 0.0)


def bed_outlook(bed: Rotting, *, kills_c: float = KILLS_SEED_C) -> BedOutlook | None:
    """
    Ready-to-sow day and useful life over winters and what is not known of the bed.

    Parameters
    ----------
    bed : Rotting
        A hotbed.
    kills_c : float
        Root zone above which seed is not sown. [°C]

    Returns
    -------
    BedOutlook or None
        None where it has no day of making up, or the outlook does not hold the eight
        weeks after it.
    """
    found = run_guesses(bed, days=WATCHED_D, least_days=SPIKE_D + SMOOTH_D + 1)
    if found is None:
        return None
    mean_c, guessed = found.mean_c, slice(0, found.draws)
    ready = ready_day(mean_c, kills_c)
    useful = useful_days(mean_c, found.before_c.mean(axis=-1))
    hot = np.asarray((mean_c[..., :SPIKE_D] > kills_c).any(axis=-1))
    figures = {
        name: _at(mean_c, name) for name, _, _ in REPORTED
        if name == "warmest" or int(name.split()[1]) < mean_c.shape[-1]
    }  # fmt: skip
    return BedOutlook(
        made_up=found.made_up,
        too_hot=float(hot[guessed].mean()),
        ready_d=spread_of(ready[guessed][hot[guessed]]),
        warm_d=spread_of(ready[guessed][~hot[guessed]]),
        useful_d=spread_of(useful[guessed]),
        at={name: spread_of(values[guessed]) for name, values in figures.items()},
        sensitivity=tuple(
            _changed(what, figures, ready, useful, found.draws + i)
            for i, what in enumerate(found.others)
        ),
        draws=found.draws,
        winters=found.winters,
    )


def _at(mean_c: Array, name: str) -> Array:
    if name == "warmest":
        return np.asarray(mean_c[..., :SPIKE_D].max(axis=-1))
    return np.asarray(mean_c[..., int(name.split()[1])])


def _changed(
    what: str, figures: dict[str, Array], ready: Array, useful: Array, row: int
) -> BedChanged:
    def middle(name: str) -> float:
        return float(np.median(figures[name][row])) if name in figures else np.nan

    return BedChanged(
        what=what,
        warmest_c=middle("warmest"),
        day_28_c=middle("day 28"),
        day_56_c=middle("day 56"),
        ready_d=spread_of(ready[row]).middle,
        useful_d=spread_of(useful[row]).middle,
    )
