"""When a stage may end, what that costs and what it needs, from the tables alone."""

from collections.abc import Iterator

from propsched.optimise.problem import NEVER, Problem, Task


def ends(problem: Problem, task: Task, stage: int, v: int, d: int) -> Iterator[int]:
    """Days on which a stage that starts in a variant on a day may end."""
    table = problem.stages(task)[stage]
    length = int(table.length[v, d])
    for pin in task.pins:
        if pin.stage == stage and pin.start == d and pin.length is not None:
            length = pin.length
    if length >= NEVER:
        return
    nexts = [pin.start for pin in task.pins if pin.stage == stage + 1]
    stop = min(problem.days, d + length + table.wait + 1)
    for e in range(d + max(1, length), stop):
        if modes_for(problem, v, d, e) is None:
            return
        usual = not problem.away[e] if table.any_day else problem.work[e]
        if usual or e in nexts:
            yield e


def dated(task: Task, e: int) -> int:
    """Worth lost for being ready on a day that is not the wanted one."""
    late = max(0, e - task.wanted_by) if task.wanted_by is not None else 0
    early = max(0, task.wanted_from - e) if task.wanted_from is not None else 0
    return late * task.late_per_day + early * task.early_per_day


def modes_for(
    problem: Problem, v: int, d: int, e: int
) -> tuple[tuple[int, int], ...] | None:
    """Periods and modes that a stay in a variant needs; None: no mode allows it."""
    needed = []
    for p, period in enumerate(problem.periods):
        if period.space != problem.space_of[v] or d >= period.end or e <= period.first:
            continue
        listing = [m for m, mode in enumerate(period.modes) if v in mode.variants]
        if not listing:
            return None
        needed.append((p, listing[0]))
    return tuple(needed)
