"""Variants in the order in which they are computed, and who breathes whose air."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon
from propsched.domain.season import Site
from propsched.domain.space import Heat, Space, Variant
from propsched.thermal.covers import Skin
from propsched.thermal.places import AIR_HEATED, Place, make_place
from propsched.thermal.tuning import Tuning, tuned

Array = NDArray[np.float64]

OUTDOORS, DEEP, BESIDE = 0, 1, 2
"""Rows of the table of surroundings; rooms follow, then the variants' own air."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """
    V places sorted so that those which rot, vent or heat are runs of rows.

    Arrays are in that order.
    """

    places: tuple[Place, ...]
    place_in_order: NDArray[np.intp]
    """Row of each variant as given."""
    rotting: slice
    vented: slice
    heated: slice
    air_heated: NDArray[np.intp]
    rooms: tuple[Place, ...]
    """Places with a room of their own, in the order of its rows."""
    around: NDArray[np.intp]
    """Rows of surroundings: air, below, beside; (3, V)."""
    make_up: tuple[int | None, ...]
    """Day on which each bed is made up."""
    power_w_m2: Array
    """Greatest heater power on each day, (N, V)."""
    set_c: Array
    """(V, 1)"""
    shift_k: Array
    """Added to air, ground below and ground beside, (3, V, 1)."""
    bare: tuple[Skin, ...] = ()
    """Skins of the places before something was laid over them; empty: the same."""
    bare_until: int = 0
    """Day from which on it lies."""

    def skins(self, day: int) -> tuple[Skin, ...]:
        """What lies over each place on a day."""
        if self.bare and day < self.bare_until:
            return self.bare
        return tuple(place.skin for place in self.places)

    def in_order(self, table: NDArray[np.float32]) -> NDArray[np.float32]:
        """(T, V, K) in rows of the computation to (V, K, T) as given."""
        return np.ascontiguousarray(table[:, self.place_in_order].transpose(1, 2, 0))


def _rank(place: Place) -> int:
    rots, vents = place.decay is not None, place.skin.vented
    heats = _root_heat(place) is not None
    if heats:
        return 4 if vents else 5
    if rots:
        return 2 if vents else 1
    return 3 if vents else 0


def _root_heat(place: Place) -> Heat | None:
    """The heater in the root zone, if there is one."""
    if place.decay is not None or place.space.kind in AIR_HEATED:
        return None
    return place.space.heat


def laid_on(
    crew: Crew,
    bare: Sequence[Variant],
    day: int,
    site: Site,
    tunings: Sequence[Tuning] | None = None,
) -> Crew:
    """
    The crew whose covers are laid on one day.

    Parameters
    ----------
    bare : sequence of Variant
        Each variant of the crew, in the order given, as it was before.
    day : int
        First day with the covers.
    """
    spaces: dict[str, Space] = {}
    for variant in bare:
        spaces.setdefault(variant.space.id, variant.space)
    guesses = tunings or [Tuning()] * len(bare)
    skins = {
        int(row): tuned(make_place(v.space, spaces, site), t).skin
        for row, v, t in zip(crew.place_in_order, bare, guesses, strict=True)
    }
    ordered = tuple(skins[row] for row in range(len(skins)))
    return replace(crew, bare=ordered, bare_until=day)


def heater_power(heat: Heat | None, horizon: Horizon) -> Array:
    """Power there is on each day. [W/m²] (N,)"""
    if heat is None or heat.when == "never":
        return np.zeros(horizon.days)
    first = 0 if heat.start is None else horizon.day(heat.start)
    last = horizon.days if heat.end is None else horizon.day(heat.end)
    day = np.arange(horizon.days)
    return np.where((day >= first) & (day <= last), heat.w_per_m2, 0.0)


def _shift(place: Place, t: Tuning) -> tuple[float, float, float]:
    """What a guess adds to what lies around: air, ground below, ground beside. [K]"""
    room = t.room_k if place.room else 0.0
    return (
        room,
        t.deep_k if place.deep_below else room,
        t.deep_k if place.deep_beside else room,
    )


def _outer_of(variant: Variant, variants: Sequence[Variant]) -> int | None:
    """The variant whose air it breathes."""
    own = [i for i, v in enumerate(variants) if v.space.id == variant.space.inside]
    name = variant.name if variant.breathes is None else variant.breathes
    named = [i for i in own if variants[i].name == name]
    return next(iter(named or own), None)


def assemble(
    variants: Sequence[Variant],
    site: Site,
    horizon: Horizon,
    tunings: Sequence[Tuning] | None = None,
) -> Crew:
    """Work out places and their order; UnknownNameError if an outer one is missing."""
    spaces: dict[str, Space] = {}
    for variant in variants:
        spaces.setdefault(variant.space.id, variant.space)
    guesses = tunings or [Tuning()] * len(variants)
    made = [
        tuned(make_place(v.space, spaces, site), t)
        for v, t in zip(variants, guesses, strict=True)
    ]
    order = sorted(range(len(made)), key=lambda i: _rank(made[i]))
    row_of = {given: row for row, given in enumerate(order)}
    places = tuple(made[i] for i in order)
    ranks = [_rank(p) for p in places]

    def rows(*of: int) -> slice:
        hit = [i for i, rank in enumerate(ranks) if rank in of]
        return slice(hit[0], hit[-1] + 1) if hit else slice(0, 0)

    rooms = tuple(p for p in places if p.room)
    own_air = BESIDE + 1 + len(rooms)
    around = np.zeros((3, len(places)), dtype=np.intp)
    for row, (given, place) in enumerate(zip(order, places, strict=True)):
        outer = _outer_of(variants[given], variants)
        air = OUTDOORS if outer is None else own_air + row_of[outer]
        if place.room:
            air = BESIDE + 1 + [p is place for p in rooms].index(True)
        around[:, row] = (
            air,
            DEEP if place.deep_below else air,
            BESIDE if place.deep_beside else air,
        )
    heats = [p.space.heat if p.space.kind in AIR_HEATED else None for p in places]
    power = [
        heater_power(a or _root_heat(p), horizon)
        for a, p in zip(heats, places, strict=True)
    ]
    return Crew(
        places=places,
        place_in_order=np.array([row_of[i] for i in range(len(made))], dtype=np.intp),
        rotting=rows(1, 2),
        vented=rows(2, 3, 4),
        heated=rows(4, 5),
        air_heated=np.array([i for i, h in enumerate(heats) if h], dtype=np.intp),
        rooms=rooms,
        around=around,
        make_up=tuple(
            horizon.day(p.space.make_up) if p.bed and p.space.make_up else None
            for p in places
        ),
        power_w_m2=np.array(power).T.reshape(horizon.days, len(places)),
        set_c=np.array([[p.space.heat.set_c if p.space.heat else 0.0] for p in places]),
        shift_k=np.array(
            [_shift(p, guesses[i]) for p, i in zip(places, order, strict=True)]
        ).T[..., None],
    )
