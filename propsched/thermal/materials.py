"""
Figures of ground, covers, glass, benches and hot manure, each with its basis.

Basis words are those of the crop table. ``memory`` is a prior, never a check.
"""

from dataclasses import dataclass
from typing import NamedTuple

from propsched.domain.crop import Basis
from propsched.domain.season import Soil
from propsched.domain.space import Material


class Value(NamedTuple):
    """A figure and what it rests on."""

    value: float
    basis: Basis
    source: str


DE_VRIES = "de Vries 1963, in Moene & van Dam 2014, Table 2.2"
STURM = "Sturm et al. 1997, J. Glaciol. 43:26-41"
WATTS = "de Vries 1963 and Campbell 1985 eq. 4.20, the two differ by a third"
AHN = "within the range of Ahn et al. 2009, Bioresource Technol. 100:3974-3981"
DONK = "within the range of van Donk & Tollner 2000"
EN_6946 = "EN ISO 6946: films .13 + .04, 4 mm glass"
EN_10456 = "EN ISO 10456"
RASHEED = "within the range of Rasheed et al. 2017, Span. J. Agric. Res."
GEOOLA = "film wet with dew, .1 to .3"
EP406 = "ASAE EP406"
PRACTICE = ""


@dataclass(frozen=True, slots=True)
class Medium:
    """What a column is made of."""

    k_w_mk: Value
    c_j_m3k: Value
    water: Value
    """That can freeze, by volume. [-]"""


SOILS: dict[Soil, Medium] = {
    "loam": Medium(
        Value(1.1, "derived", WATTS),
        Value(2.3e6, "derived", WATTS),
        Value(0.30, "memory", "winter-moist garden loam"),
    ),
    "sand": Medium(
        Value(1.7, "derived", WATTS),
        Value(2.12e6, "published", DE_VRIES),
        Value(0.20, "published", DE_VRIES),
    ),
    "clay": Medium(
        Value(1.15, "derived", "between θ .2 and .4 of " + DE_VRIES),
        Value(2.7e6, "derived", "between θ .2 and .4 of " + DE_VRIES),
        Value(0.30, "memory", "winter-moist clay"),
    ),
    "peat": Medium(
        Value(0.38, "derived", "between θ .45 and .9 of " + DE_VRIES),
        Value(3.0e6, "derived", "between θ .45 and .9 of " + DE_VRIES),
        Value(0.65, "memory", "winter-moist peat"),
    ),
}
COMPOST = Medium(
    Value(0.45, "memory", "peat-free potting compost, moist"),
    Value(2.2e6, "memory", "peat-free potting compost, moist"),
    Value(0.40, "memory", "peat-free potting compost, moist"),
)
BENCH_SAND = Medium(
    Value(0.8, "memory", "damp sand bed of a cable-heated bench"),
    Value(2.1e6, "published", DE_VRIES),
    Value(0.0, "common practice", PRACTICE),
)
POND = Medium(
    Value(50.0, "memory", "stands for stirring by wind and night cooling"),
    Value(4.18e6, "published", DE_VRIES),
    Value(1.0, "published", DE_VRIES),
)
MANURE = Medium(
    Value(0.5, "derived", AHN),
    Value(2.5e6, "derived", AHN),
    Value(0.0, "common practice", "a working bed does not freeze"),
)
HEAP_STUFF = Medium(
    Value(0.45, "derived", AHN),
    Value(2.0e6, "derived", AHN),
    Value(0.0, "common practice", "a working heap does not freeze"),
)


@dataclass(frozen=True, slots=True)
class Mulch:
    """A layer on the ground."""

    k_w_mk: Value
    default_cm: Value
    albedo: Value
    wet: Value
    """Wetness of its face, 0 dry to 1 open water. [-]"""


