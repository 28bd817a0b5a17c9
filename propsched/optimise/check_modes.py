"""How spaces are run, and tasks that have a say in one another, for the checker."""

from collections import defaultdict

from propsched.optimise.problem import Period, Problem, Route, Stop
from propsched.optimise.solution import Solution


def mode_faults(problem: Problem, solution: Solution, routes: list[Route]) -> list[str]:
    """What is wrong with the modes chosen, for stops in them and by themselves."""
    if len(solution.modes) != len(problem.periods):
        return [
            f"Modes are chosen for {len(solution.modes)} periods, "
            f"not for {len(problem.periods)}."
        ]
    faults = []
    for period, chosen in zip(problem.periods, solution.modes, strict=True):
        where = _space_name(problem, period.space)
        if not 0 <= chosen < len(period.modes):
            faults.append(
                f"Space {where} has no mode {chosen} from day {period.first} on."
            )
            continue
        allowed = period.modes[chosen].variants
        for route in routes:
            name = problem.tasks[route.task].name
            for stop in route.stops:
                if _in_period(problem, period, stop) and stop.variant not in allowed:
                    day = max(stop.start, period.first)
                    faults.append(
                        f"{name}: stage {stop.stage} stands in variant "
                        f"{stop.variant}, which the mode of space {where} does not "
                        f"allow on day {day}."
                    )
    taken = sum(
        period.modes[chosen].manure
        for period, chosen in zip(problem.periods, solution.modes, strict=True)
        if 0 <= chosen < len(period.modes)
    )
    if problem.manure is not None and taken > problem.manure:
        faults.append(f"The modes take {taken} l of manure, of {problem.manure} l.")
    return faults


def _space_name(problem: Problem, space: int) -> str:
    return problem.space_names[space] if problem.space_names else f"{space}"


def _in_period(problem: Problem, period: Period, stop: Stop) -> bool:
    """Whether a stop stands in the space of a period on one of its days."""
    if problem.space_of[stop.variant] != period.space:
        return False
    return stop.start < period.end and period.first < stop.end


def mode_cost(problem: Problem, solution: Solution) -> int:
    """Cost of the modes chosen, of those that exist."""
    return sum(
        period.modes[chosen].cost
        for period, chosen in zip(problem.periods, solution.modes, strict=False)
        if 0 <= chosen < len(period.modes)
    )


def tie_faults(problem: Problem, routes: list[Route]) -> list[str]:
    """Linked sowings in the wrong order, and batches raised both whole and in part."""
    starts: dict[int, list[int]] = defaultdict(list)
    for route in routes:
        starts[route.task].append(route.stops[0].start)
    tasks = problem.tasks
    faults = [
        f"{tasks[link.later].name} starts on day {late}, less than {link.days} days "
        f"after {tasks[link.earlier].name}."
        for link in problem.links
        for early in starts[link.earlier]
        for late in starts[link.later]
        if late < early + link.days
    ]
    faults += [
        f"{tasks[split.whole].name} is placed both whole and as {tasks[part].name}."
        for split in problem.splits
        for part in split.parts
        if starts[split.whole] and starts[part]
    ]
    return faults
