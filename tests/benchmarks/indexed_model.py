"""
The time-indexed programme of the whole problem, written for size.

A yes/no column for each start of a stage (variant, day) and for each day of leaving;
the day a stage is left is the day the next one starts, and lies between being through
and the end of the wait: both told by counts of what has started or is through by a
day.  Whether a stage stands in a place on a day follows from starts and leavings.
Every kind of limit and freedom of the tables is told.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from benchmarks.blocks import SHUT, edges_of, places_of
from benchmarks.columns import Columns
from benchmarks.single_tables import lengths_of, moving_days, variants
from numpy.typing import NDArray
from optimise.leaving import dated

from propsched.optimise.problem import NEVER, Problem, kept_worth, loss, over_loss

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass
class Starts:
    """Columns of the starts of one stage, one entry a column."""

    column: list[int] = field(default_factory=list)
    variant: list[int] = field(default_factory=list)
    day: list[int] = field(default_factory=list)
    through: list[int] = field(default_factory=list)
    """First day it may leave; D: stands to the season's end."""
    until: list[int] = field(default_factory=list)
    """Last day it may leave."""

    def stays(self, days: int) -> NDArray[np.bool_]:
        return np.array(self.through, dtype=np.int64) >= days


@dataclass
class Way:
    """Stages of one task that in the end is ready, or stands over."""

    task: int
    over: bool
    starts: dict[int, Starts] = field(default_factory=dict)
    count: dict[int, Ints] = field(default_factory=dict)
    """By stage, columns that count its starts up to each block; last, leavings."""
    fresh: dict[int, Ints] = field(default_factory=dict)
    """The same of each block alone."""
    leave: dict[int, int] = field(default_factory=dict)
    """Columns of the days of leaving, by day."""


