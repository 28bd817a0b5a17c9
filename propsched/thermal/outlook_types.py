"""Weather of the season, several winters beside one another."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon

DayKind = Literal["observed", "forecast", "outlook"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """Daily weather: K winters, N days from ``horizon.first``; arrays are (K, N)."""

    horizon: Horizon
    winters: tuple[str, ...]
    """A label for each winter."""
    tmin_c: NDArray[np.float64]
    """Lowest air temperature of the day. [°C]"""
    tmax_c: NDArray[np.float64]
    """Highest air temperature of the day. [°C]"""
    solar_mj_m2: NDArray[np.float64]
    """Global radiation, NaN where unknown. [MJ/m²·d]"""
    wind_m_s: NDArray[np.float64]
    """Mean wind at 2 m, NaN where unknown. [m/s]"""
    snow_cm: NDArray[np.float64]
    """Lying snow, NaN where unknown. [cm]"""
    kind: tuple[DayKind, ...]
    """Where each day comes from; (N,)."""
