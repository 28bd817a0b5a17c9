"""
The yearly wave of the ground.

References
----------
.. [1] T. Kusuda, P. R. Achenbach, "Earth temperature and thermal diffusivity at
   selected stations in the United States", ASHRAE Trans. 71(1):61-74, 1965.
.. [2] H. S. Carslaw, J. C. Jaeger, "Conduction of Heat in Solids", 1959, §2.6.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Site
from propsched.thermal import materials as m
from propsched.thermal.outlook_types import Outlook

YEAR_D = 365.0


class Wave(NamedTuple):
    """Yearly course of temperature at the surface."""

    mean_c: float
    swing_k: float
    """Half of the yearly range. [K]"""
    coldest_day: float
    """Day of the year. [d]"""


def damping_depth(diffusivity_m2_s: Any, period_s: Any) -> Any:
    """Depth at which a wave has fallen to 1/e, [2]. [m]"""
    return np.sqrt(diffusivity_m2_s * period_s / np.pi)


def kusuda(depth_m: Any, day_of_year: Any, wave: Wave, diffusivity_m2_d: Any) -> Any:
    """
    Ground temperature at a depth on a day of the year, [1]. [°C]

    Notes
    -----
    With the lag of the wave at depth, as follows from conduction; some printings of
    the formula leave it out.
    """
    reach = damping_depth(diffusivity_m2_d, YEAR_D)
    turn = 2 * np.pi / YEAR_D * (day_of_year - wave.coldest_day) - depth_m / reach
    return wave.mean_c - wave.swing_k * np.exp(-depth_m / reach) * np.cos(turn)


def yearly_wave(site: Site, day_of_year: NDArray[Any], outlook: Outlook) -> Wave:
    """
    Mean, swing and coldest day of the year's air.

    Notes
    -----
    From the monthly normals where the site has them, else from the outlook's own days
    by least squares. Half a year of days tells swing and mean apart only poorly, so
    swing and phase are held near what is usual; each day counts an eighth, because the
    days of a week are much alike.
    """
    usual = m.COLDEST_DAY.value + (YEAR_D / 2 if site.latitude < 0 else 0.0)
    if site.normals_tmin_c is not None and site.normals_tmax_c is not None:
        days = (np.arange(12) + 0.5) * YEAR_D / 12
        air = (np.array(site.normals_tmin_c) + np.array(site.normals_tmax_c)) / 2
        weight, spread = 1.0, 1.0
    else:
        days = np.asarray(day_of_year, dtype=np.float64)
        air = ((outlook.tmin_c + outlook.tmax_c) / 2).mean(axis=0)
        weight, spread = 1 / 8, 3.0 / np.sqrt(len(outlook.winters)) + 1.0
    turn = 2 * np.pi / YEAR_D * (days - usual)
    terms = np.column_stack([np.ones(days.size), -np.cos(turn), -np.sin(turn)])
    hold = np.diag([1e-6, 1 / m.WAVE_PRIOR_SD_K.value**2, 1.0])
    prior = np.array([0.0, m.WAVE_PRIOR_K.value, 0.0])
    scale = weight / spread**2
    mean, cosine, sine = np.linalg.solve(
        scale * terms.T @ terms + hold, scale * terms.T @ air + hold @ prior
    )
    lag = np.arctan2(sine, cosine) * YEAR_D / (2 * np.pi)
    return Wave(float(mean), float(np.hypot(cosine, sine)), float(usual + lag))
