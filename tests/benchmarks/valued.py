"""Plans, and what a way is worth, for rivals that choose stays and not whole ways."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from optimise.leaving import dated

from propsched.optimise.problem import (
    Problem,
    Route,
    Stop,
    kept_worth,
    loss,
    over_loss,
)


@dataclass(frozen=True)
class Plan:
    """Routes and the modes they stand in."""

    routes: tuple[Route, ...]
    modes: tuple[int, ...] = ()
    """Of each period the one chosen."""

    def worth(self, problem: Problem) -> int:
        cost = sum(
            period.modes[m].cost
            for period, m in zip(problem.periods, self.modes, strict=True)
        )
        return sum(route.value for route in self.routes) - cost + problem.constant


def valued(problem: Problem, b: int, stops: Sequence[Stop], *, over: bool) -> Route:
    """The route of a task through these stops, with its worth."""
    task = problem.tasks[b]
    tables = problem.stages(task)
    value = task.over_weight if over else task.weight
    for i, stop in enumerate(stops):
        table, at = tables[stop.stage], (stop.variant, stop.start)
        if not over:
            value -= int(loss(task, stop.stage, table.success[at]))
        elif i == len(stops) - 1:
            value -= int(over_loss(task, stop.stage, table.over_success[at]))
        else:
            value -= int(over_loss(task, stop.stage, table.success[at]))
        variant, start = np.array(stop.variant), np.array(stop.start)
        value += int(kept_worth(problem, task, stop.stage, variant, start))
        before = stops[i - 1].variant if i else stop.variant
        moved = problem.space_of[stop.variant] != problem.space_of[before]
        value -= problem.move_cost * int(moved)
    if not over:
        value -= dated(task, stops[-1].end)
    return Route(b, tuple(stops), over, value)
