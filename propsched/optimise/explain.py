"""
Why a task is not placed, what else a placed one could do, and what is scarce.

A task that is left out is put to the room the others leave, with one kind of limit
lifted at a time; the limit that has to give least is the reason.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import (
    NO_LIMIT,
    Grid,
    Room,
    all_room,
    make_grid,
    no_prices,
)
from propsched.optimise.network import make_network
from propsched.optimise.problem import (
    NEVER,
    WHY,
    Pinned,
    Problem,
    Route,
    Solution,
    Task,
)
from propsched.optimise.routes import price, trace
from propsched.optimise.stays import take, use_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """The limit that has to give least. Days are the problem's."""

    kind: str
    """"area", "work", "availability", "waiting", "gate", "away", "pins", "tables"
    (no start its crop allows), "worth" (it would fit and be worth nothing) or
    "search" (it would fit: the plan can still be bettered)."""
    text: str
    """A plain piece of a sentence without dates."""
    space: int | None = None
    stage: int | None = None
    first_day: int | None = None
    last_day: int | None = None
    short: int = 0
    """Area [10 cm²], minutes, or days that are lacking."""
    gain: int = 0
    """Worth if the limit gave way."""
    why: tuple[str, ...] = ()
    """Of "tables": what stands against a start, most frequent first."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """The best a placed task could do without the same space in one stage."""

    stage: int
    route: Route | None
    loss: int
    """Worth that it would cost."""


@dataclass(frozen=True, slots=True)
class ScarceWeek:
    """Worth of one more unit of area through seven days."""

    space: int
    first_day: int
    worth: float


def why_not(problem: Problem, solution: Solution, task_index: int) -> Reason:
    """
    Why a task is not placed.

    Raises
    ------
    ValueError
        It is placed.
    """
    if any(route.task == task_index for route in solution.routes):
        raise ValueError(f"{problem.tasks[task_index].name} is placed")
    grid = make_grid(problem)
    room = _room_left(problem, grid, solution)
    if (route := _best(problem, task_index, room)) is not None:
        if route.value > 0:
            return Reason(kind="search", text="it would fit", gain=route.value)
        return Reason(
            kind="worth",
            text="too late or too weak to be worth its place",
            gain=route.value,
        )
    reasons = [
        *_short_of_room(problem, grid, room, task_index),
        *_lifted(problem, task_index, solution),
    ]
    good = [reason for reason in reasons if reason.gain > 0]
    if good:
        return min(good, key=lambda reason: (_EFFORT[reason.kind], -reason.gain))
    return _tables(problem, task_index)


BOUNDLESS = 2**40
"""Area of a space whose limit is lifted. [10 cm²]"""
_EFFORT = {
    "area": 0,
    "work": 0,
    "waiting": 1,
    "away": 2,
    "availability": 3,
    "gate": 4,
    "pins": 5,
}
"""Order in which a grower can most easily give way."""


def _room_left(
    problem: Problem, grid: Grid, solution: Solution, but: int | None = None
) -> Room:
    room = all_room(grid)
    for route in solution.routes:
        if route.task != but:
            take(room, use_of(problem, grid, route))
    return room


def _best(problem: Problem, task: int, room: Room | None = None) -> Route | None:
    """Best route of one task in ``room``, whatever it is worth."""
    grid = make_grid(problem)
    network = make_network(problem, grid, (task,))
    if not network.task_of.size:
        return None
    priced = price(network, no_prices(grid), room or all_room(grid))
    return trace(network, grid, priced, int(np.argmax(priced.best)))


def _short_of_room(
    problem: Problem, grid: Grid, room: Room, task: int
) -> Iterator[Reason]:
    """Each space in turn without limit, then work without limit."""
    names = problem.space_names or tuple(f"space {s}" for s in range(len(room.area)))
    ends = np.append(grid.days[1:], problem.days)
    spaces: list[int | None] = [*range(len(names)), None]
    for space in spaces:
        wide = room.copy()
        if space is None:
            wide.minutes[:] = NO_LIMIT
            freed = replace(problem, minutes=np.full_like(problem.minutes, NO_LIMIT))
        else:
            wide.area[space] = BOUNDLESS
            capacity = problem.capacity.copy()
            capacity[space] = BOUNDLESS
            freed = replace(problem, capacity=capacity)
        route = _best(freed, task, wide)
        if route is None:
            continue
        if space is None:
            use = use_of(problem, grid, route)
            lacking = [(j, m - int(room.minutes[j])) for j, m in use.work]
            short = [(j, m) for j, m in lacking if m > 0]
            if short:
                yield Reason(
                    kind="work",
                    text="more minutes of work on some days",
                    first_day=int(grid.days[short[0][0]]),
                    last_day=int(grid.days[short[-1][0]]),
                    short=max(m for _, m in short),
                    gain=route.value,
                )
            continue
        for stop in route.stops:
            first, end = grid.at_or_after[stop.start], grid.at_or_after[stop.end]
            area = problem.tasks[task].area[stop.stage]
            lack = area - room.area[space, first:end]
            if problem.space_of[stop.variant] != space or lack.max() <= 0:
                continue
            at = np.flatnonzero(lack > 0) + first
            yield Reason(
                kind="area",
                text=f"more room in {names[space]}",
                space=space,
                stage=stop.stage,
                first_day=int(grid.days[at[0]]),
                last_day=int(ends[at[-1]]) - 1,
                short=int(lack.max()),
                gain=route.value,
            )
            break


def _lifted(problem: Problem, task: int, solution: Solution) -> Iterator[Reason]:
    """Each limit of the task's own in turn, in the room the others leave."""
    mine = problem.tasks[task]
    days = problem.days
    free_of_pins = tuple(pin for pin in mine.pins if pin.length is not None)
    changes: list[tuple[str, str, Problem]] = [
        (
            "availability",
            "its material at another time",
            _with(problem, task, earliest=0, latest=days - 1),
        ),
        ("gate", "an earlier planting out", _with(problem, task, gate=0)),
        ("waiting", "that it may wait longer", _patient(problem, task)),
        ("away", "somebody there on every day", _manned(problem)),
    ]
    if free_of_pins != mine.pins:
        freed = _with(problem, task, pins=free_of_pins)
        changes.append(("pins", "that it is not pinned", freed))
    for kind, text, other in changes:
        grid = make_grid(other)
        route = _best(other, task, _room_left(other, grid, solution))
        if route is None:
            continue
        first, last = route.stops[0].start, route.stops[-1].end
        short = 0
        if kind == "availability":
            short = max(mine.earliest - first, first - mine.latest)
        elif kind == "gate":
            short = mine.gate - last
        yield Reason(
            kind=kind,
            text=text,
            first_day=first,
            last_day=last,
            short=max(0, short),
            gain=route.value,
        )