_DAMP = Value(0.4, "memory", "set so that summer ground is cooler, as was measured")
_PALE = Value(0.28, "memory", "litter .25 to .30")
MULCHES: dict[str, Mulch] = {
    "straw": Mulch(Value(0.20, "derived", DONK), Value(8, "memory", ""), _PALE, _DAMP),
    "leaf-mould": Mulch(
        Value(0.25, "derived", AHN), Value(5, "memory", ""), _PALE, _DAMP
    ),
    "compost": Mulch(Value(0.25, "derived", AHN), Value(5, "memory", ""), _PALE, _DAMP),
    "mowings": Mulch(Value(0.25, "derived", AHN), Value(5, "memory", ""), _PALE, _DAMP),
}
BARE_ALBEDO = Value(0.20, "memory", "moist soil")
BARE_WET = Value(0.6, "memory", "winter-moist soil")
TURF_R = Value(0.05, "memory", "short living grass [m²K/W]")
TURF_ALBEDO = Value(0.23, "published", "FAO-56 reference grass")
TURF_WET = Value(0.8, "memory", "short living grass")
WATER_ALBEDO = Value(0.08, "memory", "open water, high sun")
SNOW_K = Value(0.065, "derived", STURM + " at 200 kg/m³")
SNOW_FALL_CM_D = Value(
    0.5, "derived", "set to two Irish stations; each fits the other within .02 K"
)
SNOW_BELOW_C = Value(0.5, "common practice", "snow rather than rain, day's mean [°C]")
SNOW_MELT_CM_K_D = Value(1.5, "memory", "degree days: 3 mm of water at 200 kg/m³")
SNOW_ALBEDO = Value(0.7, "memory", "between fresh and old snow")
FLEECE_R = Value(0.10, "memory", "row cover and the air below it [m²K/W]")
FLEECE_SKY = Value(0.75, "memory", "share of the sky loss left under a fleece")
FLEECE_G = (17.0, 25.0, 40.0)
FLEECE_SUN = (0.87, 0.765, 0.72)
"""Transmission at ``FLEECE_G``: figures of a trade page."""
FLEECE_LIFT_K = Value(0.8, "published", "trade test of 20 g fleece, +.75 to +.9 K")
MAT_U = Value(1.2, "memory", "straw mat or 5 cm quilt on glass [W/m²K]")
LID_R = Value(0.15, "memory", "lid or film close over the plants [m²K/W]")
LID_EVAPORATION = Value(0.25, "memory", "share of evaporation left under a lid")

FILM_WIND = Value(5.8, "derived", "FAO-56: resistance of short grass 208/u s/m")
FILM_LEAST = Value(2.8, "published", "still air, Springer Geothermal Energy 2017")
USUAL_WIND = Value(2.0, "published", "FAO-56: mean of 2000 stations, at 2 m [m/s]")
FILM_RADIANT = Value(4.7, "derived", "4 ε σ T³ at 5 °C")
FILM_INSIDE = Value(7.7, "derived", "1/.13 of EN ISO 6946 [W/m²K]")
FILM_SILL = Value(9.0, "memory", "pots in a room [W/m²K]")
FILM_BENCH = Value(8.0, "memory", "open bench in a house [W/m²K]")
LATENT_MOST = Value(0.85, "memory", "greatest share of net radiation evaporated")
KRS = Value(0.16, "published", "FAO-56 Eq. 50, inland")
AIR_HEAT = Value(0.335, "derived", "heat carried by air [W per m³/h and K]")
CLEAR_DROP = Value(15.0, "derived", "share of sky loss felt inside is U over this")


@dataclass(frozen=True, slots=True)
class Glazing:
    """A frame, house or tunnel."""

    u_w_m2k: Value
    ratio: Value
    """Cover to floor. [-]"""
    height_m: Value
    """Volume to floor. [m]"""
    changes_h: Value
    """Air changes with all shut. [1/h]"""
    open_changes_h: Value
    """Air changes with all open. [1/h]"""
    longwave: Value
    """Transmissivity for thermal radiation. [-]"""
    sun: Value
    """Heat of the sun kept per m² of floor, low sun through walls counted. [-]"""
    to_air: Value
    """Share of it that goes to the air. [-]"""
    vent_c: Value
    """Air temperature at which it is vented. [°C]"""


_GLASS_LW = Value(0.0, "memory", "glass is opaque to thermal radiation")
_GLASS_U = Value(5.8, "derived", EN_6946)
GLAZINGS: dict[str, Glazing] = {
    "cold-frame": Glazing(
        _GLASS_U,
        Value(1.25, "memory", "usual garden frame"),
        Value(0.35, "memory", "usual garden frame"),
        Value(1.0, "memory", EP406),
        Value(200.0, "memory", "lights propped or off"),
        _GLASS_LW,
        Value(0.80, "memory", "clean glass"),
        Value(0.4, "memory", ""),
        Value(18.0, "common practice", PRACTICE),
    ),
    "glasshouse": Glazing(
        _GLASS_U,
        Value(3.0, "memory", "small free-standing house"),
        Value(2.0, "memory", "small free-standing house"),
        Value(1.0, "memory", EP406),
        Value(40.0, "memory", EP406),
        _GLASS_LW,
        Value(1.05, "memory", "glass .7 times 1.5 for low sun through walls"),
        Value(0.6, "memory", ""),
        Value(22.0, "common practice", PRACTICE),
    ),
    "polytunnel": Glazing(
        Value(6.3, "derived", RASHEED),
        Value(1.9, "memory", "usual garden tunnel"),
        Value(1.8, "memory", "usual garden tunnel"),
        Value(0.8, "memory", EP406),
        Value(30.0, "memory", "doors at both ends"),
        Value(0.15, "memory", GEOOLA),
        Value(0.95, "memory", "film .8 times 1.2 for low sun through walls"),
        Value(0.55, "memory", ""),
        Value(22.0, "common practice", PRACTICE),
    ),
}
LID_SUN = Value(0.85, "memory", "clean lid or film")
LID_TO_AIR = Value(0.4, "memory", "as a frame")
LID_VENT_C = Value(25.0, "common practice", PRACTICE)

