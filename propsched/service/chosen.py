"""How a plan runs the spaces: which state each is in, what heat that takes."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from propsched.domain.plan import HeatRun, HotbedRun
from propsched.domain.space import HEAT_ON
from propsched.optimise.problem import Problem
from propsched.optimise.solution import Solution
from propsched.service.ground import Ground
from propsched.service.periods import states_without_choice
from propsched.service.variants import heated_days

MONEY_DIGITS = 2
ENERGY_DIGITS = 1
NOT_THERE = -1
"""In place of a variant: a bed that is not made up."""


def chosen_states(
    ground: Ground, problem: Problem, solution: Solution
) -> NDArray[np.int64]:
    """Variant of each space and day, covers over single stays aside. (S, D)"""
    found = states_without_choice(ground)
    for period, chosen in zip(problem.periods, solution.modes, strict=False):
        rows = period.modes[chosen].variants
        days = slice(period.first, period.end)
        found[period.space, days] = rows[0] if rows else NOT_THERE
    return found


def mode_cost(problem: Problem, solution: Solution) -> int:
    """Worth that the modes chosen cost."""
    return sum(
        period.modes[chosen].cost
        for period, chosen in zip(problem.periods, solution.modes, strict=False)
    )


def kwh_by_day(ground: Ground, states: NDArray[np.int64]) -> NDArray[np.float64]:
    """Mean energy over the winters of each space and day. [kWh] (S, D)"""
    kwh = ground.zone.kwh.mean(axis=1, dtype=np.float64)
    kwh = kwh[:, ground.offset : ground.offset + ground.days]
    of_state = np.take_along_axis(kwh, np.maximum(states, 0), axis=0)
    return np.where(states == NOT_THERE, 0.0, of_state)


def heat(ground: Ground, states: NDArray[np.int64]) -> tuple[HeatRun, ...]:
    """
    Runs of days on which a space draws current, mean over the winters.

    From the first to the last such day; of heat by the week each run of weeks by
    itself, and a lamp's days between them.
    """
    kwh = kwh_by_day(ground, states)
    found: list[HeatRun] = []
    for s, space in enumerate(ground.season.spaces):
        if space.by_week:
            for first, end in _stretches(ground, states, kwh, s):
                found.append(_run(ground, space.id, kwh[s], first, end))
            continue
        on = np.flatnonzero(kwh[s] > 0)
        if on.size:
            found.append(_run(ground, space.id, kwh[s], int(on[0]), int(on[-1]) + 1))
    return tuple(found)


def _stretches(
    ground: Ground, states: NDArray[np.int64], kwh: NDArray[np.float64], s: int
) -> Iterator[tuple[int, int]]:
    space = ground.season.spaces[s]
    if space.heat is None:
        return
    first, end = heated_days(space.heat, ground.season)
    day = np.arange(ground.days)
    heated = states[s] == ground.zone.of(space.id, HEAT_ON)
    heated &= (day >= first) & (day < end)
    kind = np.where(heated, 2, np.where(kwh[s] > 0, 1, 0))
    edges = [0, *(np.flatnonzero(np.diff(kind)) + 1).tolist(), ground.days]
    for begin, until in pairwise(edges):
        if kind[begin]:
            yield begin, until


def _run(
    ground: Ground, space: str, kwh: NDArray[np.float64], first: int, end: int
) -> HeatRun:
    price, today = ground.season.heat.price_per_kwh, max(0, ground.today_day)
    total = float(kwh[first:end].sum())
    to_come = float(kwh[max(first, today) : end].sum())
    return HeatRun(
        space=space,
        start=ground.season.horizon.date(first),
        end=ground.season.horizon.date(end - 1),
        kwh=round(total, ENERGY_DIGITS),
        cost=round(total * price, MONEY_DIGITS),
        cost_to_come=round(to_come * price, MONEY_DIGITS),
    )


def hotbeds(ground: Ground, states: NDArray[np.int64]) -> tuple[HotbedRun, ...]:
    """Beds made up, on the day they are to be or are."""
    found = []
    for s, space in enumerate(ground.season.spaces):
        made = space.make_up
        if space.make_up_open and states[s, -1] != NOT_THERE:
            made = ground.zone.variants[states[s, -1]].space.make_up
        if space.kind == "hotbed" and made is not None:
            found.append(HotbedRun(space=space.id, make_up=made))
    return tuple(found)


def daily_medians(
    ground: Ground, states: NDArray[np.int64]
) -> dict[str, tuple[float, ...]]:
    """Daily mean root-zone temperature of each space, median of the winters."""
    zone, cut = ground.zone, slice(ground.offset, ground.offset + ground.days)
    shape = (*zone.root_c.shape[:2], zone.horizon.days, 24)
    daily = zone.root_c.reshape(shape).mean(axis=3)[:, :, cut]
    median = np.median(daily, axis=1).round(2)
    of_state = np.take_along_axis(median, np.maximum(states, 0), axis=0)
    shown = np.where(states == NOT_THERE, np.nan, of_state)
    return {s.id: tuple(shown[i].tolist()) for i, s in enumerate(ground.season.spaces)}
