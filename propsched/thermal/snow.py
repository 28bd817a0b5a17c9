"""
Snow that is likely to lie where nobody has measured it, and how it insulates.

References
----------
.. [1] M. Sturm, J. Holmgren, M. König, K. Morris, "The thermal conductivity of seasonal
   snow", J. Glaciol. 43:26-41, 1997.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from propsched.thermal import materials as m


def likely_snow(
    tmin_c: NDArray[np.float64],
    tmax_c: NDArray[np.float64],
    fall_cm_d: float = m.SNOW_FALL_CM_D.value,
) -> NDArray[np.float64]:
    """
    Depth of snow to be expected from temperature alone.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray
        Extremes of successive days, shape (K, N). [°C]
    fall_cm_d : float
        Snow of a day whose mean is below ``SNOW_BELOW``. [cm/d]

    Returns
    -------
    ndarray
        Depth at the end of each day, the same shape. [cm]

    Notes
    -----
    A count of frosty days, less a melt in proportion to warmth (degree days). It is an
    expectation: the frost of a single day may find bare ground or deep snow, but in a
    week of it some snow lies more often than none, and even a little keeps much frost
    out of the ground. Measured depths always come before it.
    """
    mean = (tmin_c + tmax_c) / 2
    excess = mean - m.SNOW_BELOW_C.value
    change = np.where(excess < 0, fall_cm_d, -m.SNOW_MELT_CM_K_D.value * excess)
    depth = np.zeros_like(mean)
    lying = np.zeros(mean.shape[0])
    for day in range(mean.shape[1]):
        lying = np.maximum(lying + change[:, day], 0.0)
        depth[:, day] = lying
    return depth


def snow_conductivity_w_mk(density_kg_m3: Any) -> Any:
    """Conductivity of snow up to 600 kg/m³, [1]. [W/m·K]"""
    g = np.asarray(density_kg_m3) / 1000
    packed = 0.138 - 1.01 * g + 3.233 * g**2
    return np.where(g < 0.156, 0.023 + 0.234 * g, packed)[()]