SILL_OUTDOOR = Value(0.2, "memory", "share of outdoors in the air at a window")
SILL_CURTAIN = Value(0.5, "memory", "the same behind a curtain at night")
SILL_SUN = Value(0.12, "memory", "sun on a sill as a share of open ground's")
EVAPORATION_W = Value(15.0, "memory", "moist compost in moving air [W/m²]")
ROOM_C = {
    "windowsill": Value(18.0, "common practice", PRACTICE),
    "warm-cupboard": Value(22.0, "common practice", PRACTICE),
}
SHED_LAG_H = Value(24.0, "memory", "time constant of an unheated shed [h]")
BASE_U = Value(0.65, "memory", "5 cm of foamed polystyrene below a bench [W/m²K]")
HEATER_BELOW_M = Value(0.04, "common practice", "cable 5 to 9 cm below the face [m]")
BASE_BELOW_M = Value(0.035, "common practice", "3 to 5 cm of sand below it [m]")
LAMP_HOURS = (6, 22)
"""Clock hours in which a lamp burns: a day of 16 h, common practice."""
LAMP_TO_AIR = Value(0.5, "memory", "share of a lamp's heat that goes to the air")


@dataclass(frozen=True, slots=True)
class Fuel:
    """What rots in a hotbed or heap."""

    degradable_kg_m3: Value
    """Biodegradable volatile solids. [kg/m³]"""
    moisture_pct: Value
    carbon_nitrogen: Value


_ASH = "dry matter .30, volatile .83, half of it biodegradable, 500-600 kg/m³"
FUELS: dict[Material, Fuel] = {
    "fresh": Fuel(
        Value(70.0, "derived", _ASH),
        Value(55.0, "memory", "trodden stable manure"),
        Value(25.0, "memory", "stable manure with its straw"),
    ),
    "strawy": Fuel(
        Value(50.0, "memory", "between fresh and very strawy"),
        Value(50.0, "memory", ""),
        Value(30.0, "memory", ""),
    ),
    "old": Fuel(
        Value(35.0, "memory", "30 to 40 for old or very strawy"),
        Value(55.0, "memory", ""),
        Value(22.0, "memory", ""),
    ),
    "leaf-diluted": Fuel(
        Value(45.0, "memory", "a third to a half leaves"),
        Value(55.0, "memory", ""),
        Value(35.0, "memory", ""),
    ),
    "mowings": Fuel(
        Value(60.0, "derived", "set to a home heap's log of 2014-17"),
        Value(60.0, "memory", ""),
        Value(22.0, "memory", ""),
    ),
}
HEAT_J_KG = Value(17e6, "memory", "Haug 1993: 17.4 MJ/kg for carbohydrate")
RATE_BED_D = Value(0.036, "memory", "trodden bed, air let in slowly [1/d]")
RATE_HEAP_D = Value(0.25, "derived", "set to a home heap's log of 2014-17 [1/d]")
LAG_D = Value(1.2, "memory", "steams in a day or two (Watts-type text) [d]")
SIDE_PIT = Value(1.0, "memory", "through the side of a pit [W/m²K]")
SIDE_HEAP = Value(0.7, "derived", "middle to side: 0.6 m at .45, then air [W/m²K]")
EDGE_W_MK = Value(0.7, "memory", "edge of an uninsulated house 1.4 from air to air")
EDGE_M = Value(0.4, "memory", "depth of ground that loses heat at the edge [m]")
BED_SOIL_M = Value(0.15, "common practice", "handbooks: 4 to 8 in of soil [m]")
HEAP_SIDE_M = Value(1.2, "memory", "free-standing 1.2 m square")

LIGHT_SHARE: dict[str, Value] = {
    "open-ground": Value(1.0, "common practice", PRACTICE),
    "cold-frame": Value(0.70, "memory", ".6 to .7 under glass"),
    "glasshouse": Value(0.65, "memory", ".6 to .7 under glass"),
    "polytunnel": Value(0.65, "memory", ".6 to .7 under film and dirt"),
    "hotbed": Value(0.70, "memory", "as a frame"),
    "windowsill": Value(0.25, "memory", "one side only, facing the sun"),
    "heated-bench": Value(1.0, "common practice", "as the house it stands in"),
    "propagator": Value(1.0, "common practice", "as the house, less its lid"),
    "warm-cupboard": Value(0.0, "common practice", PRACTICE),
    "store": Value(0.0, "common practice", PRACTICE),
    "heap": Value(1.0, "common practice", PRACTICE),
    "check-point": Value(1.0, "common practice", PRACTICE),
}
PAR_MOL_MJ = Value(2.06, "published", "Thimijan & Heins 1983, HortScience 18:818-822")

WAVE_PRIOR_K = Value(6.0, "memory", "yearly half-swing of air in a maritime climate")
WAVE_PRIOR_SD_K = Value(3.0, "memory", "spread of that between climates")
COLDEST_DAY = Value(25.0, "common practice", "late January")
