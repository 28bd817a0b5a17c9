"""What the model leaves unexplained of a day's mean, and how long it lasts."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from propsched.domain.crop import Basis
from propsched.domain.space import SpaceKind

Floats = NDArray[np.float64]

Z80 = 1.2816
"""Half width of the middle 80 % of a normal distribution, in its sd."""


class Part(NamedTuple):
    """One part of the error; it decays as a first-order autoregression."""

    sd_c: float
    """Standard deviation over many winters. [K]"""
    keep: float
    """Share left a day later; 1 is a constant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelError:
    """Truth less model of a day's mean, as a sum of independent parts."""

    parts: tuple[Part, ...]
    follow: float = 1.0
    """How far the truth goes with the weather for each kelvin that the model does."""
    basis: Basis = "memory"

    @property
    def sd_c(self) -> float:
        """Of one day before any reading. [K]"""
        return float(np.sqrt(sum(part.sd_c**2 for part in self.parts)))

    @property
    def passing(self) -> "ModelError":
        """Without its constant part, which stands for wrong figures."""
        parts = tuple(part for part in self.parts if part.keep < 1)
        return replace(self, parts=parts)

    def times(self, factor: float) -> "ModelError":
        """The same, so many times as large."""
        parts = tuple(Part(part.sd_c * factor, part.keep) for part in self.parts)
        return replace(self, parts=parts)

    def covariance(self, days: Floats, others: Floats) -> Floats:
        """Between days. [K²] (len(days), len(others))"""
        apart = np.abs(np.subtract.outer(days, others))
        return np.asarray(sum(p.sd_c**2 * p.keep**apart for p in self.parts))


def error_of(sd_c: float, *, basis: Basis = "memory") -> ModelError:
    """
    Error of a covered or heated space of which only its size is known.

    Parameters
    ----------
    sd_c : float
        Of a day's mean. [K]

    Notes
    -----
    Half of the variance is a constant, what is wrong with the description of the
    space; half is a departure that decays by a tenth a day; both from memory.
    """
    half = sd_c / np.sqrt(2)
    return ModelError(parts=(Part(half, 1.0), Part(half, 0.9)), basis=basis)


OPEN_GROUND = ModelError(
    parts=(Part(0.65, 0.25), Part(0.40, 0.95)),
    follow=1.06,
    basis="derived",
)
"""
Between the likeliest for the daily gaps of two stations in Ireland at 10 cm, November
to March of 15 winters: 0.61 and 0.69 K that keep 0.20 and 0.31 a day, and 0.40 and
0.34 K that keep 0.87 and 0.98. Departures of a winter's day from the mean of all
winters are 1.08 and 1.04 times those of the model.
"""

ERRORS: dict[SpaceKind, ModelError] = {
    "open-ground": OPEN_GROUND,
    "cold-frame": error_of(1.5),
    "glasshouse": error_of(1.5),
    "polytunnel": error_of(1.5),
    "windowsill": error_of(1.0),
    "heated-bench": error_of(0.7),
    "propagator": error_of(0.7),
    "warm-cupboard": error_of(1.0),
    "hotbed": error_of(3.5),
    "heap": error_of(3.5),
    "store": error_of(1.0),
    "check-point": error_of(0.5),
}
"""
By kind of space.

Heap, store, warm cupboard and check point: judgement. The others but open ground from
memory of what models of unheated houses, benches and beds leave unexplained.
"""


class Range(NamedTuple):
    """Middle 80 % of a day's mean, each (N,). [°C]"""

    low_c: Floats
    mid_c: Floats
    high_c: Floats


def total_range(
    ensemble_c: Floats, shift_c: Floats, sd_c: Floats, *, follow: float = 1.0
) -> Range:
    """
    Weather and model error together.

    Parameters
    ----------
    ensemble_c : ndarray
        Daily means of every winter, shape (K, N). [°C]
    shift_c : ndarray
        Added to all winters, shape (N,). [K]
    sd_c : ndarray
        Of the model's error once shifted, shape (N,). [K]
    follow : float
        See ``ModelError``; widens the weather's part.

    Notes
    -----
    The two are independent, so the half widths add in squares, each side by itself:
    weather is not spread evenly about its median. Of K winters the quantiles are those
    between which another winter falls four times in five: at ranks p (K + 1).
    """
    low, mid, high = np.quantile(ensemble_c, [0.1, 0.5, 0.9], axis=0, method="weibull")
    return Range(
        mid + shift_c - np.hypot(follow * (mid - low), Z80 * sd_c),
        mid + shift_c,
        mid + shift_c + np.hypot(follow * (high - mid), Z80 * sd_c),
    )
