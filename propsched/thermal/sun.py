"""
Sun, sky and evaporation after FAO Irrigation and Drainage Paper 56.

Every function takes scalars or arrays and gives the same back; radiation is in
MJ/m²·d as in the source, ``W_PER_MJ_D`` turns a daily sum into a mean in W/m².

References
----------
.. [1] R. G. Allen, L. S. Pereira, D. Raes, M. Smith, "Crop evapotranspiration",
   FAO Irrigation and Drainage Paper 56, Rome, 1998.
.. [2] C. H. B. Priestley, R. J. Taylor, "On the assessment of surface heat flux and
   evaporation using large-scale parameters", Mon. Weather Rev. 100:81-92, 1972.
.. [3] W. Brutsaert, "On a derivable formula for long-wave radiation from clear skies",
   Water Resour. Res. 11:742-744, 1975 (from memory).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Num = float | NDArray[Any]
"""A scalar or an array; the result has the same shape."""

W_PER_MJ_D = 1e6 / 86_400
SOLAR_CONSTANT = 0.0820
"""[MJ/m²·min], [1] Eq. 21."""
STEFAN_BOLTZMANN = 4.903e-9
"""[MJ/K⁴·m²·d], [1] Eq. 39."""
ALBEDO_REFERENCE = 0.23
"""Short green cover, [1] Eq. 38."""
KELVIN = 273.15
BLACK_BODY = 5.670e-8
"""Stefan-Boltzmann constant, CODATA. [W/m²·K⁴]"""


def inverse_distance(day_of_year: Num) -> Any:
    """Relative inverse distance of earth and sun squared, [1] Eq. 23. [-]"""
    return 1 + 0.033 * np.cos(2 * np.pi / 365 * day_of_year)


def declination(day_of_year: Num) -> Any:
    """Solar declination, [1] Eq. 24. [rad]"""
    return 0.409 * np.sin(2 * np.pi / 365 * day_of_year - 1.39)


def sunset_angle(latitude: Num, day_of_year: Num) -> Any:
    """Hour angle of sunset, [1] Eq. 25; latitude in degrees. [rad]"""
    reach = -np.tan(np.radians(latitude)) * np.tan(declination(day_of_year))
    return np.arccos(np.clip(reach, -1.0, 1.0))


def day_length(latitude: Num, day_of_year: Num) -> Any:
    """Hours from sunrise to sunset, [1] Eq. 34. [h]"""
    return 24 / np.pi * sunset_angle(latitude, day_of_year)


def extraterrestrial(latitude: Num, day_of_year: Num) -> Any:
    """Radiation on a horizontal plane above the air, [1] Eq. 21. [MJ/m²·d]"""
    phi, delta = np.radians(latitude), declination(day_of_year)
    ws = sunset_angle(latitude, day_of_year)
    height = ws * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(ws)
    scale = 24 * 60 / np.pi * SOLAR_CONSTANT
    return scale * inverse_distance(day_of_year) * height


def clear_sky(ra_mj: Num, elevation_m: Num = 0.0) -> Any:
    """Radiation under a clear sky, [1] Eq. 37. [MJ/m²·d]"""
    return (0.75 + 2e-5 * elevation_m) * ra_mj


def from_sunshine(ra_mj: Num, sunshine_h: Num, day_length_h: Num) -> Any:
    """Radiation from hours of bright sunshine, [1] Eq. 35. [MJ/m²·d]"""
    return (0.25 + 0.50 * sunshine_h / day_length_h) * ra_mj


def from_range(ra_mj: Num, tmin_c: Num, tmax_c: Num, krs: Num = 0.16) -> Any:
    """Radiation from the range of temperature, [1] Eq. 50. [MJ/m²·d]"""
    return krs * np.sqrt(np.maximum(tmax_c - tmin_c, 0.0)) * ra_mj


def saturation_kpa(temp_c: Num) -> Any:
    """Saturation vapour pressure, [1] Eq. 11. [kPa]"""
    return 0.6108 * np.exp(17.27 * temp_c / (temp_c + 237.3))


def slope_kpa(temp_c: Num) -> Any:
    """Slope of the saturation curve, [1] Eq. 13. [kPa/K]"""
    return 4098 * saturation_kpa(temp_c) / (temp_c + 237.3) ** 2


def pressure_kpa(elevation_m: Num) -> Any:
    """Air pressure from elevation, [1] Eq. 7. [kPa]"""
    return 101.3 * ((293 - 0.0065 * elevation_m) / 293) ** 5.26


def psychrometric(pressure: Num) -> Any:
    """Psychrometric constant, [1] Eq. 8; pressure in kPa. [kPa/K]"""
    return 0.665e-3 * pressure


def net_shortwave(rs_mj: Num, albedo: Num = ALBEDO_REFERENCE) -> Any:
    """Radiation not reflected, [1] Eq. 38. [MJ/m²·d]"""
    return (1 - albedo) * rs_mj


def cloud_share(bright: Num) -> Any:
    """Loss to the sky against that under a clear one, from relative radiation, [1]."""
    return 1.35 * np.clip(bright, 0.3, 1.0) - 0.35


def net_longwave(
    tmin_c: Num, tmax_c: Num, vapour_kpa: Num, rs_mj: Num, clear_mj: Num
) -> Any:
    """
    Net loss of thermal radiation to the sky at air temperature, [1] Eq. 39.

    Parameters
    ----------
    tmin_c, tmax_c : numeric
        Extremes of the day. [°C]
    vapour_kpa : numeric
        Actual vapour pressure. [kPa]
    rs_mj, clear_mj : numeric
        Global radiation, and under a clear sky. [MJ/m²·d]

    Returns
    -------
    numeric
        [MJ/m²·d]

    Notes
    -----
    Relative radiation is held between 0.3 and 1, as [1] says it cannot exceed 1 and
    the cloud factor must stay above nothing.
    """
    fourth = ((tmax_c + 273.16) ** 4 + (tmin_c + 273.16) ** 4) / 2
    damp = 0.34 - 0.14 * np.sqrt(vapour_kpa)
    cloud = cloud_share(rs_mj / np.maximum(clear_mj, 1e-9))
    return STEFAN_BOLTZMANN * fourth * damp * cloud


def clear_night_emissivity(temp_c: Num, vapour_kpa: Num) -> Any:
    """Emissivity of a clear sky, [3]: 1.24 (e/T)^1/7 in hPa and K. [-]"""
    return 1.24 * (10 * vapour_kpa / (temp_c + KELVIN)) ** (1 / 7)


def clear_night_loss(temp_c: Num, vapour_kpa: Num, emissivity: Num = 0.97) -> Any:
    """Loss of a face at air temperature to a clear sky, after [3]. [W/m²]"""
    black = BLACK_BODY * (temp_c + KELVIN) ** 4
    return emissivity * black * (1 - clear_night_emissivity(temp_c, vapour_kpa))


def radiant_film(temp_c: Num, emissivity: Num = 0.97) -> Any:
    """What radiation adds to a surface film, 4 ε σ T³. [W/m²·K]"""
    return 4 * emissivity * BLACK_BODY * (temp_c + KELVIN) ** 3


def monthly_ground_flux(before_c: Num, after_c: Num) -> Any:
    """Monthly soil heat flux from two months' means, [1] Eq. 44. [MJ/m²·d]"""
    return 0.14 * (after_c - before_c)


