"""
Where a thermometer that still rises or falls will come to rest.

A probe pushed into the ground goes from its own temperature to the ground's as
``x(t) = T∞ + (x0 − T∞) e^(−t/τ)`` (Newton's cooling, one time constant). Readings on
the way say where it ends, unless they are too early to say.

References
----------
.. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement": 5.1.2,
   the error of a result by its gradient to every reading.
.. [2] G. H. Golub, V. Pereyra, "The differentiation of pseudo-inverses and nonlinear
   least squares problems whose variables separate", SIAM J. Numer. Anal.
   10:413-432, 1973.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, inf, log, sqrt
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from propsched.thermal.probe import resolution_sd, sitting

Floats = NDArray[np.float64]

STILL_SD_C = 0.03
"""Scatter of a probe that is left where it is; judgement. [K]"""
CLOCK_SD_MIN = 2 / 60
"""How exactly somebody reads at the minute; judgement. [min]"""
SLOWEST_MIN = 3.0
"""Longest time constant of a stem probe, in dry compost; from memory. [min]"""
RATIO_MOST = 0.95
"""A sequence this straight says nothing of its end."""
RATIO_WAIT = 0.8
"""From here on a longer wait is worth more than arithmetic."""
SD_MOST_C = 1.0
"""An end less sure than this is not worth storing. [K]"""
REACHES = 1.28, 1.64
"""Standard deviations at which the curve's skew is looked at."""
OWN_WEIGHT = 4.0
"""The stated errors count as so many readings to spare against what is seen of them."""
GRID = 96
LEAST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """An end value and what it rests on."""

    end_c: float
    """As the probe would show it; its offset is still to be added. [°C]"""
    sd_c: float
    """[K]"""
    how: Literal["averaged", "extrapolated"]
    """Averaged where the readings had come to rest."""
    tau_min: float | None = None
    """Time constant; None where the readings had come to rest. [min]"""
    ratio: float | None = None
    """Way left at the end as a share of that at half time; 0..1"""

    @property
    def longer_would_help(self) -> bool:
        return self.ratio is not None and self.ratio > RATIO_WAIT


@dataclass(frozen=True, slots=True)
class Unsettled:
    """The sequence cannot say where it ends."""

    why: str


def end_of_three(x1: float, x2: float, x3: float) -> tuple[float, float]:
    """
    End value of three readings at equal intervals, and the ratio of their steps.

    Parameters
    ----------
    x1, x2, x3 : float
        Neither equal steps nor an equal first pair. [°C]

    Returns
    -------
    end_c, ratio : float
        ``ratio`` is (x3 − x2) ÷ (x2 − x1) = e^(−Δt/τ).

    Notes
    -----
    ``T∞ = (x1 x3 − x2²) / (x1 + x3 − 2 x2)``, written from x3 on so that little is
    lost to cancellation.
    """
    ratio = (x3 - x2) / (x2 - x1)
    return x3 + (x3 - x2) * ratio / (1 - ratio), ratio


def gradient_of_three(ratio: float) -> tuple[float, float, float]:
    """
    Change of the end value with each of three readings at equal intervals. [K/K]

    ``(ρ², −2ρ, 1) / (1 − ρ)²``; they sum to 1.
    """
    below = (1 - ratio) ** 2
    return ratio**2 / below, -2 * ratio / below, 1 / below


def time_constant(interval: float, ratio: float) -> float:
    """Time constant in the unit of the interval: ``Δt / ln(1/ρ)``."""
    return interval / log(1 / ratio)


def settle(
    temps_c: Sequence[float],
    minutes: Sequence[float],
    *,
    resolution_c: float,
    still_sd_c: float = STILL_SD_C,
    clock_sd_min: float = CLOCK_SD_MIN,
) -> Settled | Unsettled:
    """
    End value of readings on their way to rest.

    Parameters
    ----------
    temps_c : sequence of float
        As shown, in order of time. [°C]
    minutes : sequence of float
        When, increasing; as many. [min]
    resolution_c : float
        Width of the last digit. [K]
    still_sd_c : float
        Scatter of a reading beside its rounding. [K]
    clock_sd_min : float
        Error of the times. [min]

    Notes
    -----
    Least squares on (T∞, x0, ln τ), the first two linear for a given τ [2]_; through
    three readings the curve passes exactly. The error is that of rounding, scatter
    and clock carried through the gradient [1]_, and as much larger as the readings
    lie off the curve.
    """
    temps, times = np.array(temps_c, float), np.array(minutes, float)
    if len(temps) < LEAST:
        return Unsettled(f"{len(temps)} readings are too few: {LEAST} at the least")
    rest = _at_rest(temps, times, resolution_c)
    if rest is not None:
        return rest
    read_sd = hypot(still_sd_c, resolution_sd(resolution_c))
    sds = np.full_like(temps, read_sd)
    for _ in range(2):  # the clock's part needs the curve
        tau = _time_constant(temps, times, sds)
        curve = _curves(temps, times, np.array([tau]), sds)
        end, way = float(curve.end[0]), float(curve.start[0] - curve.end[0])
        speed = abs(way) / tau * np.exp(-(times - times[0]) / tau)
        sds = np.hypot(read_sd, speed * clock_sd_min)
    ratio = exp(-(times[-1] - times[0]) / (2 * tau))
    if ratio >= RATIO_MOST:
        return Unsettled("the steps do not get smaller yet")
    if not _one_way(temps, end, sds):
        return Unsettled("they go up and down")
    off = float(_curves(temps, times, np.array([tau]), sds).off[0])
    spare = len(temps) - LEAST
    sds = sds * sqrt((OWN_WEIGHT + off) / (OWN_WEIGHT + spare))
    far = (_far(temps, times, sds, reach) for reach in REACHES)
    sd = max(_near(way, times, tau, sds), *far)
    if sd > SD_MOST_C:
        within = f"within {1.28 * sd:.1f} K of {end:.1f} °C" if sd < 5 else "anywhere"
        return Unsettled(f"their end could lie {within}")
    return Settled(end_c=end, sd_c=sd, how="extrapolated", tau_min=tau, ratio=ratio)


