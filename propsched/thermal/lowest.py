"""The coldest hour of a night: between what it may be, and how likely below what."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from propsched.domain.space import Space
from propsched.thermal.rootzone import RootZone
from propsched.thermal.spread import ERRORS, Z80, total_range

Floats = NDArray[np.float64]

FROM_H, TO_H = 15, 9
"""A night is from this hour of its evening to that of the morning after."""
OUTDOORS_SD_C = 1.0
"""Of a garden's night minimum against that of the place whose weather is told:
hollows, walls, wind; judgement. [K]"""
LEAST_SD_C = 0.05
_RANKS = (np.arange(99) + 0.5) / 99


@dataclass(frozen=True, slots=True)
class Lowest:
    """
    What the coldest hour may be: most likely, and the middle 80 %. [°C]

    Either side of the middle falls off as a normal distribution of its own width, as
    the ranges of ``temps`` do.
    """

    low_c: float
    mid_c: float
    high_c: float

    def below(self, limit_c: float) -> float:
        """Probability of a colder one. 0..1"""
        return float(ndtr((limit_c - self.mid_c) / self._sd(limit_c < self.mid_c)))

    def spread(self) -> Floats:
        """Values that are all equally likely, rising. [°C]"""
        z = ndtri(_RANKS)
        return self.mid_c + z * np.where(z < 0, self._sd(True), self._sd(False))

    def raised(self, by_k: float) -> "Lowest":
        return Lowest(self.low_c + by_k, self.mid_c + by_k, self.high_c + by_k)

    def _sd(self, lower: bool) -> float:
        half = self.mid_c - self.low_c if lower else self.high_c - self.mid_c
        return max(half / Z80, LEAST_SD_C)


def night_minima(hourly_c: NDArray[np.float32], day: int) -> Floats:
    """
    Coldest hour of the night that begins on a day.

    Parameters
    ----------
    hourly_c : ndarray
        Shape (..., 24 N).

    Returns
    -------
    ndarray
        Shape (...).
    """
    night = hourly_c[..., 24 * day + FROM_H : 24 * (day + 1) + TO_H]
    return np.asarray(night.min(axis=-1), dtype=np.float64)


def lowest_air(
    zone: RootZone,
    variant: int,
    day: int,
    two_days_c: NDArray[np.float32] | None = None,
) -> Lowest:
    """
    The air around the plants, or what follows it.

    The weather's part is that of the winters; the model's is, outdoors, what a garden
    differs from the place of the forecast, and elsewhere what is not known of the day's
    mean of the root zone, for want of anything measured: judgement.

    Parameters
    ----------
    two_days_c : ndarray, optional
        Hours of that day and the next of what follows the air, shape (K, 48).
    """
    if two_days_c is None:
        minima = night_minima(zone.air_c[variant], day)
    else:
        minima = night_minima(two_days_c, 0)
    return _lowest(minima, _air_sd(zone.variants[variant].space))


def lowest_root(zone: RootZone, variant: int, day: int, sd_c: float) -> Lowest:
    """The root zone, as corrected; ``sd_c`` is what is still unknown of its mean."""
    space = zone.variants[variant].space
    minima = night_minima(zone.root_c[variant], day)
    return _lowest(minima, sd_c, ERRORS[space.kind].follow)


def _air_sd(space: Space) -> float:
    outdoors = space.kind in ("open-ground", "check-point") and space.inside is None
    return OUTDOORS_SD_C if outdoors else ERRORS[space.kind].sd_c


def _lowest(minima_c: Floats, sd_c: float, follow: float = 1.0) -> Lowest:
    ends = total_range(minima_c[:, None], np.zeros(1), np.full(1, sd_c), follow=follow)
    return Lowest(float(ends.low_c[0]), float(ends.mid_c[0]), float(ends.high_c[0]))
