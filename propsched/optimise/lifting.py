"""One limit of a task's own lifted at a time, in the room the others leave."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from propsched.optimise.grid import Grid, make_grid
from propsched.optimise.network import make_network
from propsched.optimise.partial import Plan, Ties
from propsched.optimise.prices import no_prices
from propsched.optimise.problem import Pinned, Problem, Route, Task
from propsched.optimise.reason import Reason
from propsched.optimise.room import Room
from propsched.optimise.routes import price, trace
from propsched.optimise.solution import Solution
from propsched.optimise.stays import use_of


def room_left(
    problem: Problem,
    grid: Grid,
    solution: Solution,
    but: int | None = None,
    *,
    as_run: bool = True,
) -> Room:
    """
    What a solution leaves, one task's route aside.

    Parameters
    ----------
    as_run : bool
        Spaces are run as they are; else only what routes need of it is settled.
    """
    plan = Plan.empty(Ties(problem), grid)
    first_of = grid.modes.first_of
    for period, mode in enumerate(solution.modes if as_run else ()):
        plan.room.decide(int(first_of[period]) + mode)
    for route in solution.routes:
        if route.task != but:
            plan.put(route, use_of(problem, grid, route))
    return plan.room


def best_in(
    problem: Problem, task: int, room: Room, grid: Grid | None = None
) -> Route | None:
    """
    Best route of one task in ``room``, whatever it is worth.

    Parameters
    ----------
    grid : Grid, optional
        Of the problem, where it is known already.
    """
    grid = make_grid(problem) if grid is None else grid
    network = make_network(problem, grid, (task,))
    if not network.task_of.size:
        return None
    priced = price(network, no_prices(problem, grid), room)
    return trace(network, grid, priced, int(np.argmax(priced.best)))


def with_task(
    problem: Problem,
    task: int,
    *,
    earliest: int | None = None,
    latest: int | None = None,
    gate: int | None = None,
    pins: tuple[Pinned, ...] | None = None,
) -> Problem:
    """The same problem with some of a task's own limits changed."""
    old = problem.tasks[task]
    new: Task = replace(
        old,
        earliest=old.earliest if earliest is None else earliest,
        latest=old.latest if latest is None else latest,
        gate=old.gate if gate is None else gate,
        pins=old.pins if pins is None else pins,
    )
    tasks = (*problem.tasks[:task], new, *problem.tasks[task + 1 :])
    return replace(problem, tasks=tasks)


@dataclass(frozen=True, slots=True)
class _Lift:
    """What a task could do if the problem were another."""

    problem: Problem
    solution: Solution
    task: int
    today: int

    def best(self, other: Problem) -> Route | None:
        """Its best route there in the room left; None if not worth it."""
        room = room_left(other, make_grid(other), self.solution)
        route = best_in(other, self.task, room)
        return route if route is not None and route.value > 0 else None


def lifted(
    problem: Problem, solution: Solution, task: int, today: int
) -> Iterator[Reason]:
    """Reasons that let it in, each by one limit that gives way."""
    mine = problem.tasks[task]
    lift = _Lift(problem, solution, task, max(0, today))
    # Nothing begins before today, whatever else gives way.
    earliest = max(mine.earliest, lift.today)
    yield from _availability(lift)
    yield from _manned(lift)
    yield from _run_otherwise(lift)
    if any(task in (link.earlier, link.later) for link in problem.links):
        route = lift.best(replace(problem, links=()))
        if route is not None:
            yield Reason(
                kind="link",
                text="a start nearer to the sowing before or after it",
                first_day=route.stops[0].start,
                last_day=route.stops[-1].end,
                gain=route.value,
            )
    standing = tuple(
        pin for pin in mine.pins if mine.under_way and pin.stage == mine.first_stage
    )
    free = with_task(problem, task, pins=standing, earliest=earliest)
    changes = [
        ("gate", "an earlier planting out", with_task(problem, task, gate=0)),
        ("waiting", "that it may wait longer", _patient(problem, task)),
    ]
    if standing != mine.pins:
        changes.append(("pins", "that it is not pinned", free))
    for kind, text, other in changes:
        route = lift.best(other)
        if route is not None:
            last = route.stops[-1].end
            yield Reason(
                kind=kind,
                text=text,
                first_day=route.stops[0].start,
                last_day=last,
                short=max(0, mine.gate - last) if kind == "gate" else 0,
                gain=route.value,
            )


