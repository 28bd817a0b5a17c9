"""The best plan by trying everything, from the tables alone."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from propsched.optimise.problem import NEVER, Problem, Task, loss, over_loss


@dataclass(frozen=True)
class Way:
    """One way of a task: what it is worth and what it takes."""

    value: int
    area: tuple[tuple[int, int, int, int], ...]
    """Space, first day, day after the last, area."""
    work: tuple[tuple[int, int], ...]


def _one(weigh: object, task: Task, stage: int, share: int) -> int:
    return int(weigh(task, stage, np.array(share)))  # type: ignore[operator]


def _begin(problem: Problem, task: Task) -> Iterator[int]:
    for pin in task.pins:
        if pin.stage == task.first_stage and pin.start is not None:
            yield pin.start
            return
    for d in range(max(0, task.earliest), min(problem.days, task.latest + 1)):
        if problem.work[d]:
            yield d


def ways(problem: Problem, task: Task) -> list[Way]:
    """Every way of a task, by recursion over its stages."""
    tables = problem.stages(task)
    last = len(tables) - 1
    found: list[Way] = []

    def stand(stage: int, d: int, before: int, ready: int, over: int, area, work):  # type: ignore[no-untyped-def]
        table = tables[stage]
        pins = [pin for pin in task.pins if pin.stage == stage]
        if any(pin.start not in (None, d) for pin in pins):
            return
        free = stage == task.first_stage and any(
            pin.start is not None and pin.length is not None for pin in pins
        )
        if problem.work[d] and not free:
            work = (*work, (d, task.minutes[stage]))
        for v in range(len(problem.space_of)):
            if any(pin.variants and v not in pin.variants for pin in pins):
                continue
            space = int(problem.space_of[v])
            move = problem.move_cost if before not in (-1, space) else 0
            share = int(table.over_success[v, d])
            if share >= 0:
                value = over - move + task.over_weight
                value -= _one(over_loss, task, stage, share)
                stay = (space, d, problem.days, task.area[stage])
                found.append(Way(value, (*area, stay), work))
            length = int(table.length[v, d])
            for pin in pins:
                if pin.start == d and pin.length is not None:
                    length = pin.length
            if length >= NEVER:
                continue
            lost = _one(loss, task, stage, int(table.success[v, d]))
            lost_over = _one(over_loss, task, stage, int(table.success[v, d]))
            for e in range(max(d + 1, d + length), d + length + table.wait + 1):
                if e >= problem.days or not may_leave(stage, e):
                    continue
                stays = (*area, (space, d, e, task.area[stage]))
                if stage < last:
                    stand(
                        stage + 1,
                        e,
                        space,
                        ready - move - lost,
                        over - move - lost_over,
                        stays,
                        work,
                    )
                elif e >= task.gate:
                    value = ready - move - lost + task.weight - dated(e)
                    out = work
                    if problem.work[e]:
                        out = (*work, (e, task.minutes[stage + 1]))
                    found.append(Way(value, stays, out))

    def may_leave(stage: int, e: int) -> bool:
        if any(pin.stage == stage + 1 and pin.start == e for pin in task.pins):
            return True
        return not problem.away[e] if tables[stage].any_day else bool(problem.work[e])

    def dated(e: int) -> int:
        late = early = 0
        if task.wanted_by is not None:
            late = max(0, e - task.wanted_by)
        if task.wanted_from is not None:
            early = max(0, task.wanted_from - e)
        return late * task.late_per_day + early * task.early_per_day

    for d in _begin(problem, task):
        stand(task.first_stage, d, -1, 0, 0, (), ())
    return found


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
