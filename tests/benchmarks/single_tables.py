"""What the single model asks of the tables."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import Problem, Task

Ints = NDArray[np.int64]


def minutes_matter(problem: Problem) -> bool:
    """Whether work could ever be short: a task has one thing done a day at most."""
    most = sum(max(task.minutes) for task in problem.tasks)
    return bool((problem.minutes[problem.work] < most).any())


def variants(problem: Problem, task: Task, stage: int) -> Iterable[int]:
    pins = [pin for pin in task.pins if pin.stage == stage and pin.variants]
    return (
        v
        for v in range(problem.space_of.size)
        if all(v in pin.variants for pin in pins)
    )


def lengths_of(problem: Problem, task: Task, stage: int, v: int) -> Ints:
    """Days to being through, by day of the start."""
    lengths = problem.stages(task)[stage].length[v].astype(np.int64)
    for pin in task.pins:
        if pin.stage == stage and None not in (pin.start, pin.length):
            lengths[pin.start] = pin.length
    return lengths


def moving_days(problem: Problem, task: Task, stage: int) -> list[int]:
    """Days on which a stage may start, or on which the last one is left."""
    pinned = {
        pin.start for pin in task.pins if pin.stage == stage and pin.start is not None
    }
    days = np.arange(problem.days)
    if stage == task.first_stage:
        usual = problem.work & (days >= task.earliest) & (days <= task.latest)
    else:
        before = problem.stages(task)[stage - 1]
        usual = ~problem.away if before.any_day else problem.work.copy()
    if stage == len(task.area):
        usual &= days >= task.gate
    if pinned:
        usual = np.isin(days, list(pinned)) & (len(pinned) == 1)
    return np.flatnonzero(usual).tolist()
