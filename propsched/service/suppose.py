"""What a garden otherwise than it is would be worth: a shelf, a bed made up sooner."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from propsched.domain.container import TRAY_M2
from propsched.domain.plan import Plan
from propsched.errors import NothingFoundError
from propsched.optimise.explain import area_worth
from propsched.optimise.problem import AREA_SCALE, WORTH_SCALE, Problem
from propsched.optimise.solution import Solution
from propsched.service.change import Change
from propsched.service.chosen import chosen_states, kwh_by_day
from propsched.service.exchange import better_of
from propsched.service.gained import Effect, effects
from propsched.service.garden import Another, Rebuilt, another
from propsched.service.planner import solved, write_out
from propsched.service.prepare import Emit, Prepared, near, prepare
from propsched.service.request import Request

SCARCE_WEEK = 0.005
"""Worth of one more tray in a week from which the space is called scarce in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposed:
    """A season in a garden otherwise than it is, beside the season as it is."""

    supposed: tuple[str, ...]
    as_is: Plan
    as_supposed: Plan
    worth: float
    """Of what is supposed, by the two plans."""
    worth_least: float
    worth_most: float
    """Between these it lies, as far as the two plans are proven."""
    estimate: float | None
    """By the prices of the plan as it is: area × its worth by day, less heat that is
    on in any case; None: nothing of it is area."""
    heat: float
    """Heat that it costs more, below 0 less. [currency]"""
    currency: str
    rows: tuple[Effect, ...]
    near: bool
    """Both are kept near the plan in force."""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayPlace:
    """What one more standard tray in a space would be worth, from today on."""

    space: str
    worth: float
    """By the plan's prices, heat aside."""
    heat: float
    """Heat that its area takes. [currency]"""
    weeks: tuple[tuple[date, date], ...]
    """First and last day of the runs of weeks in which room is short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayPlaces:
    rows: tuple[TrayPlace, ...]
    """Largest worth first."""
    plan: Plan
    currency: str
    near: bool
    notes: tuple[str, ...] = ()


def suppose(
    request: Request,
    garden: Sequence[Rebuilt],
    emit: Emit,
    cancel: threading.Event,
    *,
    afresh: bool = False,
) -> Supposed:
    """
    Plan a season as it is and in another garden, and weigh one against the other.

    Both start from what stands and are given equal time.  Nothing is saved.

    Parameters
    ----------
    garden : sequence of Rebuilt
        All that is supposed together.
    afresh : bool
        Forget the plan in force; else both are kept near it, where there is one.

    Raises
    ------
    PropschedError
        On faults of the input, of what is supposed, or pins that cannot be met.
    NothingFoundError
        If it is stopped before both are planned.
    """
    # what is supposed first: its faults are told before anything is planned
    change = Change(garden=tuple(garden))
    new = near(prepare(request, emit, cancel, change=change, near_force=not afresh))
    old = near(prepare(request, emit, cancel, near_force=not afresh))
    was, old = solved(request, old, emit, cancel)
    if cancel.is_set():
        raise NothingFoundError("stopped before there was anything to compare")
    now, new = solved(request, new, emit, cancel)
    now = better_of(new.problem, now, old.problem, was)
    was = better_of(old.problem, was, new.problem, now)
    before, after = write_out(request, old, was), write_out(request, new, now)
    today = old.loaded.today
    spent = [sum(run.cost for run in one.plan.heat) for one in (before, after)]
    return Supposed(
        supposed=after.plan.assumed,
        as_is=before.plan,
        as_supposed=after.plan,
        worth=_worth(now.worth - was.worth),
        worth_least=_worth(now.worth - was.bound),
        worth_most=_worth(now.bound - was.worth),
        estimate=_estimate(old, was, new.problem, garden),
        heat=round(spent[1] - spent[0], 2),
        currency=old.loaded.season.heat.currency,
        rows=effects(
            before.plan, after.plan, by_batch(old, was), by_batch(new, now), today
        ),
        near=old.force is not None,
        notes=(*after.notes, *filter(None, [old.stray])),
    )


def tray_places(
    request: Request, emit: Emit, cancel: threading.Event, *, afresh: bool = False
) -> TrayPlaces:
    """What one more standard tray is worth in each space; errors as ``suppose``."""
    ready = near(prepare(request, emit, cancel, near_force=not afresh))
    solution, ready = solved(request, ready, emit, cancel)
    outcome = write_out(request, ready, solution)
    season, today = ready.loaded.season, ready.ground.today_day
    price = area_worth(ready.problem, solution) * TRAY_M2 * AREA_SCALE / WORTH_SCALE
    states = chosen_states(ready.ground, ready.problem, solution)
    cost = kwh_by_day(ready.ground, states) * season.heat.price_per_kwh
    rows = [
        TrayPlace(
            space=space.id,
            worth=round(float(price[s, today:].sum()), 3),
            heat=round(float(cost[s, today:].sum()) * TRAY_M2 / space.area_m2, 2),
            weeks=_weeks(ready, price[s]),
        )
        for s, space in enumerate(season.spaces)
        if space.stands
    ]
    return TrayPlaces(
        rows=tuple(sorted(rows, key=lambda row: -row.worth)),
        plan=outcome.plan,
        currency=season.heat.currency,
        near=ready.force is not None,
        notes=(*outcome.notes, *filter(None, [ready.stray])),
    )


def _weeks(ready: Prepared, price: np.ndarray) -> tuple[tuple[date, date], ...]:
    """Runs of weeks from Monday in which a tray is worth something."""
    first, today = ready.loaded.season.start, ready.ground.today_day
    runs: list[tuple[int, int]] = []
    for monday in range(-first.weekday(), price.size, 7):
        day, end = max(today, monday), min(price.size, monday + 7)
        if end <= day or price[day:end].sum() < SCARCE_WEEK:
            continue
        if runs and runs[-1][1] == day:
            runs[-1] = (runs[-1][0], end)
        else:
            runs.append((day, end))
    horizon = ready.loaded.season.horizon
    return tuple((horizon.date(a), horizon.date(b - 1)) for a, b in runs)


def _estimate(
    old: Prepared, was: Solution, new: Problem, garden: Sequence[Rebuilt]
) -> float | None:
    """What the prices of the plan as it is say of the area and the heat paid anyway."""
    price = area_worth(old.problem, was)
    names = old.problem.space_names
    like = _likeness(old, garden)
    worth, any_area = 0.0, False
    for s, name in enumerate(new.space_names):
        area = new.capacity[s].astype(np.float64)
        row = names.index(like.get(name, name))
        if name in names:
            area -= old.problem.capacity[row]
        any_area = any_area or bool(area.any())
        worth += float((price[row] * area)[old.ground.today_day :].sum())
    if not any_area:
        return None
    return _worth(worth + new.constant - old.problem.constant)


def _likeness(old: Prepared, garden: Sequence[Rebuilt]) -> dict[str, str]:
    """Of each second space the one that it is like."""
    spaces = list(old.loaded.season.spaces)
    found: dict[str, str] = {}
    for one in garden:
        if isinstance(one, Another):
            name = another(spaces, one.space)
            model = next(s for s in spaces if s.id == one.space)
            spaces.append(replace(model, id=name))
            found[name] = found.get(one.space, one.space)
    return found


def by_batch(ready: Prepared, solution: Solution) -> dict[str, float]:
    """What each batch that is raised brings."""
    found: dict[str, float] = {}
    for route in solution.routes:
        name = ready.raised[route.task].batch.id
        found[name] = found.get(name, 0.0) + route.value / WORTH_SCALE
    return found


def _worth(units: float) -> float:
    return round(units / WORTH_SCALE, 4)