def _availability(lift: _Lift) -> Iterator[Reason]:
    """Its material sooner or longer; else, whether it had to begin before today."""
    problem, task, today = lift.problem, lift.task, lift.today
    mine = problem.tasks[task]

    def sooner(days: int) -> Problem:
        first = max(today, mine.earliest - days)
        return with_task(problem, task, earliest=first)

    def longer(days: int) -> Problem:
        first = max(today, mine.earliest)
        return with_task(problem, task, earliest=first, latest=mine.latest + days)

    sides = (
        ("begins late", "its material sooner", sooner, mine.earliest - today),
        ("ends early", "its material for longer", longer, problem.days - mine.latest),
    )
    found = False
    for side, text, change, most in sides:
        route, short = _least(lift, change, most)
        if route is None:
            continue
        found = True
        yield Reason(
            kind="availability",
            text=text,
            side=side,
            short=short,
            first_day=route.stops[0].start,
            last_day=route.stops[-1].end,
            gain=route.value,
        )
    if found:
        return

    def past(days: int) -> Problem:
        return with_task(problem, task, earliest=today - days, latest=today)

    route, short = _least(lift, past, today)
    if route is not None:
        text = "a start before today"
        yield Reason(kind="late", text=text, short=short, gain=route.value)


def _least(
    lift: _Lift, change: Callable[[int], Problem], most: int
) -> tuple[Route | None, int]:
    """The route for the fewest days given, and how many; at most ``most``."""
    if most <= 0 or (found := lift.best(change(most))) is None:
        return None, 0
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        route = lift.best(change(middle))
        if route is None:
            low = middle
        else:
            found, high = route, middle
    return found, high


def _manned(lift: _Lift) -> Iterator[Reason]:
    """Somebody there, or at work, on more days; both only if neither is enough."""
    problem = lift.problem
    there, away = ~problem.away, problem.away
    nobody = np.zeros_like(away)
    every = np.ones_like(away)
    ways = (
        ("work day", "more work days", problem.work | there, away),
        ("away", "somebody there on every day", problem.work | away, nobody),
        ("away", "somebody there and at work on every day", every, nobody),
    )
    found = False
    most = int(problem.minutes.max(initial=0))
    for kind, text, work, absent in ways:
        if found and work is every:
            return
        minutes = np.where(problem.work, problem.minutes, most)
        other = replace(problem, work=work, away=absent, minutes=minutes)
        route = lift.best(other)
        if route is None:
            continue
        found = True
        days = [stop.start for stop in route.stops]
        days += [] if route.over else [route.stops[-1].end]
        new = [d for d in days if (work[d] and not problem.work[d]) or away[d]]
        yield Reason(
            kind=kind,
            text=text,
            first_day=min(new, default=None),
            last_day=max(new, default=None),
            short=len(new),
            gain=route.value,
        )


def _run_otherwise(lift: _Lift) -> Iterator[Reason]:
    """Spaces run in another way where no other batch needs them as they are."""
    problem = lift.problem
    if not problem.periods:
        return
    grid = make_grid(problem)
    modes = grid.modes
    room = room_left(problem, grid, lift.solution, as_run=False)
    network = make_network(problem, grid, (lift.task,))
    if not network.task_of.size:
        return
    priced = price(network, no_prices(problem, grid), room, room.toll())
    route = trace(network, grid, priced, int(np.argmax(priced.best)))
    if route is None or route.value <= 0:
        return
    use = use_of(problem, grid, route)
    new = [m for m in use.modes if not room.held[m] and modes.extra[m] > 0]
    if not new or not room.fits(use):
        return
    periods = [problem.periods[int(modes.period[m])] for m in new]
    mode = periods[0].modes[int(new[0] - modes.first_of[modes.period[new[0]]])]
    yield Reason(
        kind="mode",
        text=mode.name,
        space=periods[0].space,
        first_day=min(period.first for period in periods),
        last_day=max(period.end for period in periods) - 1,
        short=room.cost(use),
        gain=route.value,
    )


def _patient(problem: Problem, task: int) -> Problem:
    number = problem.tasks[task].profile
    tables = tuple(
        replace(table, wait=problem.days) for table in problem.profiles[number]
    )
    profiles = (*problem.profiles[:number], tables, *problem.profiles[number + 1 :])
    return replace(problem, profiles=profiles)
