"""
Heat of decay in hotbeds and heaps.

References
----------
.. [1] D. E. Stombaugh, S. E. Nokes, "Development of a biologically based aerobic
   composting simulation model", Trans. ASAE 39:239-250, 1996 (from memory).
.. [2] R. T. Haug, "The Practical Handbook of Compost Engineering", 1993 (from memory).
.. [3] I. G. Mason, "Mathematical modelling of the composting process: a review", Waste
   Management 26:3-21, 2006: no model meets the peak within 5 K.
.. [4] as [2], temperature term of the rate.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from propsched.domain.space import Material
from propsched.thermal import materials as m

Array = NDArray[np.float64]

_CARDINAL_C = np.array([0.0, 30.0, 55.0, 75.0])
_CARDINAL = np.array([0.0, 1.0, 1.0, 0.0])
_STEAM_C = np.array([10.0, 30.0, 40.0, 50.0, 60.0, 70.0])
_STEAM = np.array([0.0, 0.045, 0.085, 0.149, 0.258, 0.457])
DAY_H = 24.0


def temperature_factor(temp_c: Any) -> Any:
    """Rate of decay as a share of the greatest, [1]: rises to 30, flat to 55 °C."""
    return np.interp(temp_c, _CARDINAL_C, _CARDINAL)


def blown_factor(temp_c: Any) -> Any:
    """
    Rate against that at 20 °C in compost that air is blown through, [4].

    Too steep for a trodden bed, which wants for air before it is that hot; the model
    uses [1]. Kept to show how far two accepted forms differ.
    """
    return 1.066 ** (temp_c - 20.0) - 1.21 ** (temp_c - 60.0)


def exhaust_share(temp_c: Any) -> Any:
    """
    Share of the heat that leaves with warm, moist air.

    Notes
    -----
    Derived: exhaust saturated, 13.9 MJ per kg of oxygen, half of the oxygen used,
    intake air at 10 °C and 80 % humidity; tabulated and interpolated.
    """
    return np.interp(temp_c, _STEAM_C, _STEAM)


def moisture_factor(moisture_pct: Any) -> Any:
    """Rate against moisture (wet basis), halved where waterlogged. [-]"""
    bell = np.exp(-0.5 * ((moisture_pct - 55.0) / 27.5) ** 2)
    return np.where(np.asarray(moisture_pct) > 75.0, bell / 2, bell)[()]


def nitrogen_factor(carbon_nitrogen: Any) -> Any:
    """Rate against the ratio of carbon to nitrogen, from 25 on, not below .2. [-]"""
    fall = np.exp(-0.4 * (carbon_nitrogen - 25.0) / 7.0)
    return np.clip(fall, 0.2, 1.0)


def lag_factor(age_d: Any, lag_d: float = m.LAG_D.value) -> Any:
    """How far the microbes have woken so many days after making up. [-]"""
    return 1 - np.exp(-((age_d / lag_d) ** 2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """What rots in one bed, per cubic metre."""

    degradable_kg_m3: float
    rate_d: float
    """Greatest rate, moisture and nitrogen counted. [1/d]"""
    heat_j_kg: float = m.HEAT_J_KG.value
    lag_d: float = m.LAG_D.value


def decay_of(material: Material, *, loose: bool) -> Decay:
    """Decay of a material, loose in a heap or trodden in a bed."""
    fuel = m.FUELS[material]
    rate = (m.RATE_HEAP_D if loose else m.RATE_BED_D).value
    wet = float(moisture_factor(fuel.moisture_pct.value))
    food = float(nitrogen_factor(fuel.carbon_nitrogen.value))
    return Decay(degradable_kg_m3=fuel.degradable_kg_m3.value, rate_d=rate * wet * food)


def rot(
    left_kg_m3: Array, temp_c: Array, age_h: Array, decays: Array
) -> tuple[Array, Array]:
    """
    One hour of decay.

    Parameters
    ----------
    left_kg_m3 : ndarray
        What can still rot, shape (B, L, K). [kg/m³]
    temp_c : ndarray
        Same shape. [°C]
    age_h : ndarray
        Hours since making up, (B, 1, 1).
    decays : ndarray
        Rate [1/d], heat [J/kg] and lag [d] of each bed, shape (3, B, 1, 1).

    Returns
    -------
    left_kg_m3 : ndarray
        After the hour.
    heat_w_m3 : ndarray
        Heat that stays in the bed. [W/m³]
    """
    rate_d, heat_j_kg, lag_d = decays
    awake = lag_factor(np.maximum(age_h, 0.0) / DAY_H, lag_d)
    share = rate_d / DAY_H * awake * temperature_factor(temp_c)
    gone = left_kg_m3 * (1 - np.exp(-share))
    heat = gone * heat_j_kg * (1 - exhaust_share(temp_c)) / 3600.0
    return left_kg_m3 - gone, heat
