"""Cardinal temperatures from a table of days at constant temperatures."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_PLATEAU_K, _FALL_K = 5.0, 10.0
"""Width of the flat top and of the fall above it where the data leave them open."""
_PLATEAU_PENALTY, _FALL_PENALTY = 1e-5, 2e-6
"""Too small to matter beside the data: 5 K off the usual weighs as rms 0.016."""


@dataclass(frozen=True, slots=True)
class Cardinal:
    """Figures of the rate of development, as the crop table has them."""

    base_c: float
    opt_c: float
    opt_to_c: float
    max_c: float
    sum_c_d: float
    rms_ln: float
    """Root mean square residual of ln days."""

    def days(self, temp_c: float) -> float:
        """Days to being through at a constant temperature; inf: never."""
        speed = float(_speed(np.array([temp_c]), *_columns(self))[0, 0])
        return self.sum_c_d / speed if speed > 0 else inf


def fit_cardinal(
    temps_c: Sequence[float], days: Sequence[float], none_c: Sequence[float] = ()
) -> Cardinal:
    """
    Least squares of ln days on the piecewise linear rate of development.

    Parameters
    ----------
    temps_c : sequence of float, at least two different
        Constant temperatures at which it was tried. [°C]
    days : sequence of float
        Days to being through at each. [d]
    none_c : sequence of float
        Temperatures at which it was tried and none came; only those above the
        warmest of ``temps_c`` are used, as limits of ``max_c``. [°C]

    Returns
    -------
    Cardinal

    Notes
    -----
    Thermal time below the optimum [1]_, a flat top, and a straight fall to the
    ceiling [2]_.  ln days is fitted, so that a day in ten weighs as ten days in
    a hundred.  The sum has a closed form; base, top and ceiling are searched on
    grids, coarse to fine, so that the answer does not hang on a first guess.
    With fewer than four temperatures the top starts at the warmest of them.  A
    faint pull towards a top of 5 K and a fall of 10 K (judgement) decides what
    the data leave open; without it a ceiling just above the last point would do.

    References
    ----------
    .. [1] J. Garcia-Huidobro, J. L. Monteith and G. R. Squire, "Time,
       temperature and germination of pearl millet. I. Constant temperature,"
       J. Exp. Bot., vol. 33, pp. 288–296, 1982.
    .. [2] H. R. Rowse and W. E. Finch-Savage, "Hydrothermal threshold models
       can describe the germination response of carrot and onion seed
       populations across both sub- and supra-optimal temperatures," New
       Phytol., vol. 158, pp. 101–108, 2003.
    """
    temp, days_seen = np.asarray(temps_c, float), np.asarray(days, float)
    if temp.shape != days_seen.shape or np.unique(temp).size < 2:
        raise ValueError(f"two different temperatures are needed: {list(temps_c)}")
    if not (days_seen > 0).all():
        raise ValueError(f"days must be above 0: {list(days)}")
    low, high = float(temp.min()), float(temp.max())
    ceiling = min([none for none in none_c if none > high], default=high + 15)
    few = np.unique(temp).size < 4
    limits = (
        (low - 10, low - 0.1),
        (high, high) if few else (low + 3, high),
        (high, ceiling - 1) if few else (low + 3, ceiling - 1),
        (high + 0.5, ceiling),
    )
    grids = [
        np.arange(a, b + 1e-9, s) for (a, b), s in zip(limits, _COARSE, strict=True)
    ]
    best = _best(temp, np.log(days_seen), grids)
    for step in (0.25, 0.1):
        around = step * np.arange(-4, 5)
        grids = [
            np.unique(np.clip(value + around, a, b))
            for value, (a, b) in zip(best[1], limits, strict=True)
        ]
        best = min(best, _best(temp, np.log(days_seen), grids))
    _, (base, opt, opt_to, top), ln_sum, squares = best
    return Cardinal(base, opt, opt_to, top, exp(ln_sum), sqrt(squares))


_COARSE = (0.5, 1.0, 1.0, 1.0)
_Four = tuple[float, float, float, float]


def _best(
    temp: Floats, ln_days: Floats, grids: list[Floats]
) -> tuple[float, _Four, float, float]:
    """Score, figures, ln sum and mean square of the best grid point."""
    mesh = np.meshgrid(*grids, indexing="ij")
    base, opt, opt_to, top = (axis.ravel() for axis in mesh)
    ok = (opt > base + 3) & (opt_to >= opt) & (top > opt_to)
    base, opt, opt_to, top = base[ok], opt[ok], opt_to[ok], top[ok]
    speed = _speed(temp, base, opt, opt_to, top)
    never = (speed <= 0).any(axis=1)
    ln = ln_days + np.log(np.where(speed > 0, speed, 1.0))
    ln_sum = ln.mean(axis=1)
    squares = np.square(ln - ln_sum[:, None]).mean(axis=1)
    score = (
        squares
        + _PLATEAU_PENALTY * np.square(opt_to - opt - _PLATEAU_K)
        + _FALL_PENALTY * np.square(top - opt_to - _FALL_K)
    )
    score[never] = inf
    i = int(np.argmin(score))
    four = float(base[i]), float(opt[i]), float(opt_to[i]), float(top[i])
    return float(score[i]), four, float(ln_sum[i]), float(squares[i])


def _columns(figures: Cardinal) -> tuple[Floats, Floats, Floats, Floats]:
    return (
        np.array([figures.base_c]),
        np.array([figures.opt_c]),
        np.array([figures.opt_to_c]),
        np.array([figures.max_c]),
    )


def _speed(
    temp: Floats, base: Floats, opt: Floats, opt_to: Floats, top: Floats
) -> Floats:
    """Effective warmth above base. [K] Shape (sets of figures, temperatures)."""
    rise = np.maximum(np.minimum(temp, opt[:, None]) - base[:, None], 0.0)
    fall = np.clip((top[:, None] - temp) / (top - opt_to)[:, None], 0.0, 1.0)
    return np.asarray(rise * fall, dtype=np.float64)