def _with(
    problem: Problem,
    task: int,
    *,
    earliest: int | None = None,
    latest: int | None = None,
    gate: int | None = None,
    pins: tuple[Pinned, ...] | None = None,
) -> Problem:
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


def _patient(problem: Problem, task: int) -> Problem:
    number = problem.tasks[task].profile
    tables = tuple(
        replace(table, wait=problem.days) for table in problem.profiles[number]
    )
    profiles = (*problem.profiles[:number], tables, *problem.profiles[number + 1 :])
    return replace(problem, profiles=profiles)


def _manned(problem: Problem) -> Problem:
    every = np.ones(problem.days, dtype=np.bool_)
    minutes = np.where(problem.work, problem.minutes, problem.minutes.max(initial=0))
    return replace(problem, work=every, away=~every, minutes=minutes)


def _tables(problem: Problem, task: int) -> Reason:
    """What stands against each stage's starts, from the tables' own bits."""
    mine = problem.tasks[task]
    for stage in range(mine.first_stage, len(problem.stages(mine))):
        table = problem.stages(mine)[stage]
        if (table.length < NEVER).any():
            continue
        counts = [int(((table.why >> bit) & 1).sum()) for bit in range(len(WHY))]
        order = sorted(range(len(WHY)), key=lambda bit: -counts[bit])
        why = tuple(WHY[bit] for bit in order if counts[bit])
        text = f"a place for its stage {table.name}"
        return Reason(kind="tables", text=text, stage=stage, why=why)
    bits = np.zeros(len(WHY), dtype=np.int64)
    for table in problem.stages(mine)[mine.first_stage :]:
        bits += [int(((table.why >> bit) & 1).sum()) for bit in range(len(WHY))]
    why = tuple(WHY[int(bit)] for bit in np.argsort(-bits, kind="stable") if bits[bit])
    return Reason(kind="tables", text="a way through its stages in time", why=why)


def best_elsewhere(
    problem: Problem, solution: Solution, route: Route
) -> tuple[Elsewhere, ...]:
    """For each stop: the best route that does not use its space in that stage."""
    grid = make_grid(problem)
    room = _room_left(problem, grid, solution, but=route.task)
    found = []
    for stop in route.stops:
        space = problem.space_of[stop.variant]
        others = tuple(int(v) for v in np.flatnonzero(problem.space_of != space))
        other = None
        if others:
            pins = problem.tasks[route.task].pins
            pin = Pinned(stage=stop.stage, variants=others)
            freed = _with(problem, route.task, pins=(*pins, pin))
            other = _best(freed, route.task, room)
        value = other.value if other is not None else 0
        # what must stand somewhere may be worth less than nothing
        found.append(Elsewhere(stop.stage, other, max(0, route.value - value)))
    return tuple(found)


def area_worth(problem: Problem, solution: Solution) -> NDArray[np.float64]:
    """
    What one more unit of area would be worth on a day. Shape (S, D).

    Where whole places are priced, as in a space that holds only one of several
    large batches, their worth is spread over the area.
    """
    price = solution.area_price.copy()
    for k, places in enumerate(solution.packing_price, start=1):
        price += k * places / np.maximum(1, problem.capacity)
    return price


def scarce(problem: Problem, solution: Solution) -> tuple[ScarceWeek, ...]:
    """What one unit of area would be worth, by space and week; above zero only."""
    price = area_worth(problem, solution)
    found = []
    for space in range(problem.capacity.shape[0]):
        for first in range(0, problem.days, 7):
            worth = float(price[space, first : first + 7].sum())
            if worth > 0:
                found.append(ScarceWeek(space, first, worth))
    return tuple(found)
