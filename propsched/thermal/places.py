"""From a space as its owner describes it to the column and skin that stand for it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from propsched.domain.season import Site
from propsched.domain.space import Space
from propsched.errors import UnknownNameError
from propsched.thermal import materials as m
from propsched.thermal.column import Mesh, growing_layers
from propsched.thermal.covers import Skin, cover_loss
from propsched.thermal.hotbed import Decay, decay_of

LAYERS = 16
GROUND_M = 2.0
FIRST_M = 0.012
BED_SOIL_LAYERS = 6
BED_LAYERS = slice(6, 12)
"""Layers that rot, in a bed or heap."""
POT_LEAST_M = 0.10
BELOW_BED_M = 0.8
POND_FROM_CM = 20.0
"""A check-point this deep is water, else screen air."""
TOUCHING_W_M2K = 1e6
UNDER_GLASS = ("cold-frame", "glasshouse", "polytunnel")
INDOORS = ("windowsill", "warm-cupboard", "store")
OWN_AIR = ("windowsill", "heated-bench", "propagator", "warm-cupboard", "store")
AIR_HEATED = ("glasshouse", "polytunnel")
"""Houses whose heater warms the air, not the root zone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A space as the simulation sees it."""

    space: Space
    mesh: Mesh
    skin: Skin
    light: float
    """Share of outdoor light that reaches the plants, lamp aside. [-]"""
    room: bool = False
    """Whether it breathes a room's air rather than outdoors or another space's."""
    deep_below: bool = True
    """Whether ground lies below; else the air around."""
    deep_beside: bool = True
    bed: Mesh | None = None
    """Layers once made up."""
    decay: Decay | None = None


def _mesh(
    medium: m.Medium,
    dz: "np.ndarray[tuple[int], np.dtype[np.float64]]",
    probe_m: float,
    base: float,
) -> Mesh:
    full = np.ones(dz.size)
    return Mesh(
        dz_m=dz,
        k_w_mk=medium.k_w_mk.value * full,
        c_j_m3k=medium.c_j_m3k.value * full,
        water=medium.water.value * full,
        base_w_m2k=base,
        side_w_m3k=0.0 * full,
        probe_m=probe_m,
        heater_m=probe_m + m.HEATER_BELOW_M.value,
    )


def ground_mesh(medium: m.Medium, probe_m: float) -> Mesh:
    """Open ground to 2 m."""
    layers = growing_layers(FIRST_M, GROUND_M, LAYERS)
    return _mesh(medium, layers, probe_m, TOUCHING_W_M2K)


def pot_mesh(probe_m: float, base_w_m2k: float) -> Mesh:
    """Pots, trays or a crate, exchanging heat through their base as well."""
    total = max(POT_LEAST_M, 1.25 * probe_m)
    return _mesh(m.COMPOST, np.full(LAYERS, total / LAYERS), probe_m, base_w_m2k)


def bench_mesh(probe_m: float) -> Mesh:
    """A sand bed with a cable 4 cm below the probe, on an insulated base."""
    total = probe_m + m.HEATER_BELOW_M.value + m.BASE_BELOW_M.value
    layers = np.full(LAYERS, total / LAYERS)
    return _mesh(m.BENCH_SAND, layers, probe_m, m.BASE_U.value)


def rectangle_edge(area_m2: float) -> float:
    """Perimeter to area of a rectangle 2 by 3. [1/m]"""
    return float(5 / np.sqrt(1.5 * area_m2))


def _stack(
    space: Space,
    top: m.Medium,
    top_m: float,
    hot: m.Medium,
    below: m.Medium,
    side_w_m3k: float,
) -> Mesh:
    counts = (BED_SOIL_LAYERS, 6, LAYERS - 12)
    depths = (top_m, space.manure_cm / 100, BELOW_BED_M)
    media = (top, hot, below)

    def run(
        values: tuple[float, ...],
    ) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
        return np.repeat(np.array(values), counts)

    return Mesh(
        dz_m=run(tuple(d / n for d, n in zip(depths, counts, strict=True))),
        k_w_mk=run(tuple(x.k_w_mk.value for x in media)),
        c_j_m3k=run(tuple(x.c_j_m3k.value for x in media)),
        water=np.zeros(LAYERS),
        base_w_m2k=TOUCHING_W_M2K,
        side_w_m3k=run((0.0 if top is not hot else side_w_m3k, side_w_m3k, 0.0)),
        probe_m=space.depth_cm / 100,
        heater_m=space.depth_cm / 100,
    )


def bed_mesh(space: Space, soil: m.Medium) -> Mesh:
    """Soil over manure over the floor of the pit."""
    edge = np.clip(rectangle_edge(max(space.area_m2, 0.1)), 1.0, 6.0)
    side = m.SIDE_PIT.value * float(edge if space.area_m2 > 0 else 2.8)
    return _stack(space, soil, m.BED_SOIL_M.value, m.MANURE, soil, side)


def heap_mesh(space: Space, soil: m.Medium) -> Mesh:
    """A free-standing block, measured in its middle."""
    side = m.SIDE_HEAP.value * 4 / m.HEAP_SIDE_M.value
    half = space.manure_cm / 200
    mesh = _stack(
        replace(space, manure_cm=space.manure_cm / 2),
        m.HEAP_STUFF,
        half,
        m.HEAP_STUFF,
        soil,
        side,
    )
    return replace(mesh, probe_m=half)


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
            clear_layer=True,
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
        sky_day=(u / m.CLEAR_DROP.value + lw) if outdoors else 0.0,
        sky_night=(night_u / m.CLEAR_DROP.value + night_lw) if outdoors else 0.0,
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
    sky = u / m.CLEAR_DROP.value * skin.sky_day
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


def _outer(space: Space, spaces: Mapping[str, Space]) -> Space | None:
    if space.inside is None:
        return None
    if space.inside not in spaces:
        known = ", ".join(sorted(spaces)) or "none"
        raise UnknownNameError(
            f'space "{space.id}" stands inside "{space.inside}" – spaces are: {known}'
        )
    return spaces[space.inside]


def _share_through(
    space: Space | None, spaces: Mapping[str, Space], seen: tuple[str, ...] = ()
) -> tuple[float, float]:
    """Sun and light that arrive in the air of a space, as shares of outdoors."""
    if space is None:
        return 1.0, 1.0
    if space.id in seen:
        raise UnknownNameError(f'space "{space.id}" stands inside itself')
    outer_sun, outer_light = _share_through(
        _outer(space, spaces), spaces, (*seen, space.id)
    )
    sun = 1.0
    if space.kind in UNDER_GLASS:
        sun = m.GLAZINGS[space.kind].sun.value
    elif space.kind == "windowsill":
        sun = m.SILL_SUN.value
    elif space.kind in ("warm-cupboard", "store"):
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
    if space.kind in ("heated-bench", "propagator"):
        return m.FILM_BENCH.value
    return m.FILM_INSIDE.value if space.inside is not None else None


def make_place(space: Space, spaces: Mapping[str, Space], site: Site) -> Place:
    """
    Column, skin and light of a space.

    Parameters
    ----------
    space : Space
    spaces : mapping
        Every space by id; the outer ones are looked up here.
    site : Site

    Raises
    ------
    UnknownNameError
        If it stands inside a space that is not there, or inside itself.
    """
    soil = m.SOILS[site.soil]
    probe = space.depth_cm / 100
    outer = _outer(space, spaces)
    outer_sun, _ = _share_through(outer, spaces, (space.id,))
    _, light = _share_through(space, spaces)
    outdoors = outer is None
    kind = "cold-frame" if space.kind == "hotbed" and outdoors else space.kind
    if kind in UNDER_GLASS:
        skin = _glazed(space, kind, outer_sun, outdoors)
    else:
        sun = outer_sun * {"windowsill": m.SILL_SUN.value}.get(kind, 1.0)
        dark = kind in ("warm-cupboard", "store")
        open_sky = 1.0 if outdoors and kind not in INDOORS else 0.0
        skin = Skin(
            sun=0.0 if dark else sun,
            sky_day=open_sky,
            sky_night=open_sky,
            film=_film_of(space),
            snow=outdoors and kind in ("open-ground", "heap"),
            dries_w_m2=m.EVAPORATION_W.value
            if kind in ("windowsill", "heated-bench", "propagator")
            else 0.0,
        )
    skin = _layer(space, skin)
    if _has_lid(space):
        skin = _lidded(space, skin)
    if space.lamp is not None and space.area_m2 > 0:
        skin = replace(skin, lamp_w_m2=space.lamp.w / space.area_m2)
    if space.cover == "fleece":
        through = float(np.interp(space.cover_g_m2 or 17.0, m.FLEECE_G, m.FLEECE_SUN))
        light = light if space.light is not None else light * through
    place = Place(space=space, mesh=ground_mesh(soil, probe), skin=skin, light=light)
    return _with_column(place, soil, probe, outdoors)


def _with_column(place: Place, soil: m.Medium, probe: float, outdoors: bool) -> Place:
    space = place.space
    if space.kind in ("heated-bench", "propagator"):
        return replace(
            place, mesh=bench_mesh(probe), deep_below=False, deep_beside=False
        )
    if space.kind in INDOORS:
        room = outdoors or space.room_c is not None
        base = m.FILM_SILL.value
        return replace(
            place,
            mesh=pot_mesh(probe, base),
            room=room,
            deep_below=False,
            deep_beside=False,
        )
    if space.kind == "hotbed":
        return replace(
            place,
            bed=bed_mesh(space, soil),
            decay=decay_of(space.material, loose=False),
        )
    if space.kind == "heap":
        return replace(
            place,
            bed=heap_mesh(space, soil),
            deep_beside=False,
            decay=decay_of(space.material, loose=True),
        )
    if space.kind == "check-point" and space.depth_cm >= POND_FROM_CM:
        skin = replace(place.skin, albedo=m.WATER_ALBEDO.value, wet=1.0)
        depth = np.full(LAYERS, 1.6 * probe / LAYERS)
        return replace(place, mesh=_mesh(m.POND, depth, probe, 0.0), skin=skin)
    return place
