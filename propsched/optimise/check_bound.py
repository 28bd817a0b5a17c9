"""The bound that prices prove, summed day by day for the checker."""

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.check_prices import Paid, limits_worth, paid, price_fault
from propsched.optimise.problem import NEVER, PPM, Pinned, Problem, Task
from propsched.optimise.solution import Solution

Floats = NDArray[np.float64]


def price_bound(problem: Problem, solution: Solution) -> int | str:
    """The bound at the saved prices, or what is wrong with them."""
    fault = price_fault(problem, solution)
    if fault is not None:
        return fault
    prices = paid(problem, solution)
    best = []
    for number, task in enumerate(problem.tasks):
        free = _free_beside(problem, task)
        most = max(
            _best(prices, number, free, over=False),
            _best(prices, number, free, over=True),
        )
        if task.must and most == -np.inf:
            return f"{task.name} must be placed and has no way at all."
        best.append(most if task.must else max(0.0, most))
    bound = limits_worth(problem, solution)
    alone = set(range(len(best)))
    for split in problem.splits:
        alone -= {split.whole, *split.parts}
        bound += max(best[split.whole], sum(best[part] for part in split.parts))
    bound += sum(best[task] for task in sorted(alone))
    return int(np.floor(bound)) + problem.constant


def _free_beside(problem: Problem, task: Task) -> NDArray[np.int64]:
    """Area that others' fixed stays leave it on each day. (S, D)"""
    free = problem.capacity.copy()
    moves = _moving_days(problem)
    for other in problem.tasks:
        if other is task or not (other.must and other.under_way):
            continue
        for pin in _pin(other, other.first_stage):
            where = {int(problem.space_of[v]) for v in pin.variants}
            if pin.start is None or len(where) != 1:
                continue
            length = problem.stages(other)[pin.stage].length
            days = pin.length
            if days is None:
                days = min(int(length[v, pin.start]) for v in pin.variants)
            # Until it is through and may move it stands there in any plan.
            through = pin.start + max(1, days)
            later = moves[moves >= through]
            last = int(later[0]) if later.size else problem.days
            free[where.pop(), pin.start : last] -= other.area[pin.stage]
            break
    return free


def _moving_days(problem: Problem) -> NDArray[np.int64]:
    """Days on which plants may move, or a space be run another way, rising."""
    moving = problem.work.copy()
    if any(table.any_day for profile in problem.profiles for table in profile):
        moving |= ~problem.away
    days = [pin.start for task in problem.tasks for pin in task.pins]
    days += [day for one in problem.periods for day in (one.first, one.end)]
    for day in days:
        if day is not None and 0 <= day < problem.days:
            moving[day] = True
    return np.flatnonzero(moving)


def _stands_until(
    problem: Problem, free: NDArray[np.int64], area: int, closed: NDArray[np.bool_]
) -> NDArray[np.int64]:
    """First day on which an area may no longer be in a variant since a day. (V, D)"""
    until = np.full(closed.shape, problem.days, dtype=np.int64)
    barred = (area > np.maximum(0, free))[problem.space_of] | closed
    stop = np.full(closed.shape[0], problem.days, dtype=np.int64)
    for day in reversed(range(problem.days)):
        stop = np.where(barred[:, day], day, stop)
        until[:, day] = stop
    return until


def _pin(task: Task, stage: int) -> tuple[Pinned, ...]:
    return tuple(pin for pin in task.pins if pin.stage == stage)


