"""
What of the model is known only roughly, and by how much.

A tuning is one guess at all of it; a place can be simulated under many at once, so that
readings can tell the better guesses from the worse.
"""

from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

from propsched.domain.crop import Basis
from propsched.thermal import materials as m
from propsched.thermal.column import Mesh
from propsched.thermal.places import TOUCHING_W_M2K, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuning:
    """
    Factors on the defaults of ``materials``, and shifts where the name ends in ``_k``.

    A figure that a place does not have (air changes of open ground, rate of decay of a
    bench) is left alone.
    """

    conductivity: float = 1.0
    """Of ground, compost, sand or manure below."""
    heat_capacity: float = 1.0
    """Of the same."""
    film: float = 1.0
    """Of air at the face, outdoors or in."""
    wet: float = 1.0
    """Wetness of the face, and the steady evaporation of pots indoors."""
    radiation: float = 1.0
    """Radiation guessed from the range of temperature; measured stays as it is."""
    layer: float = 1.0
    """Thermal resistance of turf, mulch, fleece, snow or lid."""
    sun: float = 1.0
    """Share of the sun's heat that glass, film and walls let in."""
    air_changes: float = 1.0
    """Leaks of glass and film with all shut."""
    edge: float = 1.0
    """Loss through the edges of frames, houses and hotbeds."""
    base: float = 1.0
    """Through the floor of benches and pots."""
    decay_rate: float = 1.0
    """Rate at which a hotbed or heap burns."""
    decay_charge: float = 1.0
    """What there is in it to burn."""
    decay_lag: float = 1.0
    """Time its microbes take to wake."""
    room_k: float = 0.0
    """Added to the room of a sill, cupboard or store. [K]"""
    deep_k: float = 0.0
    """Added to the ground two metres down. [K]"""


class Prior(NamedTuple):
    """How well a figure is known before any reading."""

    sd: float
    """Of its logarithm for a factor; of itself for a shift. [-] or [K]"""
    basis: Basis
    why: str


_JUDGED: Basis = "memory"
PRIORS: dict[str, Prior] = {
    "conductivity": Prior(0.30, "derived", "Campbell against de Vries on quartz sand"),
    "heat_capacity": Prior(0.15, "derived", "water by volume ± .08 of 2.3 MJ/m³K"),
    "film": Prior(0.27, _JUDGED, "11 ± 3 W/m²K in a sheltered garden"),
    "wet": Prior(0.33, _JUDGED, "wetness .6 ± .2, evaporation 15 ± 8 W/m²"),
    "radiation": Prior(0.16, "derived", "kRs .16 ± .025, inland to coast"),
    "layer": Prior(0.45, _JUDGED, "turf .05 ± .05, mulch ± 40 %, fleece .10 ± .06"),
    "sun": Prior(0.15, _JUDGED, "share let in .80 ± .1 to 1.05 ± .2"),
    "air_changes": Prior(0.60, _JUDGED, "tight new glass to leaky old"),
    "edge": Prior(0.40, _JUDGED, "insulated or not, sheltered or not"),
    "base": Prior(0.45, _JUDGED, "base .65 ± .3 W/m²K"),
    "decay_rate": Prior(0.40, _JUDGED, "rate of beds .036 /d ± 40 %"),
    "decay_charge": Prior(0.35, "derived", "degradable 70 kg/m³ ± 35 %"),
    "decay_lag": Prior(0.50, _JUDGED, "steams after 1.2 ± .6 days"),
    "room_k": Prior(1.5, _JUDGED, "room said to be 18 °C"),
    "deep_k": Prior(1.0, _JUDGED, "mean of the ground against that of the air"),
}
"""By field of ``Tuning``."""


def concerning(place: Place) -> frozenset[str]:
    """Fields of ``Tuning`` that make a difference to a place."""
    skin, mesh = place.skin, place.mesh
    names = {"conductivity", "heat_capacity", "film"}
    if skin.sun > 0:
        names |= {"radiation"}
    if skin.sun > 0 or skin.dries_w_m2 > 0:
        names |= {"wet"}
    if skin.layer_day > 0 or skin.layer_night > 0 or skin.snow:
        names |= {"layer"}
    if skin.covered and skin.sun > 0:
        names |= {"sun"}
    if skin.leak > 0:
        names |= {"air_changes"}
    if mesh.side_w_m3k.any() or place.bed is not None:
        names |= {"edge"}
    if 0 < mesh.base_w_m2k < TOUCHING_W_M2K:
        names |= {"base"}
    if place.decay is not None:
        names |= {"decay_rate", "decay_charge"}
    return frozenset(names | ({"room_k"} if place.room else set()) | _deep(place))


def _deep(place: Place) -> set[str]:
    return {"deep_k"} if place.deep_below else set()


def draw(
    count: int, *, seed: int, only: frozenset[str] | None = None
) -> tuple[Tuning, ...]:
    """
    Guesses from the priors, the first of which is the defaults.

    Parameters
    ----------
    count : int
        How many.
    seed : int
    only : frozenset of str, optional
        Fields to vary; the rest stay at their defaults. None varies all.
    """
    rng = np.random.default_rng(seed)
    names = [f.name for f in fields(Tuning)]
    normal = rng.standard_normal((count, len(names)))
    normal[0] = 0.0
    out = []
    for row in normal:
        values: dict[str, float] = {}
        for name, z in zip(names, row, strict=True):
            if only is None or name in only:
                step = float(PRIORS[name].sd * z)
                values[name] = step if name.endswith("_k") else float(np.exp(step))
        out.append(Tuning(**values))
    return tuple(out)


def _mesh(mesh: Mesh, t: Tuning) -> Mesh:
    touching = mesh.base_w_m2k >= TOUCHING_W_M2K
    return replace(
        mesh,
        k_w_mk=mesh.k_w_mk * t.conductivity,
        c_j_m3k=mesh.c_j_m3k * t.heat_capacity,
        side_w_m3k=mesh.side_w_m3k * t.edge,
        base_w_m2k=mesh.base_w_m2k * (1.0 if touching else t.base),
    )


def tuned(place: Place, t: Tuning) -> Place:
    """The same place under another guess; shifts of air and ground are not in it."""
    if t == Tuning():
        return place
    skin = place.skin
    leak = (t.air_changes - 1) * skin.leak
    decay = place.decay
    if decay is not None:
        decay = replace(
            decay,
            rate_d=decay.rate_d * t.decay_rate,
            degradable_kg_m3=decay.degradable_kg_m3 * t.decay_charge,
            lag_d=decay.lag_d * t.decay_lag,
        )
    return replace(
        place,
        mesh=_mesh(place.mesh, t),
        bed=None if place.bed is None else _mesh(place.bed, t),
        decay=decay,
        skin=replace(
            skin,
            shut_day=skin.shut_day + leak,
            shut_night=skin.shut_night + leak,
            leak=skin.leak * t.air_changes,
            sun=skin.sun * (t.sun if skin.covered else 1.0),
            wet=min(skin.wet * t.wet, 1.0),
            dries_w_m2=skin.dries_w_m2 * t.wet,
            film_factor=skin.film_factor * t.film,
            layer_day=skin.layer_day * t.layer,
            layer_night=skin.layer_night * t.layer,
            snow_k_w_mk=m.SNOW_K.value / t.layer,
            krs_factor=t.radiation,
        ),
    )
