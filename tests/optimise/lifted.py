"""Small seasons without one kind of limit, or without one kind of freedom."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from propsched.optimise.problem import NEVER, PPM, Mode, Problem, StageTable


def _each_task(problem: Problem, **over: object) -> Problem:
    tasks = tuple(replace(task, **over) for task in problem.tasks)  # type: ignore[arg-type]
    return replace(problem, tasks=tasks)


def _each_stage(problem: Problem, **over: object) -> Problem:
    profiles = tuple(
        tuple(replace(table, **over) for table in profile)  # type: ignore[arg-type]
        for profile in problem.profiles
    )
    return replace(problem, profiles=profiles)


def _each_table(
    problem: Problem, change: Callable[[StageTable], StageTable]
) -> Problem:
    profiles = tuple(tuple(map(change, profile)) for profile in problem.profiles)
    return replace(problem, profiles=profiles)


def _longer_available(problem: Problem) -> Problem:
    """From two days earlier on, and two days longer."""
    tasks = tuple(
        replace(task, earliest=task.earliest - 2, latest=task.latest + 2)
        for task in problem.tasks
    )
    return replace(problem, tasks=tasks)


def _unpinned(problem: Problem) -> Problem:
    """Without the pins of those that do not stand already."""
    tasks = tuple(
        task if task.under_way else replace(task, pins=()) for task in problem.tasks
    )
    return replace(problem, tasks=tasks)


def _accepted(table: StageTable) -> StageTable:
    """No place or day refused."""
    length = np.where(table.length < NEVER, table.length, 4).astype(np.int16)
    return replace(table, length=length)


def _standing_anywhere(table: StageTable) -> StageTable:
    over = np.where(table.over_success < 0, PPM * 8 // 10, table.over_success)
    return replace(table, over_success=over.astype(np.int32))


def _one_variant(problem: Problem) -> Problem:
    """Only the first variant of each space is left; what stands stays."""
    first = {int(s): v for v, s in reversed(list(enumerate(problem.space_of)))}
    gone = [v for v in range(problem.space_of.size) if v not in first.values()]

    def without(table: StageTable) -> StageTable:
        length, over = table.length.copy(), table.over_success.copy()
        length[gone], over[gone] = NEVER, -1
        return replace(table, length=length, over_success=over)

    return _each_table(problem, without)


def free_modes(problem: Problem) -> Problem:
    """No mode costs anything; what manure there is has to do."""
    return _each_mode(problem, lambda mode: replace(mode, cost=0))


def _each_mode(problem: Problem, change: Callable[[Mode], Mode]) -> Problem:
    periods = tuple(
        replace(period, modes=tuple(map(change, period.modes)))
        for period in problem.periods
    )
    return replace(problem, periods=periods)


def _as_usual(problem: Problem) -> Problem:
    """Every space run in its cheapest way, without manure."""
    periods = []
    for period in problem.periods:
        usual = min(period.modes, key=lambda mode: (mode.cost, mode.manure))
        assert not usual.manure
        periods.append(replace(period, modes=(usual,)))
    return replace(problem, periods=tuple(periods))


def _unsplit(problem: Problem) -> Problem:
    """No batch may be raised in parts."""
    parts = {part for split in problem.splits for part in split.parts}
    tasks = tuple(
        replace(task, latest=-1) if b in parts else task
        for b, task in enumerate(problem.tasks)
    )
    return replace(problem, tasks=tasks)


def _every_day_worked(problem: Problem) -> Problem:
    """Every day a work day, with the minutes that it has."""
    return replace(problem, work=np.ones(problem.days, dtype=np.bool_))


LIFTED: dict[str, Callable[[Problem], Problem]] = {
    "area": lambda p: replace(p, capacity=p.capacity + 100),
    "minutes": lambda p: replace(p, minutes=p.minutes + 100),
    "availability": _longer_available,
    "waiting": lambda p: _each_table(p, lambda t: replace(t, wait=t.wait + 2)),
    "gate": lambda p: _each_task(p, gate=0),
    "work days": _every_day_worked,
    "away": lambda p: replace(p, away=np.zeros(p.days, dtype=np.bool_)),
    "pins": _unpinned,
    "ends on work days": lambda p: _each_table(p, lambda t: replace(t, any_day=True)),
    "must": lambda p: _each_task(p, must=False),
    "refusals": lambda p: _each_table(p, _accepted),
    "standing over refused": lambda p: _each_table(p, _standing_anywhere),
    "moves": lambda p: replace(p, move_cost=0),
    "dates": lambda p: _each_task(p, wanted_from=None, wanted_by=None),
    "cost of modes": free_modes,
    "manure": lambda p: replace(p, manure=None),
    "links": lambda p: replace(p, links=()),
    "whole or halves": lambda p: replace(p, splits=()),
    "one mode at a time": lambda p: replace(p, periods=()),
}
"""The same season without one kind of limit."""
WITHOUT: dict[str, Callable[[Problem], Problem]] = {
    # Or it would be felt wherever their cost is.
    "one mode at a time": free_modes,
}
"""What else is left out of the season it is held against."""
NEVER_WORSE = tuple(kind for kind in LIFTED if kind not in ("work days", "pins"))
"""Of these the rest of the season stays as it was; but minutes count on a day once it
is worked, and a pinned start is bound to no work day or availability."""

TAKEN: dict[str, Callable[[Problem], Problem]] = {
    "variants": _one_variant,
    "standing over": lambda p: _each_table(
        p, lambda t: replace(t, over_success=np.full_like(t.over_success, -1))
    ),
    "other modes": _as_usual,
    "halves": _unsplit,
    "keeping to a plan": lambda p: _each_task(p, kept=()),
}
"""The same season without one kind of freedom: never better."""