def latent_share(temp_c: Num, pressure: Num) -> Any:
    """
    Share of net radiation that evaporates water from a wet surface, after [2]. [-]

    1.26 Δ/(Δ+γ); temperature in °C, pressure in kPa.
    """
    slope = slope_kpa(temp_c)
    return 1.26 * slope / (slope + psychrometric(pressure))


def clock_correction(day_of_year: Num) -> Any:
    """Seasonal correction of solar time, [1] Eq. 32 and 33. [h]"""
    b = 2 * np.pi * (day_of_year - 81) / 364
    return 0.1645 * np.sin(2 * b) - 0.1255 * np.cos(b) - 0.025 * np.sin(b)


def hourly_share(
    latitude: float, day_of_year: NDArray[Any], noon_h: NDArray[Any]
) -> NDArray[np.float64]:
    """
    How a day's radiation spreads over its clock hours.

    Parameters
    ----------
    latitude : float
        [°]
    day_of_year : ndarray
        Shape (N,).
    noon_h : ndarray
        Clock time of solar noon, shape (N,). [h]

    Returns
    -------
    ndarray
        Shape (N, 24), each row sums to 1 (to 0 where the sun stays down).

    Notes
    -----
    Proportional to the sine of the sun's height at mid-hour, which is the shape of
    extraterrestrial radiation in [1] Eq. 28.
    """
    phi, delta = np.radians(latitude), declination(day_of_year)[:, None]
    angle = np.pi / 12 * (np.arange(24) + 0.5 - noon_h[:, None])
    height = np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(angle)
    up = np.maximum(height, 0.0)
    total = up.sum(axis=1, keepdims=True)
    return np.asarray(up / np.where(total > 0, total, 1.0))
