"""A plan of one season tried in another of the same batches."""

from dataclasses import replace

from propsched.optimise.check import check
from propsched.optimise.problem import Problem, Route
from propsched.optimise.solution import Solution
from propsched.service.chosen import mode_cost


def better_of(
    problem: Problem, own: Solution, other_problem: Problem, other: Solution
) -> Solution:
    """
    The better of a problem's own solution and another problem's, where that holds.

    So a search that fell short does not make more room look worse than less.  What
    does not pass the checker is left alone, as in another garden a way may be longer,
    or its space not there.
    """
    moved = _moved(problem, own, other_problem, other)
    if moved is None or moved.worth <= own.worth or check(problem, moved):
        return own
    return moved


def _moved(
    problem: Problem, own: Solution, other_problem: Problem, other: Solution
) -> Solution | None:
    """The other's routes and modes under the problem's own names; None: not there."""
    there = {name: v for v, name in enumerate(_variants(problem))}
    theirs = _variants(other_problem)
    tasks = {task.name: b for b, task in enumerate(problem.tasks)}
    routes = []
    for route in other.routes:
        name = other_problem.tasks[route.task].name
        stops = tuple(
            replace(stop, variant=there.get(theirs[stop.variant], -1))
            for stop in route.stops
        )
        if name not in tasks or any(stop.variant < 0 for stop in stops):
            return None
        routes.append(
            Route(task=tasks[name], stops=stops, over=route.over, value=route.value)
        )
    modes = _modes(problem, other_problem, other)
    moved = replace(own, routes=tuple(routes), modes=modes)
    worth = sum(r.value for r in routes) + problem.constant - mode_cost(problem, moved)
    return replace(
        moved, worth=worth, status="optimal" if worth == own.bound else own.status
    )


def _variants(problem: Problem) -> list[tuple[str, str]]:
    """Space and state of each variant."""
    return [
        (problem.space_names[s], name)
        for s, name in zip(problem.space_of, problem.variant_names, strict=True)
    ]


def _modes(
    problem: Problem, other_problem: Problem, other: Solution
) -> tuple[int, ...]:
    """The other's choices; periods that it does not have get what costs least."""
    chosen = {
        (other_problem.space_names[period.space], period.first): period.modes[m].name
        for period, m in zip(other_problem.periods, other.modes, strict=True)
    }
    found = []
    for period in problem.periods:
        name = chosen.get((problem.space_names[period.space], period.first))
        names = [mode.name for mode in period.modes]
        cheapest = min(range(len(names)), key=lambda m: period.modes[m].cost)
        found.append(names.index(name) if name in names else cheapest)
    return tuple(found)