def _at_rest(temps: Floats, times: Floats, resolution_c: float) -> Settled | None:
    """
    The mean of readings that do not move by more than the last digit.

    What they may still hide is a slow probe's way: with the slowest time constant,
    the part of it after the last reading.
    """
    moved = float(np.ptp(temps))
    if moved > resolution_c * (1 + 1e-6):
        return None
    digit_sd = resolution_sd(resolution_c)
    left = exp(-(times[-1] - times[0]) / SLOWEST_MIN)
    hidden = (moved + digit_sd) * left / (1 - left)
    sd = hypot(sitting(temps.tolist(), resolution_c).se_c, STILL_SD_C, hidden)
    if sd > SD_MOST_C:
        return None
    return Settled(end_c=float(temps.mean()), sd_c=sd, how="averaged")


def _tau_limits(times: Floats) -> tuple[float, float]:
    """From at rest by the second reading to as good as straight. [min]"""
    span = float(times[-1] - times[0])
    return float(np.diff(times).min()) / 8, span / (2 * log(1 / 0.99))


def _time_constant(temps: Floats, times: Floats, sds: Floats) -> float:
    """Time constant of the best curve, by its closed form where there is one."""
    span = float(times[-1] - times[0])
    least, most = _tau_limits(times)
    if len(temps) == LEAST and np.ptp(np.diff(times)) <= 1e-9 * span:
        first, second = np.diff(temps)
        ratio = second / first if first else inf
        if ratio <= 0:
            return least
        return time_constant(span / 2, ratio) if ratio < 0.99 else most

    def off(log_tau: float) -> float:
        return float(_curves(temps, times, np.exp([log_tau]), sds).off[0])

    grid = np.geomspace(least, most, GRID)
    best = int(np.argmin(_curves(temps, times, grid, sds).off))
    around = log(grid[max(0, best - 1)]), log(grid[min(GRID - 1, best + 1)])
    found: Any = minimize_scalar(
        off, bounds=around, method="bounded", options={"xatol": 1e-9}
    )
    return exp(float(found.x))


@dataclass(frozen=True, slots=True)
class _Curves:
    """The best curve for each time constant. Shape (time constants,)"""

    end: Floats
    start: Floats
    off: Floats
    """Weighted sum of squares of what is left."""
    width: Floats
    """Standard deviation of the end with the time constant given. [K]"""


def _curves(temps: Floats, times: Floats, taus: Floats, sds: Floats) -> _Curves:
    """Weighted least squares on start and end, by their normal equations."""
    decay = np.exp(-(times - times[0]) / taus[:, None])
    weight = 1 / sds**2
    to_end, to_start = 1 - decay, decay
    # about the mean, so that nothing is lost to large temperatures
    middle = temps.mean()
    y = temps - middle
    ee = (weight * to_end**2).sum(axis=1)
    ss = (weight * to_start**2).sum(axis=1)
    es = (weight * to_end * to_start).sum(axis=1)
    ey = (weight * to_end * y).sum(axis=1)
    sy = (weight * to_start * y).sum(axis=1)
    det = ee * ss - es**2
    end = (ss * ey - es * sy) / det
    start = (ee * sy - es * ey) / det
    left = y - to_end * end[:, None] - to_start * start[:, None]
    return _Curves(
        end + middle, start + middle, (weight * left**2).sum(axis=1), np.sqrt(ss / det)
    )


def _near(way: float, times: Floats, tau: float, sds: Floats) -> float:
    """The error of the end by the gradients of the curve. [K]"""
    passed = (times - times[0]) / tau
    decay = np.exp(-passed)
    shape = np.stack([1 - decay, decay, way * passed * decay], axis=1) / sds[:, None]
    covariance = np.linalg.pinv(shape.T @ shape, rcond=1e-14, hermitian=True)
    return sqrt(max(0.0, float(covariance[0, 0])))


def _far(temps: Floats, times: Floats, sds: Floats, reach: float) -> float:
    """
    The error of the end as seen from far out, where it is no longer symmetric. [K]

    The largest distance of the end of any curve that fits the readings nearly as
    well as the best one, over ``reach``; endless where straight lines do.
    """
    least, most = _tau_limits(times)
    taus = np.geomspace(least, most, GRID)
    curves = _curves(temps, times, taus, sds)
    best = int(np.argmin(curves.off))
    room = reach**2 - (curves.off - curves.off[best])
    if room[-1] > 0:
        return inf
    away = np.abs(curves.end - curves.end[best])
    reached = away + curves.width * np.sqrt(np.maximum(room, 0))
    return float(reached[room > 0].max()) / reach


def _one_way(temps: Floats, end: float, sds: Floats) -> bool:
    """Whether no step goes back by more than the readings' errors explain."""
    steps = np.diff(temps) * np.sign(end - temps[0])
    return bool((steps > -3 * np.hypot(sds[1:], sds[:-1])).all())
