"""Every space in every state that a plan may have it in, and the state it is in."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from propsched.domain.batch import Event
from propsched.domain.quantities import Horizon
from propsched.domain.season import Season
from propsched.domain.space import (
    AS_SET,
    HEAT_OFF,
    HEAT_ON,
    MADE_UP,
    Heat,
    Space,
    Variant,
)

MOST_BEDS = 8
"""States of one bed that are planned for at most, covers included: each is simulated
and grown in; days of making up are thinned to as many."""


def variants_of(season: Season, today: date) -> tuple[Variant, ...]:
    """
    Every space in every state it may be planned for, by space, the usual state first.

    Usual is: heat that the plan switches off, no cover for a stay, a bed made up on
    the first of its days.  A space that stands inside another breathes the air of
    that one's usual state, whatever the plan makes of it: the worse case for plants.
    """
    usual = {s.id: next(_states(s, season, today))[0] for s in season.spaces}
    return tuple(
        Variant(
            state,
            name,
            breathes=usual.get(space.inside or ""),
        )
        for space in season.spaces
        for name, state in _states(space, season, today)
    )


def usual_of(variants: Iterable[Variant]) -> tuple[Variant, ...]:
    """The first variant of each space."""
    firsts: dict[str, Variant] = {}
    for variant in variants:
        firsts.setdefault(variant.space.id, variant)
    return tuple(firsts.values())


def _states(space: Space, season: Season, today: date) -> Iterator[tuple[str, Space]]:
    if space.make_up_open:
        days = make_up_choices(space, season, today)
        bases = [(bed_name(day), replace(space, make_up=day)) for day in days]
        bases = bases or [("not made up", space)]
    elif space.by_week and space.heat is not None:
        bases = [
            (HEAT_OFF, replace(space, heat=replace(space.heat, when="never"))),
            (HEAT_ON, replace(space, heat=replace(space.heat, when="always"))),
        ]
    else:
        bases = [(AS_SET, space)]
    yield from bases
    for name, state in bases:
        if name == HEAT_ON:  # what is heated wants no cover as well
            continue
        head = f"{name}, " if name.startswith(MADE_UP) else ""
        for cover in space.covers:
            yield f"{head}{cover} on", replace(state, cover=cover)


def bed_name(day: date) -> str:
    return f"{MADE_UP} {day.day} {day:%B}"


def make_up_choices(space: Space, season: Season, today: date) -> tuple[date, ...]:
    """Days from today on among which the plan chooses when to make up a bed."""
    days = sorted(set(space.make_up_days))
    if space.make_up_from is not None and space.make_up_to is not None:
        between = Horizon(
            space.make_up_from, (space.make_up_to - space.make_up_from).days + 1
        )
        days = [day for day in between if season.is_work_day(day)]
        days = days or [space.make_up_from]
    days = [day for day in days if day >= today]
    most = max(2, MOST_BEDS // (1 + len(space.covers)))
    if len(days) <= most:
        return tuple(days)
    picked = np.linspace(0, len(days) - 1, most).round().astype(int)
    return tuple(days[i] for i in picked)


def heated_days(heat: Heat, season: Season) -> tuple[int, int]:
    """First day of the season with heat, and first day after it; held inside it."""
    horizon = season.horizon
    first = 0 if heat.start is None else max(0, horizon.day(heat.start))
    end = horizon.days if heat.end is None else horizon.day(heat.end) + 1
    return first, min(end, horizon.days)


def states_by_day(
    variants: Sequence[Variant],
    daybook: Sequence[Event],
    horizon: Horizon,
    today: date,
) -> dict[str, NDArray[np.int64]]:
    """
    Index of the variant each space is in on each day, by the daybook.

    The usual state until the daybook says otherwise; what it says last before
    tomorrow holds for all days to come.
    """
    rows: dict[str, dict[str, int]] = {}
    for i, variant in enumerate(variants):
        rows.setdefault(variant.space.id, {})[variant.name] = i
    found = {
        space: np.full(horizon.days, next(iter(own.values())), dtype=np.int64)
        for space, own in rows.items()
    }
    heated, covered = dict.fromkeys(rows, False), dict.fromkeys(rows, "")
    for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None)):
        space, day = event.space, event.time.date()
        if len(rows.get(space, {})) < 2 or day > today:
            continue
        if event.event in ("heat-on", "heat-off"):
            heated[space] = event.event == "heat-on"
        elif event.event in ("cover-on", "cover-off"):
            on = event.event == "cover-on"
            covered[space] = _cover_meant(event, rows[space]) if on else ""
        else:
            continue
        at = max(0, horizon.day(day))
        found[space][at:] = _row(rows[space], covered[space], heated=heated[space])
    return found


def _cover_meant(event: Event, rows: Mapping[str, int]) -> str:
    """The cover a note names, else the first there is."""
    covers = [n.split(", ")[-1] for n in rows if n.endswith(" on") and n != HEAT_ON]
    named = [c for c in covers if c.removesuffix(" on") in event.note.casefold()]
    return next(iter(named or covers), "")


def _row(rows: Mapping[str, int], covered: str, *, heated: bool) -> int:
    if heated and HEAT_ON in rows:
        return rows[HEAT_ON]
    if covered:
        return next(i for name, i in rows.items() if name.endswith(covered))
    return next(iter(rows.values()))


def weeks(first: int, end: int, season: Season) -> Iterator[tuple[int, int]]:
    """Days first to end in weeks, each begun on the week's first work day."""
    begins = min((_WEEK.index(day) for day in season.work.days), default=0)
    day = first
    while day < end:
        on = season.start + timedelta(days=day)
        to_next = (begins - on.weekday()) % 7 or 7
        yield day, min(day + to_next, end)
        day += to_next


_WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
