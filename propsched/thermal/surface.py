"""Hourly forcing: what weather and sun do to every skin, free of the columns' state."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Site
from propsched.thermal import materials as m
from propsched.thermal import sun
from propsched.thermal.air import hourly_air, solar_noon
from propsched.thermal.covers import DAY_VENT_H, Skin
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.snow import likely_snow

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
NEVER_C = 1e9
"""Vent temperature of what is not vented."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Weather by day and hour, (N, 24, K) unless said otherwise."""

    day_of_year: Array
    """(N,)"""
    air_c: Array
    clear_w_m2: Array
    """Global radiation under a clear sky, (N, 24, 1). [W/m²]"""
    bright: Array
    """Radiation of the day as a share of that, (N, 1, K). [-]"""
    guessed: Flags
    """Days whose radiation is guessed, (N, 1, K)."""
    sky_w_m2: Array
    """Net loss of thermal radiation to a clear sky, (N, 1, K). [W/m²]"""
    latent: Array
    """Share of net radiation that a wet face evaporates. [-]"""
    film_w_m2k: Array
    """Outdoor surface film, (N, 1, K)."""
    snow_cm: Array
    """Lying snow, NaN where unknown, (N, 1, K)."""
    likely_snow_cm: Array
    """Snow to be expected from temperature, (N, 1, K)."""
    cold: Flags
    """Spells in which snow would lie, (N, 1, K)."""
    dark: Flags
    """(N, 24, 1)"""
    hand_vent: Flags
    """Hours in which somebody may vent by hand, (24, 1)."""
    work_day: Flags
    """(N,)"""
    light_mol: Array
    """Photosynthetic light outdoors. [mol/m²·d] (N, K)"""

    def radiant(
        self, days: NDArray[np.int64], winters: slice, krs_factor: float
    ) -> tuple[Array, Array]:
        """
        Sun, and net loss to the sky at air temperature. [W/m²]

        Of some days, with so many times the guessed radiation; (days, 24, K) and
        (days, 1, K).
        """
        bright = self.bright[days][..., winters]
        if krs_factor != 1:
            more = np.minimum(krs_factor * bright, 1.0)
            bright = np.where(self.guessed[days][..., winters], more, bright)
        loss = self.sky_w_m2[days][..., winters] * sun.cloud_share(bright)
        return bright * self.clear_w_m2[days], loss


def daily_radiation(site: Site, day_of_year: Array, outlook: Outlook) -> Array:
    """Measured radiation, or from the range of temperature. [MJ/m²·d] (K, N)"""
    ra = sun.extraterrestrial(site.latitude, day_of_year)
    guess = sun.from_range(ra, outlook.tmin_c, outlook.tmax_c, m.KRS.value)
    guess = np.minimum(guess, sun.clear_sky(ra, site.elevation_m))
    known = np.isfinite(outlook.solar_mj_m2)
    return np.where(known, np.maximum(outlook.solar_mj_m2, 0.0), guess)


def outdoor_film(wind_m_s: Array) -> Array:
    """
    Surface film outdoors, from wind at 2 m; usual wind where unknown. [W/m²·K]

    Air of 1206 J/m³K through the aerodynamic resistance 208/u of FAO-56, and radiation.
    """
    wind = np.where(np.isfinite(wind_m_s), wind_m_s, m.USUAL_WIND.value)
    moved = np.maximum(m.FILM_WIND.value * wind, m.FILM_LEAST.value)
    return np.asarray(moved + m.FILM_RADIANT.value)


