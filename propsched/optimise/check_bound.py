"""The bound that prices prove, summed day by day for the checker."""

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import (
    NEVER,
    Pinned,
    Problem,
    Solution,
    Task,
    loss,
    over_loss,
)

Floats = NDArray[np.float64]


def price_bound(problem: Problem, solution: Solution) -> int | str:
    """The bound at the saved prices, or what is wrong with them."""
    area, minute = solution.area_price, solution.minute_price
    if area.shape != problem.capacity.shape or minute.shape != (problem.days,):
        return "The prices have another shape than the area and the days."
    if not (np.isfinite(area).all() and np.isfinite(minute).all()):
        return "A price is not a number."
    if (area < 0).any() or (minute < 0).any():
        return "A price is below nothing."
    if (minute[~problem.work] > 0).any():
        return "Work has a price on a day that is no work day."
    upto = np.zeros((area.shape[0], problem.days + 1))
    upto[:, 1:] = np.cumsum(area, axis=1)
    bound = float((area * np.maximum(problem.capacity, 0)).sum())
    bound += float((minute * problem.minutes).sum())
    for task in problem.tasks:
        best = max(
            _best(problem, task, upto, minute, over=False),
            _best(problem, task, upto, minute, over=True),
        )
        if task.must and best == -np.inf:
            return f"{task.name} must be placed and has no way at all."
        bound += best if task.must else max(0.0, best)
    return int(np.floor(bound)) + problem.constant


def _pin(task: Task, stage: int) -> tuple[Pinned, ...]:
    return tuple(pin for pin in task.pins if pin.stage == stage)


def _best(
    problem: Problem, task: Task, upto: Floats, minute: Floats, *, over: bool
) -> float:
    """Best route of a task after prices, from its last stage back to its first."""
    tables = problem.stages(task)
    days = np.arange(problem.days)
    entering: Floats | None = None
    for stage in reversed(range(task.first_stage, len(tables))):
        table = tables[stage]
        weigh = over_loss if over else loss
        area = float(task.area[stage])
        paid = area * upto[problem.space_of]
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
        for wait in range(table.wait + 1):
            reached = np.where(base + wait > 0, days + base + wait, problem.days)
            np.maximum(stay, ahead[rows, reached], out=stay)
        lost = weigh(task, stage, table.success).astype(np.float64)
        worth = stay + paid[:, : problem.days] - lost
        if over:
            lost = over_loss(task, stage, table.over_success).astype(np.float64)
            to_end = paid[:, -1:] - paid[:, : problem.days]
            standing = task.over_weight - lost - to_end
            allowed = table.over_success >= 0
            worth = np.maximum(worth, np.where(allowed, standing, -np.inf))
        worth -= _start_minutes(problem, task, stage) * minute
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


def _start_minutes(problem: Problem, task: Task, stage: int) -> NDArray[np.int64]:
    under_way = stage == task.first_stage and any(
        pin.start is not None and pin.length is not None for pin in _pin(task, stage)
    )
    return problem.work * (0 if under_way else task.minutes[stage])


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
            worth -= minute * (problem.work * task.minutes[stage + 1])
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
