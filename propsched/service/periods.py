"""What is decided of the spaces themselves: weeks of heat, days of making up beds."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from propsched.domain.space import HEAT_OFF, HEAT_ON, Space
from propsched.optimise.problem import WORTH_SCALE, Mode, Period
from propsched.service.ground import Ground, heat_cost_per_day
from propsched.service.variants import heated_days, weeks

NOT_MADE_UP = "not made up"
LITRES_PER_M3 = 1000


def periods(ground: Ground) -> tuple[Period, ...]:
    """
    Spaces that may be run in several ways, from today on.

    Heat by the week: off, in all states without it, or on at what it costs more than
    off.  A bed: made up on one of its days, which lets what stands there into that
    state, or not made up, and then nothing stands there.
    """
    found: list[Period] = []
    for s, space in enumerate(ground.season.spaces):
        if space.make_up_open:
            found += _bed(ground, s, space)
        elif space.by_week:
            found += _heat(ground, s, space)
    return tuple(found)


def _heat(ground: Ground, s: int, space: Space) -> Iterator[Period]:
    if space.heat is None:
        return
    rows = ground.variants_of(space.id)
    on = ground.zone.of(space.id, HEAT_ON)
    off = ground.zone.of(space.id, HEAT_OFF)
    cost = heat_cost_per_day(ground)
    more = (cost[on] - cost[off]) * ground.season.weights.heat_per_unit * WORTH_SCALE
    first, end = heated_days(space.heat, ground.season)
    for day, until in weeks(max(first, ground.today_day), end, ground.season):
        yield Period(
            space=s,
            first=day,
            end=until,
            modes=(
                Mode(name=HEAT_OFF, variants=tuple(v for v in rows if v != on)),
                Mode(
                    name=HEAT_ON,
                    variants=(on,),
                    cost=max(0, round(float(more[day:until].sum()))),
                ),
            ),
        )


def _bed(ground: Ground, s: int, space: Space) -> Iterator[Period]:
    days: dict[object, list[int]] = {}
    for v in ground.variants_of(space.id):
        made = ground.zone.variants[v].space.make_up
        if made is not None:
            days.setdefault(made, []).append(v)
    if not days or ground.today_day >= ground.days:
        return
    modes = [Mode(name=NOT_MADE_UP, variants=())]
    for rows in days.values():
        name = ground.zone.variants[rows[0]].name
        modes.append(Mode(name=name, variants=tuple(rows), manure=space.manure_l))
    yield Period(space=s, first=ground.today_day, end=ground.days, modes=tuple(modes))


def manure_left(ground: Ground, found: tuple[Period, ...]) -> int | None:
    """Manure for beds whose day is open, those decided aside; None: no limit. [l]"""
    most = ground.season.heat.manure_m3
    if most is None or not any(mode.manure for one in found for mode in one.modes):
        return None
    return max(0, round(most * LITRES_PER_M3) - manure_bound(ground.season.spaces))


def manure_bound(spaces: tuple[Space, ...]) -> int:
    """Manure of beds and heaps with a day of their own. [l]"""
    return sum(s.manure_l for s in spaces if s.make_up is not None)


def heat_without_choice(ground: Ground) -> int:
    """Worth of the heat that is paid for whatever is decided."""
    cost = heat_cost_per_day(ground)
    cost = np.take_along_axis(cost, states_without_choice(ground), axis=0)
    weight = ground.season.weights.heat_per_unit * WORTH_SCALE
    return round(float(cost.sum()) * weight)


def states_without_choice(ground: Ground) -> NDArray[np.int64]:
    """
    Variant of each space and day before anything is decided. (S, D)

    As the daybook has it before today; from then on heat by the week is off.
    """
    rows = [
        [ground.variant_on(space.id, ground.offset + day) for day in range(ground.days)]
        for space in ground.season.spaces
    ]
    found = np.array(rows, dtype=np.int64).reshape(len(rows), ground.days)
    for s, space in enumerate(ground.season.spaces):
        found[s, ground.today_day :] = ground.zone.of(space.id)
    return found