def hours_of(site: Site, outlook: Outlook, work_day: Flags) -> Hours:
    """All forcing that does not depend on the space."""
    dates = list(outlook.horizon)
    doy = np.array([d.timetuple().tm_yday for d in dates], dtype=np.float64)
    n, k = doy.size, len(outlook.winters)
    day_h = np.clip(sun.day_length(site.latitude, doy), 1.0, 23.0)
    noon = solar_noon(site, doy, dates[0].year)
    air = hourly_air(outlook.tmin_c, outlook.tmax_c, day_h, noon).reshape(k, n, 24)
    rs = daily_radiation(site, doy, outlook)
    clear = sun.clear_sky(sun.extraterrestrial(site.latitude, doy), site.elevation_m)
    vapour = sun.saturation_kpa(outlook.tmin_c)
    sky = sun.net_longwave(outlook.tmin_c, outlook.tmax_c, vapour, clear, clear)
    known = np.isfinite(outlook.solar_mj_m2)
    share = sun.hourly_share(site.latitude, doy, noon)
    air = np.ascontiguousarray(np.moveaxis(air, 0, 2))
    clock = np.arange(24) + 0.5
    dark = np.abs(clock - noon[:, None]) > day_h[:, None] / 2
    mean = (outlook.tmin_c + outlook.tmax_c) / 2
    return Hours(
        day_of_year=doy,
        air_c=air,
        clear_w_m2=(clear[:, None] * share * (24 * sun.W_PER_MJ_D))[..., None],
        bright=(rs / np.maximum(clear, 1e-9)).T[:, None, :],
        guessed=~known.T[:, None, :],
        sky_w_m2=sky.T[:, None, :] * sun.W_PER_MJ_D,
        latent=sun.latent_share(air, sun.pressure_kpa(site.elevation_m)),
        film_w_m2k=outdoor_film(outlook.wind_m_s).T[:, None, :],
        snow_cm=outlook.snow_cm.T[:, None, :],
        likely_snow_cm=likely_snow(outlook.tmin_c, outlook.tmax_c).T[:, None, :],
        cold=(mean < 1.0).T[:, None, :],
        dark=dark[..., None],
        hand_vent=((clock > DAY_VENT_H[0]) & (clock < DAY_VENT_H[1]))[:, None],
        work_day=work_day,
        light_mol=m.PAR_MOL_MJ.value * rs.T,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Forcing:
    """What drives the columns over some hours, each (T, V, K)."""

    film: Array
    """Ground to inside air. [W/m²·K]"""
    shut: Array
    """Inside to outside air with all shut. [W/m²·K]"""
    gain: Array
    """Into the inside air. [W/m²]"""
    ground: Array
    """Into the ground whatever its temperature. [W/m²]"""
    vent_c: Array
    """Air temperature above which it is vented. [°C]"""


def _vent_temperature(skin: Skin, hours: Hours, days: NDArray[np.int64]) -> Array:
    """(days, 24, 1)"""
    if not skin.vented:
        return np.full((days.size, 24, 1), NEVER_C)
    may = np.ones((days.size, 24, 1), dtype=np.bool_)
    if skin.vent != "automatic":
        may &= hours.hand_vent
    if skin.vent == "work-days":
        may &= hours.work_day[days][:, None, None]
    return np.where(may, skin.vent_c, NEVER_C)


def _snow(skin: Skin, hours: Hours, days: NDArray[np.int64]) -> Array:
    """Depth of snow on it. [cm] (days, 1, K)"""
    lying = hours.snow_cm[days]
    likely = hours.likely_snow_cm[days]
    usual = likely if skin.snow_cm is None else skin.snow_cm * hours.cold[days]
    deep = np.where(np.isfinite(lying), lying, usual)
    return np.asarray(deep if skin.snow else 0.0 * deep)


def force(
    skins: Sequence[Skin],
    inner_r: Sequence[float],
    hours: Hours,
    days: NDArray[np.int64],
    winters: slice,
) -> Forcing:
    """
    Forcing of every skin on some days.

    Parameters
    ----------
    skins : sequence of Skin
    inner_r : sequence of float
        Resistance from each column's face to its first layer's middle. [m²·K/W]
    hours : Hours
    days : ndarray
        Indices of days, one after another.
    winters : slice
        Winters to take.
    """
    latent = hours.latent[days][..., winters]
    air = hours.air_c[days][..., winters]
    wind_film = hours.film_w_m2k[days][..., winters]
    dark = hours.dark[days]
    lit = np.zeros((24, 1))
    lit[slice(*m.LAMP_HOURS)] = 1.0
    shape = (days.size, 24, len(skins), air.shape[-1])
    radiant = {
        factor: hours.radiant(days, winters, factor)
        for factor in {skin.krs_factor for skin in skins}
    }
    film, shut, gain, ground, vent = (np.empty(shape) for _ in range(5))
    for v, (skin, inner) in enumerate(zip(skins, inner_r, strict=True)):
        h = (wind_film if skin.film is None else skin.film) * skin.film_factor
        rs, loss = radiant[skin.krs_factor]
        snow = _snow(skin, hours, days)[..., winters]
        layer = np.where(dark, skin.layer_night, skin.layer_day)
        snowy = bool(snow.any())
        if snowy:
            layer = layer + snow / 100 / skin.snow_k_w_mk
        joint = 1 / (1 / h + layer + inner)
        albedo = np.where(snow > 0, m.SNOW_ALBEDO.value, skin.albedo)
        shade = 1 - np.minimum(m.LATENT_MOST.value, skin.wet * latent)
        sky = np.where(dark, skin.sky_night, skin.sky_day) * loss
        warm = rs * skin.sun
        lamp = skin.lamp_w_m2 * lit
        if skin.covered:
            to_air = skin.to_air * warm - sky + m.LAMP_TO_AIR.value * lamp
            face = (1 - skin.to_air) * (1 - albedo) * warm * shade
        else:
            to_air = np.zeros_like(warm)
            net = (1 - albedo) * warm - sky
            face = np.where(net > 0, net * shade, net)
        face = face - skin.dries_w_m2 + (1 - m.LAMP_TO_AIR.value) * lamp
        down = joint / h
        if skin.clear_layer:
            down = np.where(face > 0, joint * (1 / h + layer), down)
        film[:, :, v] = joint
        shut[:, :, v] = np.where(dark, skin.shut_night, skin.shut_day)
        gain[:, :, v] = to_air + (1 - down) * face
        into = down * face
        if snowy:  # the top of snow cannot be warmer than 0 °C
            into = np.where(snow > 0, np.minimum(into, -joint * air), into)
        ground[:, :, v] = into
        vent[:, :, v] = _vent_temperature(skin, hours, days)
    flat = (days.size * 24, *shape[2:])
    return Forcing(
        film=film.reshape(flat),
        shut=shut.reshape(flat),
        gain=gain.reshape(flat),
        ground=ground.reshape(flat),
        vent_c=vent.reshape(flat),
    )
