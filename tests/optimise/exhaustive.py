"""
The best plan by trying everything, from the tables alone.

What a way takes up is one whole number: a field of bits for each space and day, and
for each day's work.  The room that is left is such a number too, with a guard bit
over each field; a way fits if taking it away leaves every guard bit standing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from optimise.leaving import dated, ends

from propsched.optimise.problem import PPM, Problem, Task

BITS = 12
"""Of a field, its guard included: more than all tasks together can take."""
MOST = (1 << (BITS - 1)) - 1

Way = tuple[int, int]
"""Worth, and what it takes up."""


@dataclass(frozen=True)
class _Fields:
    """Where the fields of a problem are."""

    problem: Problem

    def day(self, row: int, day: int) -> int:
        """One in the field of a space on a day; the row after the last is work."""
        return 1 << (BITS * (row * self.problem.days + day))

    def stay(self, space: int, first: int, end: int) -> int:
        return sum(self.day(space, day) for day in range(first, end))

    def work(self, day: int, minutes: int) -> int:
        if not self.problem.work[day]:
            return 0
        return minutes * self.day(self.problem.capacity.shape[0], day)

    def room(self) -> tuple[int, int]:
        """All there is, guards standing; and the guards alone."""
        problem = self.problem
        free = guards = 0
        rows = [*problem.capacity.tolist(), problem.minutes.tolist()]
        for row, amounts in enumerate(rows):
            for day, amount in enumerate(amounts):
                one = self.day(row, day)
                free += one * min(MOST, max(0, amount))
                guards += one << (BITS - 1)
        return free + guards, guards


class _Part(NamedTuple):
    """A way as far as it has come."""

    stage: int
    day: int
    space: int
    """Where it comes from; −1: nowhere."""
    ready: int
    """Worth gained so far if it becomes ready, and if it stands over."""
    over: int
    use: int


def _lost(weight: int, share_ppm: int, success_ppm: int) -> int:
    """Of plants wanted: those that do not come through, spare ones not counted."""
    through = min(PPM, share_ppm * success_ppm // PPM)
    return weight * (PPM - through) // PPM


def _begin(problem: Problem, task: Task) -> Iterator[int]:
    for pin in task.pins:
        if pin.stage == task.first_stage and pin.start is not None:
            yield pin.start
            return
    for d in range(max(0, task.earliest), min(problem.days, task.latest + 1)):
        if problem.work[d]:
            yield d


class _Ways:
    """Every way of a task, of those that take the same the best alone."""

    def __init__(self, problem: Problem, task: Task) -> None:
        self.problem, self.task = problem, task
        self.tables = problem.stages(task)
        self.fields = fields = _Fields(problem)
        self.stays = {
            (s, d): [fields.stay(s, d, e) for e in range(problem.days + 1)]
            for s in range(problem.capacity.shape[0])
            for d in range(problem.days)
        }
        self.best: dict[int, int] = {}
        for d in _begin(problem, task):
            self._start(_Part(task.first_stage, d, -1, 0, 0, 0))

    def _keep(self, value: int, use: int) -> None:
        if value > self.best.get(use, value - 1):
            self.best[use] = value

    def _start(self, part: _Part) -> None:
        task, k, d = self.task, part.stage, part.day
        pins = [pin for pin in task.pins if pin.stage == k]
        if any(pin.start not in (None, d) for pin in pins):
            return
        if not (task.under_way and k == task.first_stage):
            use = part.use + self.fields.work(d, task.minutes[k])
            part = part._replace(use=use)
        for v in range(self.problem.space_of.size):
            if not any(pin.variants and v not in pin.variants for pin in pins):
                self._stand(part, v)

    def _stand(self, part: _Part, v: int) -> None:
        """Everything the stage can come to in one variant."""
        task, k, d = self.task, part.stage, part.day
        table, share = self.tables[k], task.share[k]
        space = int(self.problem.space_of[v])
        stay = self.stays[space, d]
        move = self.problem.move_cost if part.space not in (-1, space) else 0
        standing = int(table.over_success[v, d])
        if standing >= 0:
            lost = _lost(task.over_weight, share, standing)
            use = part.use + task.area[k] * stay[self.problem.days]
            self._keep(part.over - move + task.over_weight - lost, use)
        through = int(table.success[v, d])
        ready = part.ready - move - _lost(task.weight, share, through)
        over = part.over - move - _lost(task.over_weight, share, through)
        for e in ends(self.problem, task, k, v, d):
            use = part.use + task.area[k] * stay[e]
            if k < len(self.tables) - 1:
                self._start(_Part(k + 1, e, space, ready, over, use))
            elif e >= task.gate:
                use += self.fields.work(e, task.minutes[k + 1])
                self._keep(ready + task.weight - dated(task, e), use)


def ways(problem: Problem, task: Task) -> list[Way]:
    """Every way of a task, best first."""
    best = _Ways(problem, task).best
    return sorted(((value, use) for use, value in best.items()), reverse=True)


def best_worth(problem: Problem) -> int | None:
    """Worth of the best plan; None when the must tasks cannot all be placed."""
    room, guards = _Fields(problem).room()
    lists = []
    for task in problem.tasks:
        mine = [way for way in ways(problem, task) if task.must or way[0] > 0]
        lists.append((task.must, mine))
    # Tasks that must be in first, then those with few ways.
    lists.sort(key=lambda item: (not item[0], len(item[1])))
    best: list[int | None] = [None]

    def place(value: int, free: int, rest: list[tuple[bool, list[Way]]]) -> None:
        fitting = []
        for must, mine in rest:
            left = [way for way in mine if (free - way[1]) & guards == guards]
            if must and not left:
                return
            fitting.append((must, left))
        most = sum(mine[0][0] for _, mine in fitting if mine)
        if best[0] is not None and value + most <= best[0]:
            return
        if not fitting:
            best[0] = value
            return
        (must, mine), *others = fitting
        above = most - (mine[0][0] if mine else 0)
        for worth, use in mine:
            if best[0] is not None and value + worth + above <= best[0]:
                break
            place(value + worth, free - use, others)
        if not must:
            place(value, free, others)

    place(0, room, lists)
    return None if best[0] is None else best[0] + problem.constant
