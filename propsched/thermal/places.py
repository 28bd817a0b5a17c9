"""From a space as its owner describes it to the column and skin that stand for it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from propsched.domain.season import Site
from propsched.domain.space import Space
from propsched.thermal import materials as m
from propsched.thermal.column import Mesh, growing_layers
from propsched.thermal.covers import Skin
from propsched.thermal.hotbed import Decay, decay_of
from propsched.thermal.skins import (
    BENCHES,
    INDOORS,
    UNDER_GLASS,
    make_skin,
    outer_of,
    share_through,
)

LAYERS = 16
GROUND_M = 2.0
FIRST_M = 0.012
BED_SOIL_LAYERS = 6
BED_LAYERS = slice(6, 12)
"""Layers that rot, in a bed or heap."""
POT_LEAST_M = 0.10
BELOW_BED_M = 0.8
POND_FROM_CM = 10.0
"""A check-point this deep is water, else screen air."""
TOUCHING_W_M2K = 1e6
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


def edged(mesh: Mesh, area_m2: float) -> Mesh:
    """The same ground losing heat sideways to that outside a frame or house."""
    if area_m2 <= 0:
        return mesh
    middle = np.cumsum(mesh.dz_m) - mesh.dz_m / 2
    shallow = middle < m.EDGE_M.value
    depth = float(mesh.dz_m[shallow].sum())
    side = m.EDGE_W_MK.value * rectangle_edge(area_m2) / depth
    return replace(mesh, side_w_m3k=np.where(shallow, side, 0.0))


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
    outer = outer_of(space, spaces)
    outer_sun, _ = share_through(outer, spaces, (space.id,))
    _, light = share_through(space, spaces)
    outdoors = outer is None
    if space.cover == "fleece":
        through = float(np.interp(space.cover_g_m2 or 17.0, m.FLEECE_G, m.FLEECE_SUN))
        light = light if space.light is not None else light * through
    skin = make_skin(space, outdoors, outer_sun)
    place = Place(space=space, mesh=ground_mesh(soil, probe), skin=skin, light=light)
    return _with_column(place, soil, probe, outdoors)


def reports_air(space: Space) -> bool:
    """Whether it is a thermometer screen rather than a medium."""
    return space.kind == "check-point" and space.depth_cm < POND_FROM_CM


def _with_column(place: Place, soil: m.Medium, probe: float, outdoors: bool) -> Place:
    space = place.space
    if space.kind in BENCHES:
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
    if space.kind in (*UNDER_GLASS, "hotbed"):
        hot = space.kind == "hotbed"
        return replace(
            place,
            mesh=edged(place.mesh, space.area_m2),
            bed=bed_mesh(space, soil) if hot else None,
            decay=decay_of(space.material, loose=False) if hot else None,
        )
    if space.kind == "heap":
        return replace(
            place,
            bed=heap_mesh(space, soil),
            deep_beside=False,
            decay=decay_of(space.material, loose=True),
        )
    if space.kind == "check-point" and not reports_air(space):
        skin = replace(place.skin, albedo=m.WATER_ALBEDO.value, wet=1.0)
        depth = np.full(LAYERS, 1.6 * probe / LAYERS)
        return replace(place, mesh=_mesh(m.POND, depth, probe, 0.0), skin=skin)
    return place
