"""
The best plan by trying everything, from the tables alone.

What a way takes up is one whole number: a field of bits for each space and day, for
each day's work, for each day of a link, and for each split.  The room that is left is
such a number too, with a guard bit over each field; a way fits if taking it away
leaves every guard bit standing.  The modes a way needs are bits of another number.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import NamedTuple

from optimise.leaving import dated, ends, modes_for

from propsched.optimise.problem import PPM, Problem, Task

BITS = 12
"""Of a field, its guard included: more than all tasks together can take."""
MOST = (1 << (BITS - 1)) - 1
MOST_TRIED = 10_000
"""Parts of plans after which a season is given up as too large."""


class Way(NamedTuple):
    """What a way of a task is worth, what it takes up, and the modes it needs."""

    worth: int
    use: int
    needs: int


@dataclass(frozen=True)
class _Fields:
    """Where the fields of a problem are."""

    problem: Problem

    def day(self, row: int, day: int) -> int:
        """
        One in the field of a row on a day.

        Rows are the spaces, work, the links; in the last each split has a field.
        """
        return 1 << (BITS * (row * self.problem.days + day))

    def stay(self, space: int, first: int, end: int) -> int:
        return sum(self.day(space, day) for day in range(first, end))

    def work(self, day: int, minutes: int) -> int:
        if not self.problem.work[day]:
            return 0
        return minutes * self.day(self.problem.capacity.shape[0], day)

    def tied(self, task: int, start: int) -> int:
        """
        What its start takes of its links and splits.

        Of each link and day t there is one: the later takes it if it starts by t,
        the earlier if it starts after t less the days between.  Of each split there
        are as many as it has parts; the whole takes them all.
        """
        problem = self.problem
        row = problem.capacity.shape[0] + 1
        use = 0
        for i, link in enumerate(problem.links):
            if link.later == task:
                use += self.stay(row + i, start, problem.days)
            if link.earlier == task:
                use += self.stay(row + i, 0, min(problem.days, start + link.days))
        row += len(problem.links)
        for i, split in enumerate(problem.splits):
            if task == split.whole:
                use += len(split.parts) * self.day(row, i)
            if task in split.parts:
                use += self.day(row, i)
        return use

    def room(self) -> tuple[int, int]:
        """All there is, guards standing; and the guards alone."""
        problem = self.problem
        rows = [*problem.capacity.tolist(), problem.minutes.tolist()]
        rows += [[1] * problem.days for _ in problem.links]
        rows.append([len(split.parts) for split in problem.splits])
        free = guards = 0
        for row, amounts in enumerate(rows):
            for day, amount in enumerate(amounts):
                one = self.day(row, day)
                free += one * min(MOST, max(0, amount))
                guards += one << (BITS - 1)
        return free + guards, guards


@dataclass(frozen=True)
class _Modes:
    """The modes of all periods as bits, those of a period beside one another."""

    problem: Problem

    def bit(self, period: int, mode: int) -> int:
        before = sum(len(one.modes) for one in self.problem.periods[:period])
        return 1 << (before + mode)

    def torn(self, needs: int) -> bool:
        """Whether two modes of one period are among them."""
        return any(
            sum(bool(needs & self.bit(p, m)) for m in range(len(period.modes))) > 1
            for p, period in enumerate(self.problem.periods)
        )

    def others(self, needs: int) -> int:
        """The other modes of the periods of which some mode is needed."""
        barred = 0
        for p, period in enumerate(self.problem.periods):
            bits = [self.bit(p, m) for m in range(len(period.modes))]
            if any(needs & bit for bit in bits):
                barred |= sum(bits)
        return barred & ~needs

    def cost(self, needs: int) -> int | None:
        """Least cost of modes with some of them given; None: too much manure."""
        costs = []
        free = []
        for p, period in enumerate(self.problem.periods):
            given = [
                mode for m, mode in enumerate(period.modes) if needs & self.bit(p, m)
            ]
            free.append(given or list(period.modes))
        for chosen in product(*free):
            manure = sum(mode.manure for mode in chosen)
            if self.problem.manure is None or manure <= self.problem.manure:
                costs.append(sum(mode.cost for mode in chosen))
        return min(costs, default=None)


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
    needs: int


def _lost(weight: int, share_ppm: int, success_ppm: int) -> int:
    """Of plants wanted: those that do not come through, spare ones not counted."""
    through = min(PPM, share_ppm * success_ppm // PPM)
    return weight * (PPM - through) // PPM


def _kept(task: Task, stage: int, space: int, day: int) -> int:
    """Worth of keeping to the plan in force."""
    for kept in task.kept:
        if kept.stage == stage and kept.space == space:
            return max(0, kept.worth - kept.per_day * abs(day - kept.start))
    return 0


def _begin(problem: Problem, task: Task) -> Iterator[int]:
    for pin in task.pins:
        if pin.stage == task.first_stage and pin.start is not None:
            yield pin.start
            return
    for d in range(max(0, task.earliest), min(problem.days, task.latest + 1)):
        if problem.work[d]:
            yield d


class Ways:
    """Every way of a task, of those that take and need the same the best alone."""

    def __init__(self, problem: Problem, number: int) -> None:
        self.problem, self.task = problem, problem.tasks[number]
        self.tables = problem.stages(self.task)
        self.fields = fields = _Fields(problem)
        self.modes = _Modes(problem)
        self.torn = cache(self.modes.torn)
        self.stays = {
            (s, d): [fields.stay(s, d, e) for e in range(problem.days + 1)]
            for s in range(problem.capacity.shape[0])
            for d in range(problem.days)
        }
        self.best: dict[tuple[int, int], int] = {}
        self.left_out = False
        """Some would need two modes of one period."""
        for d in _begin(problem, self.task):
            use = fields.tied(number, d)
            self._start(_Part(self.task.first_stage, d, -1, 0, 0, use, 0))

    def _keep(self, value: int, use: int, needs: int) -> None:
        key = use, needs
        if self.torn(needs):
            self.left_out = True
        elif value > self.best.get(key, value - 1):
            self.best[key] = value

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

    def _needs(self, v: int, d: int, e: int) -> int:
        """Modes that a stay needs."""
        modes = modes_for(self.problem, v, d, e)
        assert modes is not None
        return sum(self.modes.bit(p, m) for p, m in modes)

    def _stand(self, part: _Part, v: int) -> None:
        """Everything the stage can come to in one variant."""
        task, k, d = self.task, part.stage, part.day
        table, share = self.tables[k], task.share[k]
        space = int(self.problem.space_of[v])
        stay = self.stays[space, d]
        gain = _kept(task, k, space, d)
        if part.space not in (-1, space):
            gain -= self.problem.move_cost
        standing = int(table.over_success[v, d])
        end = self.problem.days
        if standing >= 0 and modes_for(self.problem, v, d, end) is not None:
            lost = _lost(task.over_weight, share, standing)
            use = part.use + task.area[k] * stay[end]
            worth = part.over + gain + task.over_weight - lost
            self._keep(worth, use, part.needs | self._needs(v, d, end))
        through = int(table.success[v, d])
        ready = part.ready + gain - _lost(task.weight, share, through)
        over = part.over + gain - _lost(task.over_weight, share, through)
        for e in ends(self.problem, task, k, v, d):
            use = part.use + task.area[k] * stay[e]
            needs = part.needs | self._needs(v, d, e)
            if k < len(self.tables) - 1:
                self._start(_Part(k + 1, e, space, ready, over, use, needs))
            elif e >= task.gate:
                use += self.fields.work(e, task.minutes[k + 1])
                self._keep(ready + task.weight - dated(task, e), use, needs)


def ways(problem: Problem, number: int) -> list[Way]:
    """Every way of a task, best first."""
    best = Ways(problem, number).best
    return sorted((Way(worth, *key) for key, worth in best.items()), reverse=True)


class _Open(NamedTuple):
    """A task not yet decided on, and the ways it could still go."""

    must: bool
    group: int
    """The split it is of; −1: none."""
    whole: bool
    ways: list[Way]


def _most(undecided: list[_Open]) -> int:
    """At least what all of them together could add."""
    most = 0
    groups: dict[int, list[int]] = {}
    for task in undecided:
        best = task.ways[0].worth if task.ways else 0
        if task.group < 0:
            most += best
        else:
            groups.setdefault(task.group, [0, 0])[task.whole] += best
    return most + sum(map(max, groups.values()))


class TooManyWaysError(Exception):
    """The season is too large to try everything."""


class _Search:
    """Tries the ways of one task after the other, while there is hope."""

    def __init__(self, problem: Problem) -> None:
        room, self.guards = _Fields(problem).room()
        modes = _Modes(problem)
        self.cost, self.others = cache(modes.cost), cache(modes.others)
        self.best: int | None = None
        self.tried = 0
        groups = {
            task: i
            for i, split in enumerate(problem.splits)
            for task in (split.whole, *split.parts)
        }
        wholes = {split.whole for split in problem.splits}
        undecided = []
        for b, task in enumerate(problem.tasks):
            mine = [way for way in ways(problem, b) if task.must or way.worth > 0]
            undecided.append(_Open(task.must, groups.get(b, -1), b in wholes, mine))
        # Tasks that must be in first, then those of most worth.
        undecided.sort(
            key=lambda task: (not task.must, -task.ways[0].worth if task.ways else 0)
        )
        self._place(0, room, 0, undecided)

    def _hopeless(self, worth: int) -> bool:
        return self.best is not None and worth <= self.best

    def _fitting(self, free: int, needs: int, mine: list[Way]) -> list[Way]:
        guards, barred = self.guards, self.others(needs)
        return [
            way
            for way in mine
            if (free - way.use) & guards == guards and not way.needs & barred
        ]

    def _place(self, value: int, free: int, needs: int, undecided: list[_Open]) -> None:
        self.tried += 1
        if self.tried > MOST_TRIED:
            raise TooManyWaysError
        cost = self.cost(needs)
        if cost is None or self._hopeless(value - cost + _most(undecided)):
            return
        fitting = [
            task._replace(ways=self._fitting(free, needs, task.ways))
            for task in undecided
        ]
        if any(task.must and not task.ways for task in fitting):
            return
        if self._hopeless(value - cost + _most(fitting)):
            return
        if not fitting:
            self.best = value - cost
            return
        task, *later = fitting
        above = value - cost + _most(later)
        for way in task.ways:
            if self._hopeless(above + way.worth):
                break
            self._place(value + way.worth, free - way.use, needs | way.needs, later)
        if not task.must:
            self._place(value, free, needs, later)


def best_worth(problem: Problem) -> int | None:
    """
    Worth of the best plan; None when the must tasks cannot all be placed.

    Raises
    ------
    TooManyWaysError
        The season is not small.
    """
    best = _Search(problem).best
    return None if best is None else best + problem.constant