def _best(prices: Paid, number: int, free: NDArray[np.int64], *, over: bool) -> float:
    """Best route of a task after prices, from its last stage back to its first."""
    problem = prices.problem
    task = problem.tasks[number]
    tables = problem.stages(task)
    days = np.arange(problem.days)
    minute = prices.solution.minute_price
    entering: Floats | None = None
    for stage in reversed(range(task.first_stage, len(tables))):
        table = tables[stage]
        weight, share = task.over_weight if over else task.weight, task.share[stage]
        stay_price = prices.stay(number, task.area[stage])
        leave = _leave(problem, task, stage, entering, minute, over=over)
        stay = np.full((stay_price.shape[0], problem.days), -np.inf)
        length = table.length.astype(np.int64)
        for pin in _pin(task, stage):
            if pin.start is not None and pin.length is not None:
                length[:, pin.start] = pin.length
        rows = np.arange(stay_price.shape[0])[:, None]
        ahead = np.full(
            (stay_price.shape[0], 2 * problem.days + table.wait + 2), -np.inf
        )
        ahead[:, : problem.days] = leave - stay_price[:, : problem.days]
        base = np.where(length < NEVER, np.minimum(length, problem.days), problem.days)
        stands_until = _stands_until(problem, free, task.area[stage], prices.closed)
        for wait in range(table.wait + 1):
            left = days + base + wait
            wrong = (base + wait < 1) | (left > stands_until)
            reached = np.where(wrong, problem.days, left)
            np.maximum(stay, ahead[rows, reached], out=stay)
        lost = _lost(weight, share, table.success)
        worth = stay + stay_price[:, : problem.days] - lost
        if over:
            lost = _lost(weight, share, table.over_success)
            to_end = stay_price[:, -1:] - stay_price[:, : problem.days]
            standing = task.over_weight - lost - to_end
            allowed = (table.over_success >= 0) & (stands_until == problem.days)
            worth = np.maximum(worth, np.where(allowed, standing, -np.inf))
        worth += _kept(problem, task, stage)
        work = _start_minutes(problem, task, stage)
        worth -= work * minute
        worth[:, (work > 0) & (work > problem.minutes)] = -np.inf
        for pin in _pin(task, stage):
            if pin.start is not None:
                worth[:, days != pin.start] = -np.inf
            if pin.variants:
                others = [v for v in range(len(worth)) if v not in pin.variants]
                worth[others] = -np.inf
        entering = worth
    assert entering is not None
    entering -= prices.start.get(number, 0.0)
    if not any(pin.start is not None for pin in _pin(task, task.first_stage)):
        outside = (days < task.earliest) | (days > task.latest) | ~problem.work
        entering[:, outside] = -np.inf
    return float(entering.max(initial=-np.inf))


def _lost(weight: int, share: int, success: NDArray[np.int32]) -> Floats:
    """Worth of the plants wanted that do not come through, by variant and day."""
    through = np.minimum(PPM, share * success.astype(np.int64) // PPM)
    return (weight * (PPM - through) // PPM).astype(np.float64)


def _kept(problem: Problem, task: Task, stage: int) -> Floats:
    """Worth of keeping to the plan in force, by variant and day."""
    worth = np.zeros((problem.space_of.size, problem.days))
    apart = np.arange(problem.days)
    for kept in task.kept:
        if kept.stage == stage:
            near = kept.worth - kept.per_day * np.abs(apart - kept.start)
            worth[problem.space_of == kept.space] += np.maximum(0, near)
    return worth


def _start_minutes(problem: Problem, task: Task, stage: int) -> NDArray[np.int64]:
    return problem.work * (
        0 if task.under_way and stage == task.first_stage else task.minutes[stage]
    )


def _leave(
    problem: Problem,
    task: Task,
    stage: int,
    entering: Floats | None,
    minute: Floats,
    *,
    over: bool,
) -> Floats:
    """Worth of leaving each variant on each day. (V, D)"""
    days = np.arange(problem.days)
    table = problem.stages(task)[stage]
    allowed = ~problem.away if table.any_day else problem.work.copy()
    space = problem.space_of
    if entering is None:
        worth = np.full(problem.days, -np.inf)
        if not over:
            worth = np.full(problem.days, float(task.weight))
            if task.wanted_by is not None:
                worth -= task.late_per_day * np.maximum(0, days - task.wanted_by)
            if task.wanted_from is not None:
                worth -= task.early_per_day * np.maximum(0, task.wanted_from - days)
            work = problem.work * task.minutes[stage + 1]
            worth -= minute * work
            worth[(work > 0) & (work > problem.minutes)] = -np.inf
            worth[days < task.gate] = -np.inf
        leave = np.repeat(worth[None, :], space.size, axis=0)
    else:
        for pin in _pin(task, stage + 1):
            if pin.start is not None:
                allowed[pin.start] = True
        leave = np.full(entering.shape, -np.inf)
        for v in range(space.size):
            cost = problem.move_cost * (space != space[v])
            leave[v] = (entering - cost[:, None]).max(axis=0)
    return np.where(allowed, leave, -np.inf)
