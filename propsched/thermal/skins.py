"""What lies between a space's root zone and the air around it, and what passes."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from propsched.domain.space import Space
from propsched.errors import UnknownNameError
from propsched.thermal import materials as m
from propsched.thermal.covers import Skin, cover_loss, sky_drop

UNDER_GLASS = ("cold-frame", "glasshouse", "polytunnel")
INDOORS = ("windowsill", "warm-cupboard", "store")
BENCHES = ("heated-bench", "propagator")
DARK = ("warm-cupboard", "store")


def _layer(space: Space, skin: Skin) -> Skin:
    """The cover that lies on the ground or the plants."""
    name = space.cover
    if name == "turf":
        return replace(
            skin,
            layer_day=m.TURF_R.value,
            layer_night=m.TURF_R.value,
            albedo=m.TURF_ALBEDO.value,
            wet=m.TURF_WET.value,
        )
    if name in m.MULCHES:
        mulch = m.MULCHES[name]
        cm = mulch.default_cm.value if space.cover_cm is None else space.cover_cm
        r = cm / 100 / mulch.k_w_mk.value
        return replace(
            skin,
            layer_day=r,
            layer_night=r,
            albedo=mulch.albedo.value,
            wet=mulch.wet.value,
        )
    if name == "fleece":
        grams = 17.0 if space.cover_g_m2 is None else space.cover_g_m2
        through = float(np.interp(grams, m.FLEECE_G, m.FLEECE_SUN))
        r, sky = m.FLEECE_R.value, m.FLEECE_SKY.value
        return replace(
            skin,
            layer_day=r,
            layer_night=r,
            sun=skin.sun * through,
            sky_day=skin.sky_day * sky,
            sky_night=skin.sky_night * sky,
            close_share=0.5,
            close_most_k=m.FLEECE_LIFT_K.value,
        )
    if name == "mat" and not skin.covered:
        return replace(skin, layer_night=1 / m.MAT_U.value - 1 / 5.8)
    if name == "snow":
        return replace(skin, snow_cm=space.cover_cm)
    return skin


def _glazed(space: Space, kind: str, sun: float, outdoors: bool) -> Skin:
    g = m.GLAZINGS[kind]
    mat = space.night_mat or space.cover == "mat"
    u, night_u = g.u_w_m2k.value, m.MAT_U.value if mat else g.u_w_m2k.value
    ratio, height = g.ratio.value, g.height_m.value
    lw, night_lw = g.longwave.value, 0.0 if mat else g.longwave.value
    shut = g.changes_h.value
    return Skin(
        covered=True,
        shut_day=cover_loss(u, ratio, shut, height),
        shut_night=cover_loss(night_u, ratio, shut, height),
        opened=cover_loss(u, ratio, g.open_changes_h.value, height),
        leak=cover_loss(0.0, ratio, shut, height),
        sky_day=sky_drop(u, lw, 1.0) if outdoors else 0.0,
        sky_night=sky_drop(night_u, night_lw, 1.0) if outdoors else 0.0,
        sun=sun * g.sun.value,
        to_air=g.to_air.value,
        albedo=0.0,
        film=m.FILM_INSIDE.value,
        vent_c=g.vent_c.value,
        vent=space.vent or "daily",
    )


def _lidded(space: Space, skin: Skin) -> Skin:
    """The same with a lid or film close over the plants."""
    r = m.LID_R.value
    dry = skin.dries_w_m2 * m.LID_EVAPORATION.value
    if skin.covered:
        close = r / (r + 1 / m.FILM_INSIDE.value)
        return replace(
            skin,
            layer_day=skin.layer_day + r,
            layer_night=skin.layer_night + r,
            sun=skin.sun * m.LID_SUN.value,
            close_share=close,
            clear_layer=True,
            wet=skin.wet * m.LID_EVAPORATION.value,
            dries_w_m2=dry,
        )
    u = 1 / r
    night = 1 / (r + 1 / m.MAT_U.value) if space.night_mat else u
    sky = sky_drop(u, 0.0, skin.sky_day)
    return replace(
        skin,
        covered=True,
        shut_day=u,
        shut_night=night,
        opened=6 * u,
        sky_day=sky,
        sky_night=sky * night / u,
        sun=skin.sun * m.LID_SUN.value,
        to_air=m.LID_TO_AIR.value,
        wet=skin.wet * m.LID_EVAPORATION.value,
        dries_w_m2=dry,
        film=m.FILM_BENCH.value if skin.film is None else skin.film,
        vent_c=m.LID_VENT_C.value,
        vent=space.vent or "shut",
        snow=False,
    )


def outer_of(space: Space, spaces: Mapping[str, Space]) -> Space | None:
    if space.inside is None:
        return None
    if space.inside not in spaces:
        known = ", ".join(sorted(spaces)) or "none"
        raise UnknownNameError(
            f'space "{space.id}" stands inside "{space.inside}" – spaces are: {known}'
        )
    return spaces[space.inside]


def share_through(
    space: Space | None, spaces: Mapping[str, Space], seen: tuple[str, ...] = ()
) -> tuple[float, float]:
    """Sun and light that arrive in the air of a space, as shares of outdoors."""
    if space is None:
        return 1.0, 1.0
    if space.id in seen:
        raise UnknownNameError(f'space "{space.id}" stands inside itself')
    outer_sun, outer_light = share_through(
        outer_of(space, spaces), spaces, (*seen, space.id)
    )
    sun = 1.0
    if space.kind in UNDER_GLASS:
        # what falls on a bench; the heat of sun on walls and floor is the house's
        sun = m.LIGHT_SHARE[space.kind].value
    elif space.kind == "windowsill":
        sun = m.SILL_SUN.value
    elif space.kind in DARK:
        sun = 0.0
    lid = m.LID_SUN.value if _has_lid(space) else 1.0
    light = m.LIGHT_SHARE[space.kind].value * lid * outer_light
    if space.light is not None:
        light = space.light
    return sun * outer_sun * lid, light


def _has_lid(space: Space) -> bool:
    return space.kind == "propagator" if space.lid is None else space.lid


def _film_of(space: Space) -> float | None:
    if space.kind in INDOORS:
        return m.FILM_SILL.value
    if space.kind in BENCHES:
        return m.FILM_BENCH.value
    return m.FILM_INSIDE.value if space.inside is not None else None


def make_skin(space: Space, outdoors: bool, outer_sun: float) -> Skin:
    """
    Skin of a space.

    Parameters
    ----------
    space : Space
    outdoors : bool
        Whether it stands in no other space.
    outer_sun : float
        Sun that the outer spaces let through, as a share of outdoors.
    """
    kind = "cold-frame" if space.kind == "hotbed" and outdoors else space.kind
    if kind in UNDER_GLASS:
        skin = _glazed(space, kind, outer_sun, outdoors)
    else:
        sun = outer_sun * {"windowsill": m.SILL_SUN.value}.get(kind, 1.0)
        dark = kind in DARK
        open_sky = 1.0 if outdoors and kind not in INDOORS else 0.0
        skin = Skin(
            sun=0.0 if dark else sun,
            sky_day=open_sky,
            sky_night=open_sky,
            film=_film_of(space),
            snow=outdoors and kind == "open-ground",  # what is warm within melts it
            dries_w_m2=m.EVAPORATION_W.value
            if kind in ("windowsill", "heated-bench", "propagator")
            else 0.0,
        )
    skin = _layer(space, skin)
    if _has_lid(space):
        skin = _lidded(space, skin)
    if space.lamp is not None and space.area_m2 > 0:
        skin = replace(skin, lamp_w_m2=space.lamp.w / space.area_m2)
    return skin
