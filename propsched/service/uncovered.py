"""A cover that changes nothing stays in the shed."""

from dataclasses import replace

from propsched.domain.space import AS_SET, HEAT_OFF, MADE_UP, cover_of
from propsched.optimise.problem import NEVER, Problem, Route, Stop, loss, over_loss
from propsched.optimise.solution import Solution


def without_idle_covers(problem: Problem, solution: Solution) -> Solution:
    """The same plan with each cover off that its stay does as well without."""
    routes = tuple(
        replace(
            route,
            stops=tuple(_plain(problem, route, stop) for stop in route.stops),
        )
        for route in solution.routes
    )
    return replace(solution, routes=routes)


def _plain(problem: Problem, route: Route, stop: Stop) -> Stop:
    """The stop without its cover, where that is worth the same and ends as it does."""
    bare = _bare(problem, stop.variant)
    task = problem.tasks[route.task]
    if bare is None or any(
        pin.stage == stop.stage and (pin.variants or pin.length is not None)
        for pin in task.pins
    ):
        return stop
    table = problem.stages(task)[stop.stage]
    if route.over and stop is route.stops[-1]:
        stands = table.over_success[bare, stop.start] >= 0
        lost = [
            over_loss(task, stop.stage, table.over_success[v, stop.start])
            for v in (bare, stop.variant)
        ]
        return replace(stop, variant=bare) if stands and lost[0] == lost[1] else stop
    length = int(table.length[bare, stop.start])
    through = stop.start + length
    if length == NEVER or not through <= stop.end <= through + table.wait:
        return stop
    of = over_loss if route.over else loss
    lost = [
        of(task, stop.stage, table.success[v, stop.start]) for v in (bare, stop.variant)
    ]
    return replace(stop, variant=bare) if lost[0] == lost[1] else stop


def _bare(problem: Problem, variant: int) -> int | None:
    """The same state of the space without the cover."""
    name = problem.variant_names[variant]
    if not cover_of(name):
        return None
    made = name.rpartition(", ")[0] if name.startswith(MADE_UP) else ""
    same = problem.space_of == problem.space_of[variant]
    for v, other in enumerate(problem.variant_names):
        if same[v] and other in ((made,) if made else (AS_SET, HEAT_OFF)):
            return v
    return None
