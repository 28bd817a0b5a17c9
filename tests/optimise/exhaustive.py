"""The best plan by trying everything, from the tables alone."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from propsched.optimise.problem import NEVER, Problem, Task, loss, over_loss


@dataclass(frozen=True)
class Way:
    """One way of a task: what it is worth and what it takes."""

    value: int
    area: tuple[tuple[int, int, int, int], ...]
    """Space, first day, day after the last, area."""
    work: tuple[tuple[int, int], ...]


def _begin(problem: Problem, task: Task) -> Iterator[int]:
    for pin in task.pins:
        if pin.stage == task.first_stage and pin.start is not None:
            yield pin.start
            return
    for d in range(max(0, task.earliest), min(problem.days, task.latest + 1)):
        if problem.work[d]:
            yield d


@dataclass(frozen=True)
class _Part:
    """A way as far as it has come."""

    stage: int
    day: int
    space: int
    ready: int
    """Worth gained so far if it becomes ready, and if it stands over."""
    over: int
    area: tuple[tuple[int, int, int, int], ...]
    work: tuple[tuple[int, int], ...]


def ways(problem: Problem, task: Task) -> list[Way]:
    """Every way of a task, stage by stage."""
    found: list[Way] = []
    parts = [
        _Part(task.first_stage, d, -1, 0, 0, (), ()) for d in _begin(problem, task)
    ]
    while parts:
        part = parts.pop()
        pins = [pin for pin in task.pins if pin.stage == part.stage]
        if any(pin.start not in (None, part.day) for pin in pins):
            continue
        if problem.work[part.day] and not task.begun(part.stage):
            work = (*part.work, (part.day, task.minutes[part.stage]))
            part = replace(part, work=work)
        for v in range(len(problem.space_of)):
            if not any(pin.variants and v not in pin.variants for pin in pins):
                _stand(problem, task, part, v, found, parts)
    return found


def _stand(
    problem: Problem,
    task: Task,
    part: _Part,
    v: int,
    found: list[Way],
    parts: list[_Part],
) -> None:
    """Everything one stage can come to in one variant."""
    stage, d = part.stage, part.day
    table = problem.stages(task)[stage]
    space = int(problem.space_of[v])
    move = problem.move_cost if part.space not in (-1, space) else 0
    if table.over_success[v, d] >= 0:
        lost = int(over_loss(task, stage, table.over_success[v, d]))
        stay = (space, d, problem.days, task.area[stage])
        value = part.over - move + task.over_weight - lost
        found.append(Way(value, (*part.area, stay), part.work))
    ready = part.ready - move - int(loss(task, stage, table.success[v, d]))
    over = part.over - move - int(over_loss(task, stage, table.success[v, d]))
    for e in _ends(problem, task, stage, v, d):
        area = (*part.area, (space, d, e, task.area[stage]))
        if stage < len(problem.stages(task)) - 1:
            parts.append(_Part(stage + 1, e, space, ready, over, area, part.work))
        elif e >= task.gate:
            out = (e, task.minutes[stage + 1])
            work = (*part.work, out) if problem.work[e] else part.work
            found.append(Way(ready + task.weight - _dated(task, e), area, work))


def _ends(problem: Problem, task: Task, stage: int, v: int, d: int) -> Iterator[int]:
    table = problem.stages(task)[stage]
    length = int(table.length[v, d])
    for pin in task.pins:
        if pin.stage == stage and pin.start == d and pin.length is not None:
            length = pin.length
    if length >= NEVER:
        return
    nexts = [pin.start for pin in task.pins if pin.stage == stage + 1]
    for e in range(d + max(1, length), d + length + table.wait + 1):
        if e < problem.days:
            usual = not problem.away[e] if table.any_day else problem.work[e]
            if usual or e in nexts:
                yield e


def _dated(task: Task, e: int) -> int:
    late = max(0, e - task.wanted_by) if task.wanted_by is not None else 0
    early = max(0, task.wanted_from - e) if task.wanted_from is not None else 0
    return late * task.late_per_day + early * task.early_per_day


def _distinct(found: list[Way]) -> list[Way]:
    """The best of those that take the same, best first."""
    best: dict[object, Way] = {}
    for way in found:
        key = (way.area, tuple(sorted(w for w in way.work if w[1])))
        if key not in best or way.value > best[key].value:
            best[key] = way
    return sorted(best.values(), key=lambda way: -way.value)


def best_worth(problem: Problem) -> int | None:
    """Worth of the best plan; None when the must tasks cannot all be placed."""
    lists = []
    for task in problem.tasks:
        mine = _distinct(ways(problem, task))
        if not task.must:
            mine = [way for way in mine if way.value > 0]
        lists.append((task.must, mine))
    # Tasks that must be in first, then those with few ways.
    lists.sort(key=lambda item: (not item[0], len(item[1])))
    most = [
        (mine[0].value if mine else 0) if must else max(0, mine[0].value if mine else 0)
        for must, mine in lists
    ]
    rest = np.concatenate([np.cumsum(most[::-1])[::-1], [0]])
    area = problem.capacity.copy()
    work = np.where(problem.work, problem.minutes, 10**9)
    best: list[int | None] = [None]

    def place(i: int, value: int) -> None:
        if best[0] is not None and value + rest[i] <= best[0]:
            return
        if i == len(lists):
            best[0] = value
            return
        must, mine = lists[i]
        for way in mine:
            if best[0] is not None and value + way.value + rest[i + 1] <= best[0]:
                break
            if _fits(area, work, way):
                _take(area, work, way, 1)
                place(i + 1, value + way.value)
                _take(area, work, way, -1)
        if not must:
            place(i + 1, value)

    place(0, 0)
    return None if best[0] is None else best[0] + problem.constant


def _fits(area: np.ndarray, work: np.ndarray, way: Way) -> bool:
    return all((area[s, d:e] >= a).all() for s, d, e, a in way.area) and all(
        m == 0 or work[d] >= m for d, m in way.work
    )


def _take(area: np.ndarray, work: np.ndarray, way: Way, sign: int) -> None:
    for s, d, e, a in way.area:
        area[s, d:e] -= sign * a
    for d, m in way.work:
        work[d] -= sign * m
