"""The bound that prices prove, summed day by day for the checker."""

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import (
    NEVER,
    PPM,
    Pinned,
    Problem,
    Solution,
    Task,
)

Floats = NDArray[np.float64]


def price_bound(problem: Problem, solution: Solution) -> int | str:
    """The bound at the saved prices, or what is wrong with them."""
    fault = _price_fault(problem, solution)
    if fault is not None:
        return fault
    area, minute = solution.area_price, solution.minute_price
    packing = solution.packing_price
    bound = float((area * np.maximum(problem.capacity, 0)).sum())
    bound += float((minute * problem.minutes).sum())
    for k, places in enumerate(packing, start=1):
        bound += k * float(places.sum())
    for task in problem.tasks:
        best = max(
            _best(problem, task, solution, over=False),
            _best(problem, task, solution, over=True),
        )
        if task.must and best == -np.inf:
            return f"{task.name} must be placed and has no way at all."
        bound += best if task.must else max(0.0, best)
    return int(np.floor(bound)) + problem.constant


def _price_fault(problem: Problem, solution: Solution) -> str | None:
    area, minute = solution.area_price, solution.minute_price
    packing = solution.packing_price
    if area.shape != problem.capacity.shape or minute.shape != (problem.days,):
        return "The prices have another shape than the area and the days."
    if packing.size and packing.shape[1:] != area.shape:
        return "The packing prices have another shape than the area."
    if not all(np.isfinite(prices).all() for prices in (area, minute, packing)):
        return "A price is not a number."
    if any((prices < 0).any() for prices in (area, minute, packing)):
        return "A price is below nothing."
    if (minute[~problem.work] > 0).any():
        return "Work has a price on a day that is no work day."
    return None


def _stay_prices(problem: Problem, solution: Solution, area: int) -> Floats:
    """Price of an area standing in a space from day 0 to a day. (S, D + 1)"""
    price = area * solution.area_price
    room = np.maximum(problem.capacity, 1)
    for k, places in enumerate(solution.packing_price, start=1):
        # Shares of the room in (k + 1)ths, rounded up, less one: k of them at most
        # make up the whole, because k + 1 would need more than there is.
        shares = -(-(k + 1) * area // room) - 1
        price = price + np.maximum(0, shares) * places
    upto = np.zeros((price.shape[0], problem.days + 1))
    upto[:, 1:] = np.cumsum(price, axis=1)
    return upto


def _free_beside(problem: Problem, task: Task) -> NDArray[np.int64]:
    """Area that others' fixed stays leave it on each day. (S, D)"""
    free = problem.capacity.copy()
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
            # Until it is through it stands there in any plan.
            last = pin.start + max(1, days)
            free[where.pop(), pin.start : last] -= other.area[pin.stage]
            break
    return free


def _stands_until(free: NDArray[np.int64], area: int) -> NDArray[np.int64]:
    """First day on which an area in a space since a day is too large. (S, D)"""
    until = np.full(free.shape, free.shape[1], dtype=np.int64)
    for space, rooms in enumerate(free):
        stop = rooms.size
        for day in reversed(range(rooms.size)):
            if area > max(0, int(rooms[day])):
                stop = day
            until[space, day] = stop
    return until


def _pin(task: Task, stage: int) -> tuple[Pinned, ...]:
    return tuple(pin for pin in task.pins if pin.stage == stage)


def _best(problem: Problem, task: Task, solution: Solution, *, over: bool) -> float:
    """Best route of a task after prices, from its last stage back to its first."""
    tables = problem.stages(task)
    days = np.arange(problem.days)
    minute = solution.minute_price
    free = _free_beside(problem, task)
    entering: Floats | None = None
    for stage in reversed(range(task.first_stage, len(tables))):
        table = tables[stage]
        weight, share = task.over_weight if over else task.weight, task.share[stage]
        paid = _stay_prices(problem, solution, task.area[stage])[problem.space_of]
        leave = _leave(problem, task, stage, entering, minute, over=over)
        stay = np.full((paid.shape[0], problem.days), -np.inf)
        length = table.length.astype(np.int64)
        for pin in _pin(task, stage):
            if pin.start is not None and pin.length is not None:
                length[:, pin.start] = pin.length
        rows = np.arange(paid.shape[0])[:, None]
        ahead = np.full((paid.shape[0], 2 * problem.days + table.wait + 2), -np.inf)
        ahead[:, : problem.days] = leave - paid[:, : problem.days]
        base = np.where(length < NEVER, np.minimum(length, problem.days), problem.days)
        stands_until = _stands_until(free, task.area[stage])[problem.space_of]
        for wait in range(table.wait + 1):
            left = days + base + wait
            wrong = (base + wait < 1) | (left > stands_until)
            reached = np.where(wrong, problem.days, left)
            np.maximum(stay, ahead[rows, reached], out=stay)
        lost = _lost(weight, share, table.success)
        worth = stay + paid[:, : problem.days] - lost
        if over:
            lost = _lost(weight, share, table.over_success)
            to_end = paid[:, -1:] - paid[:, : problem.days]
            standing = task.over_weight - lost - to_end
            allowed = (table.over_success >= 0) & (stands_until == problem.days)
            worth = np.maximum(worth, np.where(allowed, standing, -np.inf))
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
    if not any(pin.start is not None for pin in _pin(task, task.first_stage)):
        outside = (days < task.earliest) | (days > task.latest) | ~problem.work
        entering[:, outside] = -np.inf
    return float(entering.max(initial=-np.inf))


def _lost(weight: int, share: int, success: NDArray[np.int32]) -> Floats:
    """Worth of the plants wanted that do not come through, by variant and day."""
    through = np.minimum(PPM, share * success.astype(np.int64) // PPM)
    return (weight * (PPM - through) // PPM).astype(np.float64)


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
