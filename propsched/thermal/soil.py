"""
Conductivity and heat capacity of soil from what it is made of.

The defaults of ``materials`` are read off these and off measured tables; they differ
by a third on quartz sand, which is why readings may move them so far.

References
----------
.. [1] G. S. Campbell, "Soil Physics with BASIC", 1985, eq. 4.20 (from memory).
.. [2] D. A. de Vries, "Thermal properties of soils", in W. R. van Wijk (ed.),
   "Physics of Plant Environment", 1963 (heat capacity; from memory).
"""

from typing import Any

import numpy as np

SOLID_MG_M3 = 2.65
"""Density of mineral grains. [Mg/m³]"""


def conductivity_w_mk(water: Any, bulk_mg_m3: Any, clay: Any) -> Any:
    """
    Conductivity of mineral soil, [1]. [W/m·K]

    Parameters
    ----------
    water : numeric
        Water by volume. [-]
    bulk_mg_m3 : numeric
        Dry bulk density. [Mg/m³]
    clay : numeric
        Share of clay. [-]
    """
    dry = 0.03 + 0.1 * bulk_mg_m3**2
    a = 0.65 - 0.78 * bulk_mg_m3 + 0.60 * bulk_mg_m3**2
    b = 1.06 * bulk_mg_m3
    c = 1 + 2.6 / np.sqrt(clay)
    return a + b * water - (a - dry) * np.exp(-((c * water) ** 4))


def capacity_j_m3k(water: Any, bulk_mg_m3: Any, organic: Any = 0.0) -> Any:
    """Heat capacity by volume shares of grains, humus and water, [2]. [J/m³·K]"""
    grains = bulk_mg_m3 / SOLID_MG_M3
    return 1e6 * (1.92 * grains + 2.50 * organic + 4.18 * water)
