"""Roots in pots: how far a pot stays behind the air."""

from math import exp

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from propsched.domain.space import Space, SpaceKind

Floats = NDArray[np.floating]

WIDTH_CM = {
    "module-tray": 4.0, "tray": 6.0, "half-tray": 6.0, "9cm-pot": 9.0,
    "deep-pot": 9.0, "1l-pot": 13.0, "2l-pot": 17.0, "3l-pot": 19.0, "5l-pot": 22.0,
}  # fmt: skip
"""Of the root ball, by container. [cm]"""
ON_THE_GROUND: frozenset[SpaceKind] = frozenset({"open-ground", "polytunnel"})
"""Kinds whose root zone is that of the ground, on which pots stand out in the air. In
a frame pots are plunged or stand close under cover (common practice)."""
_DIFFUSIVITY_CM2_PER_H = 7.2
"""Of moist compost, 2·10⁻⁷ m²/s; from memory of soil physics."""
_FIRST_ROOT = 5.783
"""Square of the first zero of the Bessel function J₀."""


def delay_h(width_cm: float) -> float:
    """
    Hours by which the heart of a pot stays behind the air.

    Parameters
    ----------
    width_cm : float
        [cm]

    Returns
    -------
    float
        Time constant of the slowest mode of a long cylinder. [h]

    Notes
    -----
    Radius squared ÷ (diffusivity × 5.78) [1]_, the wall following the air.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, "Conduction of heat in solids," 2nd ed.,
       Oxford, 1959, section 7.6.
    """
    return (width_cm / 2) ** 2 / (_DIFFUSIVITY_CM2_PER_H * _FIRST_ROOT)


def in_pots(air_c: Floats, width_cm: float) -> Floats:
    """
    Temperature at the heart of a pot that stands out in the air.

    Parameters
    ----------
    air_c : array, shape (…, H)
        Hourly. [°C]
    width_cm : float

    Returns
    -------
    array
        [°C] Shape of ``air_c``. Young roots run along the wall, where it is colder.
    """
    stays = exp(-1 / max(delay_h(width_cm), 1e-3))
    before = stays * air_c[..., :1]
    found, _ = lfilter([1 - stays], [1, -stays], air_c, axis=-1, zi=before)
    return np.asarray(found, np.float32)


def stands_out(space: Space, container: str) -> bool:
    """Whether roots are in a pot out in the air and not in the ground."""
    return container in WIDTH_CM and space.kind in ON_THE_GROUND
