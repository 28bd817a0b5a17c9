"""Tasks that must be placed: what to do, and say, when they cannot all be."""

import threading
import time
from dataclasses import dataclass

import numpy as np

from propsched.errors import PinsImpossibleError
from propsched.optimise.bound import bound_at
from propsched.optimise.choice import choose
from propsched.optimise.grid import Grid
from propsched.optimise.listing import list_routes
from propsched.optimise.network import make_network
from propsched.optimise.partial import Plan
from propsched.optimise.prices import no_prices
from propsched.optimise.problem import Problem, Route
from propsched.optimise.room import all_room
from propsched.optimise.search import Search
from propsched.optimise.stays import use_of

ROUNDS = 60
"""Hundreds of tries to place them where there are more routes than are listed;
judgement, time mostly ends them first."""
LISTED = 20_000
"""Routes of must tasks that are listed at most to settle whether they fit;
judgement."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Where the tasks that must be placed get in one another's way."""

    tasks: tuple[int, ...]
    """Those that cannot be placed, the others being where they are."""
    space: int | None = None
    """Space that is short; None: work, or no route at all."""
    first_day: int | None = None
    last_day: int | None = None
    short: int = 0
    """Area [10 cm²], or minutes where ``space`` is None."""
    proven: bool = True
    """False: not found in the time there was."""


class MustConflictError(PinsImpossibleError):
    """Tasks that must be placed cannot all be; days are the problem's own."""

    def __init__(self, message: str, clash: Clash) -> None:
        super().__init__(message)
        self.clash = clash


def refuse_hopeless(problem: Problem, search: Search) -> None:
    """Refuse must tasks that have no route even with all room to themselves."""
    lost = []
    for b, task in enumerate(problem.tasks):
        if not task.must:
            continue
        if (
            search.best_route(
                b, all_room(search.grid), no_prices(search.problem, search.grid)
            )
            is None
        ):
            lost.append(b)
    if lost:
        names = ", ".join(f'"{problem.tasks[b].name}"' for b in lost)
        what = f"{names}: no way through its stages, even with every space to itself"
        raise MustConflictError(what, Clash(tuple(lost)))


def place_all(
    problem: Problem,
    search: Search,
    plan: Plan,
    *,
    seed: int,
    limit_s: float,
    reproducible: bool,
    cancel: threading.Event,
) -> Plan:
    """
    A plan with every must task in it, if ``plan`` leaves some out.

    Raises
    ------
    MustConflictError
        There is none, or none was found.
    """
    grid = search.grid
    must = tuple(b for b, task in enumerate(problem.tasks) if task.must)
    if all(b in plan.routes for b in must):
        return plan
    network = make_network(problem, grid, must)
    free = bound_at(problem, grid, network, no_prices(problem, grid))
    routes = list_routes(network, grid, free, np.inf, LISTED)
    proven = False
    if routes is None:
        plan = _insist(search, plan, must, limit_s, reproducible=reproducible)
        if all(b in plan.routes for b in must):
            return plan
    if routes is not None:
        chosen = choose(
            problem,
            grid,
            routes,
            {},
            seed=seed,
            workers=1,
            limit_s=limit_s,
            reproducible=reproducible,
            cancel=cancel,
        )
        proven = chosen.impossible
        if chosen.routes is not None:
            best = search.rebuild(list(chosen.routes))
            search.fill(best, no_prices(problem, grid))
            return best
    raise _conflict(problem, search, plan, must, proven=proven)


def _insist(
    search: Search,
    plan: Plan,
    must: tuple[int, ...],
    limit_s: float,
    *,
    reproducible: bool,
) -> Plan:
    """Go on inserting for the must tasks alone, too many ways to list them all."""
    free = no_prices(search.problem, search.grid)
    plan = search.rebuild([route for b, route in plan.routes.items() if b in must])
    end = time.perf_counter() + limit_s
    for _ in range(ROUNDS):
        if search.stop() or (not reproducible and time.perf_counter() > end):
            break
        search.better(plan, (free,), 100)
        if all(b in plan.routes for b in must):
            break
    search.fill(plan, free)
    return plan


def _conflict(
    problem: Problem, search: Search, plan: Plan, must: tuple[int, ...], *, proven: bool
) -> MustConflictError:
    """What stands against the must tasks left out, only must tasks being placed."""
    alone = search.rebuild([r for b, r in plan.routes.items() if b in must])
    missing = tuple(b for b in must if b not in alone.routes)
    first = missing[0]
    wish = search.best_route(
        first, all_room(search.grid), no_prices(search.problem, search.grid)
    )
    names = ", ".join(f'"{problem.tasks[b].name}"' for b in missing)
    clash = Clash(missing, proven=proven)
    where = ""
    if wish is not None:
        clash = _shortage(problem, search.grid, alone, missing, wish, proven=proven)
    if clash.space is not None:
        space = (
            problem.space_names[clash.space]
            if problem.space_names
            else f"space {clash.space}"
        )
        where = (
            f': "{space}" is short of {clash.short / 1000:.2f} m² '
            f"from day {clash.first_day} to day {clash.last_day}"
        )
    elif clash.first_day is not None:
        where = f": {clash.short} minutes too many on day {clash.first_day}"
    lead = "cannot all be placed" if proven else "no way found to place all of"
    what = f"{names} {lead}{where}" if proven else f"{lead} {names}{where}"
    return MustConflictError(what, clash)


def _shortage(
    problem: Problem,
    grid: Grid,
    plan: Plan,
    missing: tuple[int, ...],
    wish: Route,
    *,
    proven: bool,
) -> Clash:
    use = use_of(problem, grid, wish)
    ends = np.append(grid.days[1:], problem.days)
    for space, first, end, area in use.stays:
        lack = area - plan.room.area[space, first:end]
        short = np.flatnonzero(lack > 0)
        if short.size:
            return Clash(
                missing,
                space,
                int(grid.days[first + short[0]]),
                int(ends[first + short[-1]]) - 1,
                int(lack.max()),
                proven,
            )
    for j, minutes in use.work:
        lack_minutes = minutes - int(plan.room.minutes[j])
        if lack_minutes > 0:
            day = int(grid.days[j])
            return Clash(missing, None, day, day, lack_minutes, proven)
    return Clash(missing, proven=proven)
