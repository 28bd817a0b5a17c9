"""How fast plants develop at a temperature, and how plants of a batch differ."""

from math import exp, inf
from typing import overload

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from propsched.domain.crop import Needs

Floats = NDArray[np.float64]


@overload
def rate_per_day(temp_c: float, needs: Needs) -> float: ...
@overload
def rate_per_day(temp_c: Floats, needs: Needs) -> Floats: ...
def rate_per_day(temp_c: float | Floats, needs: Needs) -> float | Floats:
    """
    Development per day at a temperature, 1 being through.

    Parameters
    ----------
    temp_c : numeric
        Temperature the stage feels. [°C]
    needs : Needs
        Base, optimum, end of the flat top and ceiling [°C], heat sum [°C·d].

    Returns
    -------
    numeric
        Shape of ``temp_c``; 0 at or below base and at or above the ceiling.
        Infinite between them where the stage has no heat sum. [1/d]

    Notes
    -----
    (T − base) ÷ sum up to the optimum [1]_, flat to the end of the top, then a
    straight fall to nothing at the ceiling [2]_.  The sum is the sum of the
    trial the figure comes from, times the ``tray_factor``.

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
    temp = np.asarray(temp_c, dtype=np.float64)
    top = needs.opt_c if needs.opt_to_c is None else needs.opt_to_c
    rise = np.clip(temp, needs.base_c, needs.opt_c) - needs.base_c
    width = max(needs.max_c - top, 1e-6)
    speed = rise * np.clip((needs.max_c - temp) / width, 0.0, 1.0)
    heat_sum = needs.sum_c_d * needs.tray_factor
    rate = speed / heat_sum if heat_sum > 0 else np.where(speed > 0, inf, 0.0)
    return rate if isinstance(temp_c, np.ndarray) else float(rate)


@overload
def thermal_time(temp_c: float, base_c: float) -> float: ...
@overload
def thermal_time(temp_c: Floats, base_c: float) -> Floats: ...
def thermal_time(temp_c: float | Floats, base_c: float) -> float | Floats:
    """
    Warmth above a base, without a ceiling.

    Parameters
    ----------
    temp_c : numeric
        [°C]
    base_c : float
        [°C]

    Returns
    -------
    numeric
        Of one day at ``temp_c``, shape of ``temp_c``. [°C·d]
    """
    above = np.maximum(np.asarray(temp_c, dtype=np.float64) - base_c, 0.0)
    return above if isinstance(temp_c, np.ndarray) else float(above)


def progress_for(share: float, spread: float) -> float:
    """
    Development at which a share of the plants is through.

    Parameters
    ----------
    share : float
        Of the plants of a batch, above 0 and below 1.
    spread : float
        Standard deviation of ln time between the plants.

    Returns
    -------
    float
        1 for one half.

    Notes
    -----
    Times of the plants are log-normal and all share one base, so that a slower
    plant needs the same multiple of the heat sum at every temperature [1]_.

    References
    ----------
    .. [1] R. H. Ellis, G. Simon and S. Covell, "The influence of temperature on
       seed germination rate in grain legumes. III.," J. Exp. Bot., vol. 38,
       pp. 1033–1043, 1987.
    """
    return exp(spread * float(ndtri(share)))
