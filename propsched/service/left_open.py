"""What a season leaves to the plan, in sentences."""

from collections.abc import Iterable, Iterator
from datetime import date

from propsched.domain.batch import Batch
from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.service.periods import LITRES_PER_M3, manure_bound
from propsched.service.variants import make_up_choices


def left_to_the_plan(
    season: Season, batches: Iterable[Batch], today: date
) -> Iterator[str]:
    """One sentence each for heat, beds, covers and batches."""
    for space in season.spaces:
        if space.by_week:
            yield f"{space.id}: the plan says in which weeks its heat is on"
        if space.make_up_open:
            yield _bed(space, season, today)
        if space.covers:
            what = " or ".join(space.covers)
            yield f"{space.id}: the plan says over what {what} is laid"
    split = [one.id for one in batches if one.split and one.repeat is None]
    if split:
        yield f"may be raised in two halves: {', '.join(split)}"


def _bed(space: Space, season: Season, today: date) -> str:
    days = make_up_choices(space, season, today)
    if not days:
        return f"{space.id}: the days to make it up are over, so nothing stands in it"
    if len(days) == 1:
        which = f"on {days[0]} or not at all"
    else:
        which = (
            f"on one of {len(days)} days from {days[0]} to {days[-1]}, or not at all"
        )
    return f"{space.id}: the plan makes it up {which} ({space.manure_l} l of manure)"


def doubts(season: Season, batches: Iterable[Batch]) -> Iterator[str]:
    """What is left to the plan and cannot be decided well, or not at all."""
    by_week = [space.id for space in season.spaces if space.by_week]
    if by_week and season.heat.price_per_kwh == 0:
        names = ", ".join(by_week)
        yield (
            f"season.toml: heat by the week ({names}) without price_per_kwh costs "
            "nothing, so the plan has no reason to switch it off"
        )
    bound, most = manure_bound(season.spaces), season.heat.manure_m3
    if most is not None and bound > most * LITRES_PER_M3:
        taken = bound / LITRES_PER_M3
        yield (
            f"season.toml: beds with a day of their own take {taken:.2f} m³ of manure, "
            f"more than manure_m3 has, {most:g}"
        )
    left = None if most is None else max(0, most * LITRES_PER_M3 - bound)
    for space in season.spaces:
        if space.make_up_open and left is not None and space.manure_l > left:
            yield (
                f"season.toml: {space.id} would take {space.manure_l} l of manure, and "
                f"{left:.0f} l are left of manure_m3: it cannot be made up"
            )
    several = [one.id for one in batches if one.split and one.repeat is not None]
    if several:
        yield (
            f"batches.csv: not split: {', '.join(several)} – sowings of a repeat stay "
            "whole"
        )
