"""A garden otherwise than it is: more room, another space, a bed on another day."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from math import ceil
from typing import TypeAlias

from propsched.domain.container import TRAY_M2
from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.errors import PropschedError, UnknownNameError
from propsched.optimise.problem import AREA_SCALE

LEAST_LEFT_M2 = 0.01
"""Less room than this is none."""
LARGEST_SET_C = 40.0
"""As ``season.toml`` takes it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """More or less standing area of a space."""

    space: str
    more_m2: float
    """Below 0: less. [m²]"""
    trays: int = 0
    """As it was asked for, in standard seed trays; 0: in m²."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Another:
    """A second space like one that there is."""

    space: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeUp:
    """A hotbed or heap made up on a day."""

    space: str
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTo:
    """The thermostat of a space."""

    space: str
    set_c: float
    """[°C]"""


Rebuilt: TypeAlias = Room | Another | MadeUp | SetTo


def rebuilt(season: Season, all_of_it: Iterable[Rebuilt], today: date) -> Season:
    """
    The season in a garden otherwise than it is; new spaces come last.

    Second spaces are there before all else, so that they can be named as
    ``another`` names them.

    Parameters
    ----------
    all_of_it : iterable of Rebuilt
        Several of one space hold together.

    Raises
    ------
    UnknownNameError
        If a space is not in the season.
    PropschedError
        If it cannot be: no room left, a bed already made up, no heater to set.
    """
    spaces = list(season.spaces)
    wanted = sorted(all_of_it, key=lambda one: not isinstance(one, Another))
    for one in wanted:
        at = _index(spaces, one.space)
        if isinstance(one, Another):
            spaces.append(_second(spaces[at], another(spaces, one.space), today))
        elif isinstance(one, Room):
            spaces[at] = _resized(spaces[at], one)
        elif isinstance(one, MadeUp):
            spaces[at] = _made_up(spaces[at], one.day, season, today)
        else:
            spaces[at] = _set_to(spaces[at], one.set_c)
    return replace(season, spaces=tuple(spaces))


def another(spaces: Iterable[Space], name: str) -> str:
    """Name of the next space like one: ``bench-2``, ``bench-3``."""
    taken = {space.id for space in spaces}
    number = 2
    while f"{name}-{number}" in taken:
        number += 1
    return f"{name}-{number}"


def _index(spaces: list[Space], name: str) -> int:
    names = [space.id for space in spaces]
    if name not in names:
        near = get_close_matches(name, names)
        known = ", ".join(space.id for space in spaces if space.stands)
        hint = (
            f"did you mean {' or '.join(near)}?" if near else f"the season has {known}"
        )
        raise UnknownNameError(f"no space {name!r} – {hint}")
    return names.index(name)


def _standing(space: Space) -> Space:
    if space.stands:
        return space
    raise PropschedError(f"nothing stands in {space.id}: it is only measured")


def _second(space: Space, name: str, today: date) -> Space:
    made = space.make_up
    return replace(
        _standing(space),
        id=name,
        reserved=(),
        make_up=None if made is None else max(made, today),
    )


def _resized(space: Space, room: Room) -> Space:
    area = _standing(space).area_m2 + room.more_m2
    if area < LEAST_LEFT_M2:
        raise PropschedError(
            f"{space.id} has {space.area_m2:.2f} m²: {-room.more_m2:.2f} m² less would "
            "leave no room – try propsched whatif --without for a space out of use"
        )
    return replace(space, area_m2=area)


def _made_up(space: Space, day: date, season: Season, today: date) -> Space:
    if space.kind not in ("hotbed", "heap"):
        raise PropschedError(
            f"{space.id} is no hotbed or heap: there is nothing to make up"
        )
    if space.make_up is not None and space.make_up < today:
        raise PropschedError(f"{space.id} was made up on {space.make_up} already")
    if not today <= day <= season.end:
        raise PropschedError(
            f"{space.id} cannot be made up on {day} – say a day from {today} to "
            f"{season.end}"
        )
    return replace(
        space, make_up=day, make_up_days=(), make_up_from=None, make_up_to=None
    )


def _set_to(space: Space, set_c: float) -> Space:
    if space.heat is None:
        raise PropschedError(f"{space.id} has no heater to set")
    if not 0 <= set_c <= LARGEST_SET_C:
        raise PropschedError(
            f"{space.id} cannot be set to {set_c:g} °C – say 0 to {LARGEST_SET_C:g}"
        )
    return replace(space, heat=replace(space.heat, set_c=set_c))


def rebuilt_told(all_of_it: Iterable[Rebuilt]) -> tuple[str, ...]:
    """Each change of the garden in words."""
    return tuple(_told(one) for one in all_of_it)


def _told(one: Rebuilt) -> str:
    if isinstance(one, Another):
        return f"another {one.space}"
    if isinstance(one, MadeUp):
        return f"{one.space} made up on {one.day.day} {one.day:%B}"
    if isinstance(one, SetTo):
        return f"{one.space} set to {one.set_c:g} °C"
    word = "more" if one.more_m2 > 0 else "less"
    if one.trays:
        places = "tray place" if one.trays == 1 else "tray places"
        fewer = "more" if one.more_m2 > 0 else "fewer"
        return f"{one.trays} {fewer} {places} in {one.space}"
    return f"{abs(one.more_m2):g} m² {word} in {one.space}"


def trays_m2(number: int) -> float:
    """Area on which so many standard seed trays stand. [m²]"""
    per_unit = 1 / AREA_SCALE  # the planner counts in whole units
    return number * ceil(TRAY_M2 / per_unit) * per_unit
