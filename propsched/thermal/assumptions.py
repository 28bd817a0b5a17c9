"""The figures on which the model of one space rests, each with its basis."""

from collections.abc import Iterator
from dataclasses import dataclass

from propsched.domain.season import Site
from propsched.domain.space import Space
from propsched.thermal import materials as m
from propsched.thermal.materials import Value
from propsched.thermal.skins import BENCHES, DARK, INDOORS, UNDER_GLASS

YOURS = "yours"
"""Basis of what the season's owner has set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """One figure of the model."""

    what: str
    value: float
    unit: str
    basis: str
    """A basis of the crop table, or ``yours``."""
    source: str = ""


def _of(what: str, value: Value, unit: str = "") -> Assumption:
    return Assumption(
        what=what, value=value.value, unit=unit, basis=value.basis, source=value.source
    )


def _yours(what: str, value: float, unit: str) -> Assumption:
    return Assumption(
        what=what, value=value, unit=unit, basis=YOURS, source="season.toml"
    )


def assumptions(space: Space, site: Site) -> tuple[Assumption, ...]:
    """
    Figures that matter for a space, most telling first.

    Parameters
    ----------
    space : Space
    site : Site
        Its soil is the ground of whatever stands on ground.
    """
    found: list[Assumption] = []
    kind = space.kind
    if kind in UNDER_GLASS or kind == "hotbed":
        glass = "cold-frame" if kind == "hotbed" else kind
        if kind != "hotbed" or space.inside is None:
            found += _glass(glass, space)
    if kind in ("hotbed", "heap"):
        found += _rotting(space)
    found += _medium(space, site)
    found += _indoors(space)
    found += _cover(space)
    if space.lid or (space.lid is None and kind == "propagator"):
        found += [
            _of("lid, thermal resistance", m.LID_R, "m²K/W"),
            _of("lid, share of sun let through", m.LID_SUN),
            _of("lid, share of evaporation left", m.LID_EVAPORATION),
        ]
    if space.heat is not None and space.heat.when != "never":
        found += [
            _yours("set point", space.heat.set_c, "°C"),
            _yours("heater, greatest power", space.heat.w_per_m2, "W/m²"),
        ]
    if space.lamp is not None:
        found.append(_yours("lamp, power", space.lamp.w, "W"))
    return (*found, *_sky(space))


def _glass(kind: str, space: Space) -> Iterator[Assumption]:
    g = m.GLAZINGS[kind]
    yield _of("glass or film, loss per area and kelvin", g.u_w_m2k, "W/m²K")
    yield _of("cover to floor", g.ratio)
    yield _of("volume to floor", g.height_m, "m")
    yield _of("air changes, all shut", g.changes_h, "/h")
    if space.vent != "shut":
        yield _of("air changes, all open", g.open_changes_h, "/h")
        yield _of("air temperature at which it is vented", g.vent_c, "°C")
    yield _of("sun kept, per m² of floor", g.sun)
    yield _of("share of that warming the air", g.to_air)
    yield _of("thermal radiation let through", g.longwave)
    if space.night_mat or space.cover == "mat":
        yield _of("with the mat on, loss", m.MAT_U, "W/m²K")
    if space.area_m2 > 0:
        yield _of("loss along the edge", m.EDGE_W_MK, "W/mK")


def _rotting(space: Space) -> Iterator[Assumption]:
    fuel, loose = m.FUELS[space.material], space.kind == "heap"
    yield _yours("depth of manure or mowings", space.manure_cm, "cm")
    yield _yours("temperature it is filled at", space.fill_c, "°C")
    yield _of("what can rot", fuel.degradable_kg_m3, "kg/m³")
    yield _of(
        "greatest rate of rotting", m.RATE_HEAP_D if loose else m.RATE_BED_D, "/d"
    )
    yield _of("heat set free", replace_unit(m.HEAT_J_KG, 1e-6), "MJ/kg")
    yield _of("time the microbes take to wake", m.LAG_D, "d")
    yield _of("moisture", fuel.moisture_pct, "%")
    yield _of("carbon to nitrogen", fuel.carbon_nitrogen)
    stuff = m.HEAP_STUFF if loose else m.MANURE
    yield _of("manure or mowings, conductivity", stuff.k_w_mk, "W/mK")
    yield _of("loss through the side", m.SIDE_HEAP if loose else m.SIDE_PIT, "W/m²K")
    if not loose:
        yield _of("soil on top", m.BED_SOIL_M, "m")


def replace_unit(value: Value, by: float) -> Value:
    """The same figure in another unit."""
    return value._replace(value=value.value * by)


def _medium(space: Space, site: Site) -> Iterator[Assumption]:
    if space.kind == "heap":
        return
    medium, name = m.SOILS[site.soil], str(site.soil)
    if space.kind in BENCHES:
        medium, name = m.BENCH_SAND, "sand of the bench"
    elif space.kind in INDOORS:
        medium, name = m.COMPOST, "compost in pots"
    elif space.kind == "check-point":
        medium, name = m.POND, "water"
    yield _of(f"{name}, conductivity", medium.k_w_mk, "W/mK")
    capacity = replace_unit(medium.c_j_m3k, 1e-6)
    yield _of(f"{name}, heat capacity", capacity, "MJ/m³K")
    if space.kind in BENCHES:
        yield _of("loss through the base", m.BASE_U, "W/m²K")
        yield _of("heater below the probe", m.HEATER_BELOW_M, "m")


def _indoors(space: Space) -> Iterator[Assumption]:
    if space.room_c is not None:
        yield _yours("room", space.room_c, "°C")
    elif space.kind in m.ROOM_C:
        yield _of("room", m.ROOM_C[space.kind], "°C")
    elif space.kind == "store":
        yield _of("building's time constant", m.SHED_LAG_H, "h")
    if space.kind == "windowsill":
        yield _of("share of outdoors in the air at the window", m.SILL_OUTDOOR)
        if space.night_mat:
            yield _of("the same at night behind a curtain", m.SILL_CURTAIN)
        yield _of("sun on the sill, of open ground's", m.SILL_SUN)
    if space.kind == "windowsill" or space.kind in BENCHES:
        yield _of("steady evaporation", m.EVAPORATION_W, "W/m²")


def _cover(space: Space) -> Iterator[Assumption]:
    name = space.cover
    if name in m.MULCHES:
        mulch = m.MULCHES[name]
        yield _of(f"{name}, conductivity", mulch.k_w_mk, "W/mK")
        if space.cover_cm is None:
            yield _of(f"{name}, thickness", mulch.default_cm, "cm")
        else:
            yield _yours(f"{name}, thickness", space.cover_cm, "cm")
        yield _of(f"{name}, sun thrown back", mulch.albedo)
        yield _of(f"{name}, wetness of its face", mulch.wet)
    elif name == "turf":
        yield _of("turf, thermal resistance", m.TURF_R, "m²K/W")
        yield _of("turf, sun thrown back", m.TURF_ALBEDO)
        yield _of("turf, wetness", m.TURF_WET)
    elif name == "fleece":
        yield _of("fleece, thermal resistance", m.FLEECE_R, "m²K/W")
        yield _of("fleece, share of the sky's loss left", m.FLEECE_SKY)
    elif space.kind == "open-ground":
        yield _of("bare ground, sun thrown back", m.BARE_ALBEDO)
        yield _of("bare ground, wetness", m.BARE_WET)


def _sky(space: Space) -> Iterator[Assumption]:
    if space.kind in DARK:
        return
    yield _of("sun from the range of temperature, k", m.KRS)
    if space.inside is None and space.kind not in INDOORS:
        yield _of("wind at 2 m where unknown", m.USUAL_WIND, "m/s")
