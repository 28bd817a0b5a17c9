"""
The air under glass, film and lids, and when it is let out.

Inside air holds next to no heat, so it is eliminated: each hour it is what balances
what the ground, the cover, leaks and the sun give and take.

References
----------
.. [1] EN ISO 6946 (films of still air, U of glass).
.. [2] M. J. Savage, Agrochemophysica 12:5-13, 1980 (measured plastic tunnels).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from propsched.domain.space import VentHabit
from propsched.thermal import materials as m

Array = NDArray[np.float64]

WIDE_OPEN_W_M2K = 1e6
"""Stands for no cover at all: inside air is the air around."""
DAY_VENT_H = (9, 16)
"""Clock hours in which somebody who vents by hand does so; common practice."""


def cover_loss(u_w_m2k: Any, ratio: Any, changes_h: Any, height_m: Any) -> Any:
    """Conductance from inside to outside air per floor area. [W/m²·K]"""
    return u_w_m2k * ratio + m.AIR_HEAT.value * changes_h * height_m


def sky_drop(u_w_m2k: Any, longwave: Any, sky_w_m2: Any) -> Any:
    """What the cover passes on of its loss to the sky, per floor area. [W/m²]"""
    return (u_w_m2k / m.CLEAR_DROP.value + longwave) * sky_w_m2


def inside_air(
    film_w_m2k: Any, ground_c: Any, loss_w_m2k: Any, around_c: Any, gain_w_m2: Any
) -> Any:
    """
    Air that balances ground, cover and gains. [°C]

    Parameters
    ----------
    film_w_m2k : numeric
        From the ground to the air. [W/m²·K]
    ground_c, around_c : numeric
        Ground below and air outside the cover. [°C]
    loss_w_m2k : numeric
        From inside to outside air. [W/m²·K]
    gain_w_m2 : numeric
        Sun and heaters into the air less the sky's share. [W/m²]
    """
    flow = film_w_m2k * ground_c + loss_w_m2k * around_c + gain_w_m2
    return flow / (film_w_m2k + loss_w_m2k)


def vented_loss(
    film_w_m2k: Any,
    ground_c: Any,
    shut_w_m2k: Any,
    open_w_m2k: Any,
    around_c: Any,
    gain_w_m2: Any,
    vent_c: Any,
) -> Any:
    """
    Conductance that keeps the air at the vent temperature, if it can. [W/m²·K]

    Between all shut and all open; parameters as for ``inside_air``.
    """
    spare = film_w_m2k * (ground_c - vent_c) + gain_w_m2
    cooler = np.maximum(vent_c - around_c, 1e-6)
    return np.minimum(np.maximum(spare / cooler, shut_w_m2k), open_w_m2k)


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin:
    """
    What lies between a column and the air around it.

    Conductances per floor area [W/m²·K], resistances [m²·K/W], shares [-].
    """

    covered: bool = False
    """Whether there is inside air."""
    shut_day: float = WIDE_OPEN_W_M2K
    shut_night: float = WIDE_OPEN_W_M2K
    """The same with the mat on, if there is one."""
    opened: float = WIDE_OPEN_W_M2K
    sky_day: float = 1.0
    """Share of the sky loss that counts; through the cover or at the ground."""
    sky_night: float = 1.0
    sun: float = 1.0
    """Share of outdoor radiation that arrives, outer covers counted."""
    to_air: float = 0.0
    """Share of it that warms the inside air."""
    albedo: float = m.BARE_ALBEDO.value
    wet: float = m.BARE_WET.value
    dries_w_m2: float = 0.0
    """Steady evaporation indoors. [W/m²]"""
    film: float | None = None
    """Surface film; None follows the wind."""
    film_factor: float = 1.0
    """Times that film, either way."""
    krs_factor: float = 1.0
    """Times radiation that is guessed from the range of temperature."""
    leak: float = 0.0
    """Part of ``shut_day`` and ``shut_night`` that is air leaking."""
    layer_day: float = 0.0
    """Mulch, fleece or lid on the ground."""
    layer_night: float = 0.0
    clear_layer: bool = False
    """Whether the sun passes the layer and warms the ground below it."""
    snow: bool = False
    """Whether snow can lie on it."""
    snow_cm: float | None = None
    """Its depth where the weather does not say, in cold spells. [cm]"""
    snow_k_w_mk: float = m.SNOW_K.value
    """Conductivity of snow. [W/m·K]"""
    vent_c: float = m.LID_VENT_C.value
    vent: VentHabit = "shut"
    lamp_w_m2: float = 0.0
    close_share: float = 0.0
    """How far the plants' air lies between that above the layer and the ground."""
    close_most_k: float = np.inf
    """Greatest difference that makes. [K]"""

    @property
    def vented(self) -> bool:
        return self.covered and self.vent != "shut" and self.opened > self.shut_day