class Indexed:
    """The programme and what its columns stand for."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.rows = Columns()
        self.ways: list[Way] = []
        self.modes: dict[tuple[int, int], int] = {}
        self.derived: list[Callable[[Floats], None]] = []
        """What follows from whole columns, in order."""
        self.edges = edges_of(problem)
        self.block = np.searchsorted(self.edges, np.arange(problem.days), "right") - 1
        self._modes()
        self.place_of, self.needs = places_of(problem, self.edges, self.modes)
        self.area_rows = self._area_rows()
        minutes = np.where(problem.work, np.maximum(0, problem.minutes), np.inf)
        self.minute_rows = self.rows.more_rows(-np.inf, minutes[self.edges])
        for b, task in enumerate(problem.tasks):
            mine = [self._way(b, over=False)]
            if any((t.over_success >= 0).any() for t in problem.stages(task)):
                mine.append(self._way(b, over=True))
            self.ways += mine
            least = 1.0 if task.must else 0.0
            one = self.rows.more_rows(least, np.ones(1))
            for way in mine:
                self.rows.enter(one, way.count[task.first_stage][-1:], 1.0)
        self._ties()

    def _modes(self) -> None:
        rows, problem = self.rows, self.problem
        for p, period in enumerate(problem.periods):
            costs = np.array([-float(mode.cost) for mode in period.modes])
            columns = rows.more(costs, whole=True)
            self.modes |= {(p, m): int(y) for m, y in enumerate(columns)}
            one = rows.more_rows(1.0, np.ones(1))
            rows.enter(np.repeat(one, columns.size), columns, 1.0)
        if problem.manure is not None and self.modes:
            row = rows.more_rows(-np.inf, np.array([float(problem.manure)]))
            for (p, m), y in self.modes.items():
                taken = float(problem.periods[p].modes[m].manure)
                rows.enter(row, np.array([y]), taken)

    def _area_rows(self) -> Ints:
        """Rows of area by space and block."""
        room = np.maximum(0, self.problem.capacity)[:, self.edges].astype(np.float64)
        return self.rows.more_rows(-np.inf, room.ravel()).reshape(room.shape)

    def _way(self, b: int, *, over: bool) -> Way:
        task = self.problem.tasks[b]
        way = Way(b, over)
        last = len(task.area)
        for k in range(task.first_stage, last):
            way.starts[k] = self._starts(way, k)
            self._count(way, k, way.starts[k].column, way.starts[k].day)
        days = [] if over else moving_days(self.problem, task, last)
        worth = np.array([float(task.weight - dated(task, e)) for e in days])
        columns = self.rows.more(worth, whole=True)
        way.leave = dict(zip(days, columns.tolist(), strict=True))
        self._count(way, last, columns.tolist(), days)
        for k in range(task.first_stage, last):
            self._window(way, k)
            self._stand(way, k)
            if k > task.first_stage and self.problem.move_cost:
                self._moves(way, k)
            if not task.begun(k):
                self._work(way, k)
        self._work(way, last)
        return way

    def _starts(self, way: Way, k: int) -> Starts:
        problem, starts = self.problem, Starts()
        task = problem.tasks[way.task]
        table = problem.stages(task)[k]
        days = np.array(moving_days(problem, task, k), dtype=np.int64)
        weigh = over_loss if way.over else loss
        for v in variants(problem, task, k):
            kept = kept_worth(problem, task, k, np.full(days.size, v), days)
            lengths = lengths_of(problem, task, k, v)[days]
            goes = (lengths < NEVER) & (days + lengths < problem.days)
            if way.over and k == len(task.area) - 1:
                goes[:] = False
            worth = kept - weigh(task, k, table.success[v, days])
            through = days + np.maximum(1, lengths)
            until = days + lengths + table.wait
            self._add(starts, v, days[goes], worth[goes], through[goes], until[goes])
            stays = table.over_success[v, days] >= 0
            if way.over and stays.any():
                lost = over_loss(task, k, table.over_success[v, days])
                worth = (task.over_weight + kept - lost)[stays]
                end = np.full(worth.size, problem.days)
                self._add(starts, v, days[stays], worth, end, end)
        return starts

    def _add(
        self,
        starts: Starts,
        v: int,
        days: Ints,
        worth: Ints,
        through: Ints,
        until: Ints,
    ) -> None:
        columns = self.rows.more(worth.astype(np.float64), whole=True)
        starts.column += columns.tolist()
        starts.variant += [v] * days.size
        starts.day += days.tolist()
        starts.through += through.tolist()
        starts.until += until.tolist()

    def _count(self, way: Way, k: int, columns: list[int], days: list[int]) -> None:
        """How many have started up to each block: none or one."""
        way.fresh[k] = self._summed(columns, days)
        way.count[k] = self._upto(way.fresh[k])

    def _summed(self, columns: list[int], days: list[int]) -> Ints:
        """Columns that sum others by block; what falls after the end is left out."""
        rows, n = self.rows, self.edges.size
        sums = rows.more(np.zeros(n), whole=False)
        at = rows.more_rows(0.0, np.zeros(n))
        rows.enter(at, sums, -1.0)
        inside = np.array(days, dtype=np.int64) < self.problem.days
        where = self.block[np.array(days, dtype=np.int64)[inside]]
        summed = np.array(columns, dtype=np.int64)[inside]
        rows.enter(at[where], summed, 1.0)

        def follow(values: Floats) -> None:
            values[sums] = np.bincount(where, values[summed], minlength=n)

        self.derived.append(follow)
        return sums

    def _upto(self, fresh: Ints) -> Ints:
        """Columns that add up others from the first block on."""
        rows, n = self.rows, fresh.size
        total = rows.more(np.zeros(n), whole=False)
        at = rows.more_rows(0.0, np.zeros(n))
        rows.enter(at, total, -1.0)
        rows.enter(at, fresh, 1.0)
        rows.enter(at[1:], total[:-1], 1.0)

        def follow(values: Floats) -> None:
            values[total] = np.cumsum(values[fresh])

        self.derived.append(follow)
        return total

    def _window(self, way: Way, k: int) -> None:
        """It is left when through, and before its wait is over."""
        rows, n, days = self.rows, self.edges.size, self.problem.days
        starts = way.starts[k]
        goes = ~starts.stays(days)
        columns = np.array(starts.column, dtype=np.int64)[goes].tolist()
        # Through within a block: left on the first day of a later one.
        through = self._later(np.array(starts.through, dtype=np.int64)[goes])
        done = self._upto(self._summed(columns, through.tolist()))
        at = rows.more_rows(-np.inf, np.zeros(n))
        rows.enter(at, way.count[k + 1], 1.0)
        rows.enter(at, done, -1.0)
        until = np.array(starts.until, dtype=np.int64)[goes]
        late = self._upto(self._summed(columns, until.tolist()))
        at = rows.more_rows(0.0, np.full(n, np.inf))
        rows.enter(at, way.count[k + 1], 1.0)
        rows.enter(at, late, -1.0)
        # What goes on is one more of the next stage in the end.
        one = rows.more_rows(0.0, np.zeros(1))
        rows.enter(one, way.count[k + 1][-1:], -1.0)
        rows.enter(np.repeat(one, len(columns)), np.array(columns, np.int64), 1.0)

    def _later(self, days: Ints) -> Ints:
        """The first day of the block that begins on or after a day."""
        ends = np.append(self.edges, self.problem.days)
        at = np.searchsorted(ends, np.minimum(days, self.problem.days))
        return ends[at]

    def _stand(self, way: Way, k: int) -> None:
        """Where it stands, by place and block; area and modes."""
        rows, n, starts = self.rows, self.edges.size, way.starts[k]
        task = self.problem.tasks[way.task]
        places = self.place_of[np.array(starts.variant, dtype=np.int64)]
        blocks = self.block[np.array(starts.day, dtype=np.int64)]
        columns = np.array(starts.column, dtype=np.int64)
        for g in np.unique(places):
            mine = places == g
            begin = int(blocks[mine].min())
            space, needs = self.needs[int(g)]
            upper = np.where(needs == SHUT, 0.0, 1.0)[begin:]
            stands = rows.more(np.zeros(n - begin), whole=False, upper=upper)
            at = rows.more_rows(-np.inf, np.zeros(n - begin))
            rows.enter(at, stands, -1.0)
            rows.enter(at[1:], stands[:-1], 1.0)
            rows.enter(at, way.fresh[k + 1][begin:], -1.0)
            came, when = columns[mine], blocks[mine] - begin
            rows.enter(at[when], came, 1.0)
            left = way.fresh[k + 1][begin:]
            self.derived.append(partial(_standing, stands, came, when, left))
            if task.area[k]:
                rows.enter(self.area_rows[space, begin:], stands, float(task.area[k]))
            asked = np.flatnonzero(needs[begin:] >= 0)
            only = rows.more_rows(-np.inf, np.zeros(asked.size))
            rows.enter(only, stands[asked], 1.0)
            rows.enter(only, needs[begin:][asked], -1.0)

    def _moves(self, way: Way, k: int) -> None:
        rows, space_of = self.rows, self.problem.space_of
        moved = rows.more(np.array([-float(self.problem.move_cost)]), whole=False)
        now, before = way.starts[k], way.starts[k - 1]
        for s in {int(space_of[v]) for v in now.variant}:
            row = rows.more_rows(-np.inf, np.zeros(1))
            rows.enter(row, moved, -1.0)
            both = []
            for starts, sign in ((now, 1.0), (before, -1.0)):
                here = space_of[np.array(starts.variant, dtype=np.int64)] == s
                if starts is before:
                    here &= ~starts.stays(self.problem.days)
                columns = np.array(starts.column, dtype=np.int64)[here]
                rows.enter(np.repeat(row, columns.size), columns, sign)
                both.append(columns)
            self.derived.append(partial(_moved, moved, *both))

    def _work(self, way: Way, k: int) -> None:
        minutes = self.problem.tasks[way.task].minutes[k]
        if minutes:
            self.rows.enter(self.minute_rows, way.fresh[k], float(minutes))

    def _ties(self) -> None:
        rows, problem, n = self.rows, self.problem, self.edges.size
        first: dict[int, list[Ints]] = defaultdict(list)
        for way in self.ways:
            first[way.task].append(way.count[problem.tasks[way.task].first_stage])
        for link in problem.links:
            at = rows.more_rows(-np.inf, np.ones(n))
            before = self.edges - link.days
            known = np.flatnonzero(before >= 0)
            for count in first[link.later]:
                rows.enter(at, count, 1.0)
            for count in first[link.earlier]:
                rows.enter(at, np.repeat(count[-1:], n), 1.0)
                upto = self.block[np.minimum(before[known], problem.days - 1)]
                rows.enter(at[known], count[upto], -1.0)
        for split in problem.splits:
            for part in split.parts:
                row = rows.more_rows(-np.inf, np.ones(1))
                for count in (*first[split.whole], *first[part]):
                    rows.enter(row, count[-1:], 1.0)


def _standing(stands: Ints, came: Ints, when: Ints, left: Ints, values: Floats) -> None:
    fresh = np.bincount(when, values[came], minlength=stands.size)
    now = 0.0
    for i in range(stands.size):
        now = max(0.0, now + fresh[i] - values[left[i]])
        values[stands[i]] = now


def _moved(moved: Ints, now: Ints, before: Ints, values: Floats) -> None:
    changed = values[now].sum() - values[before].sum()
    values[moved] = max(values[moved[0]], changed)
