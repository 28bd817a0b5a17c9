"""
A rival from the tables alone: one CP-SAT model of the whole problem.

Each batch has a day for the start of each stage and for its leaving, and an optional
interval for each space it may stand in; lengths and losses are element tables of
the day on which a stage starts.  Batches that may stand over have a second chain of
stages, which ends there.  Every kind of limit and freedom of the tables is told.
"""

from collections import defaultdict
from collections.abc import Callable
from itertools import product

import numpy as np
from benchmarks.single_draft import Chain, Draft, Ints, Values
from benchmarks.single_tables import lengths_of, minutes_matter, moving_days, variants
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from propsched.optimise.problem import NEVER, Problem, kept_worth, loss, over_loss

Cost = tuple[cp_model.IntVar, int, int, cp_model.IntVar | int]
"""What tells of a place, what is lost there at least and at most, and what is."""


class Single(Draft):
    """The model and what its variables stand for."""

    def __init__(self, problem: Problem) -> None:
        super().__init__()
        self.problem = problem
        self.chains: list[Chain] = []
        self.modes: dict[tuple[int, int], cp_model.IntVar] = {}
        self.stands: dict[int, list[tuple[cp_model.IntervalVar, int]]] = defaultdict(
            list
        )
        """Intervals and areas by space."""
        self.works: list[tuple[cp_model.IntervalVar, int]] = []
        self._minutes_matter = minutes_matter(problem)
        for p, period in enumerate(problem.periods):
            for m, mode in enumerate(period.modes):
                self.modes[p, m] = self.cp.new_bool_var("")
                self.gains.append((self.modes[p, m], -mode.cost))
            self.cp.add_exactly_one(self.modes[p, m] for m in range(len(period.modes)))
        if problem.manure is not None:
            self.cp.add(
                sum(
                    y * problem.periods[p].modes[m].manure
                    for (p, m), y in self.modes.items()
                )
                <= problem.manure
            )
        for b in range(len(problem.tasks)):
            self._task(b)
        self._floors()
        self._ties()
        self.cp.maximize(sum(x * gain for x, gain in self.gains) + problem.constant)

    def _task(self, b: int) -> None:
        task = self.problem.tasks[b]
        tables = self.problem.stages(task)
        mine = [self._chain(b, over=False)]
        if any((table.over_success >= 0).any() for table in tables):
            mine.append(self._chain(b, over=True))
        self.chains += mine
        if task.must:
            self.cp.add_exactly_one(chain.present for chain in mine)
        else:
            self.cp.add_at_most_one(chain.present for chain in mine)

    def _chain(self, b: int, *, over: bool) -> Chain:
        task = self.problem.tasks[b]
        chain = Chain(b, over, self.cp.new_bool_var(""))
        weight = task.over_weight if over else task.weight
        self.gains.append((chain.present, weight))
        stages = range(task.first_stage, len(task.area))
        for k in (*stages, len(task.area)):
            days = moving_days(self.problem, task, k)
            if not days and not over:
                self.cp.add(chain.present == 0)
            # Of a day that cannot be, nothing asks but what is not there.
            chain.days[k] = self.day(days or [0])
        for k in stages:
            self._stage(chain, k)
        last = chain.days[len(task.area)]
        if not over:
            self._dated(chain, last)
            self._work(chain.present, last, task.minutes[-1])
        return chain

    def _stage(self, chain: Chain, k: int) -> None:
        """Where a stage may stand, for how long, and what is lost by it."""
        problem, cp = self.problem, self.cp
        task, over = problem.tasks[chain.task], chain.over
        table = problem.stages(task)[k]
        last = k == len(task.area) - 1
        starts = np.array(moving_days(problem, task, k), dtype=np.int64)
        leaves = moving_days(problem, task, k + 1)
        excess: list[Cost] = []
        for v in variants(problem, task, k):
            lengths = lengths_of(problem, task, k, v)
            kept = kept_worth(
                problem, task, k, np.full(problem.days, v), np.arange(problem.days)
            )
            weigh = over_loss if over else loss
            ok = starts[lengths[starts] < NEVER]
            if ok.size and leaves and not (over and last):
                x = chain.on[k, v] = cp.new_bool_var("")
                cost = weigh(task, k, table.success[v]) - kept
                self._through(chain, k, x, lengths, ok, table.wait)
                excess.append(self._costs(chain.days[k], x, cost, ok))
            ok = starts[table.over_success[v, starts] >= 0]
            if over and ok.size:
                x = chain.stays[k, v] = cp.new_bool_var("")
                cost = over_loss(task, k, table.over_success[v]) - kept
                self.on(x, chain.days[k], ok)
                excess.append(self._costs(chain.days[k], x, cost, ok))
        self._sums(chain, k)
        self._charge(excess)
        self._stand(chain, k)
        if not task.begun(k):
            self._work(chain.here[k], chain.days[k], task.minutes[k])

    def _sums(self, chain: Chain, k: int) -> None:
        """One place for each stage it comes to."""
        cp, first = self.cp, self.problem.tasks[chain.task].first_stage
        if k == first or not chain.over:
            chain.here[k] = chain.present
        else:
            here = chain.here[k] = cp.new_bool_var("")
            before = [x for (i, _), x in chain.on.items() if i == k - 1]
            cp.add(sum(before) == here)
            self.derived.append(
                (here, lambda values: sum(values[x.index] for x in before))
            )
        mine = [x for some in chain.at(k).values() for x in some]
        cp.add(sum(mine) == chain.here[k])

    def _through(
        self,
        chain: Chain,
        k: int,
        x: cp_model.IntVar,
        lengths: Ints,
        ok: Ints,
        wait: int,
    ) -> None:
        """It leaves once through, and waits no longer than it may."""
        start, end = chain.days[k], chain.days[k + 1]
        self.on(x, start, ok)
        length = self.element(start, lengths, ok)
        self.cp.add(end >= start + length).only_enforce_if(x)
        self.cp.add(end >= start + 1).only_enforce_if(x)
        self.cp.add(end <= start + length + wait).only_enforce_if(x)

    def _costs(
        self, day: cp_model.IntVar, x: cp_model.IntVar, cost: Ints, ok: Ints
    ) -> Cost:
        return x, int(cost[ok].min()), int(cost[ok].max()), self.element(day, cost, ok)

    def _charge(self, costs: list[Cost]) -> None:
        """What is lost at least in a place, and what more for the day."""
        most = 0
        several = []
        for x, low, high, cost in costs:
            self.gains.append((x, -low))
            if not isinstance(cost, int):
                most = max(most, high - low)
                several.append((x, low, cost))
        if not several:
            return
        more = self.cp.new_int_var(0, most, "")
        self.gains.append((more, -1))
        for x, low, cost in several:
            self.cp.add(more >= cost - low).only_enforce_if(x)
        self.derived.append(
            (
                more,
                lambda values: sum(
                    (values[cost.index] - low) * values[x.index]
                    for x, low, cost in several
                ),
            )
        )

    def _stand(self, chain: Chain, k: int) -> None:
        """Intervals in the spaces, moves between them, modes they need."""
        problem, cp = self.problem, self.cp
        task = problem.tasks[chain.task]
        start, end = chain.days[k], chain.days[k + 1]
        for kind, finish in ((chain.on, end), (chain.stays, problem.days)):
            spaces: dict[int, list[cp_model.IntVar]] = defaultdict(list)
            for (i, v), x in kind.items():
                if i == k:
                    spaces[int(problem.space_of[v])].append(x)
                    self._needs(v, x, start, finish)
            size: cp_model.IntVar | cp_model.LinearExpr = problem.days - start
            if kind is chain.on and spaces:
                size = cp.new_int_var(1, problem.days, "")
                self.derived.append((size, _apart(start, end)))
            for s, some in spaces.items():
                x = some[0] if len(some) == 1 else self.any_of(some)
                interval = cp.new_optional_interval_var(start, size, finish, x, "")
                self.stands[s].append((interval, task.area[k]))
        if k > task.first_stage and problem.move_cost:
            self._move(chain, k)

    def _move(self, chain: Chain, k: int) -> None:
        moved = self.cp.new_bool_var("")
        self.gains.append((moved, -self.problem.move_cost))
        now = self._by_space(k, chain.on, chain.stays)
        before = self._by_space(k - 1, chain.on)
        for s, some in now.items():
            self.cp.add(sum(some) - sum(before.get(s, [])) <= moved)

        def changed(values: Values) -> int:
            return max(
                sum(values[x.index] for x in some)
                - sum(values[x.index] for x in before.get(s, []))
                for s, some in now.items()
            )

        self.derived.append(
            (moved, lambda values: max(0, changed(values) if now else 0))
        )

    def _by_space(
        self, k: int, *kinds: dict[tuple[int, int], cp_model.IntVar]
    ) -> dict[int, list[cp_model.IntVar]]:
        found: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for kind in kinds:
            for (i, v), x in kind.items():
                if i == k:
                    found[int(self.problem.space_of[v])].append(x)
        return found

    def _needs(
        self,
        v: int,
        x: cp_model.IntVar,
        start: cp_model.IntVar,
        finish: cp_model.IntVar | int,
    ) -> None:
        """The modes without which it may not stand there."""
        for p, period in enumerate(self.problem.periods):
            if period.space != self.problem.space_of[v]:
                continue
            clause = [~x]
            starts = self.is_before(start, period.end)
            if starts is False:
                continue
            if starts is not True:
                clause.append(~starts)
            if isinstance(finish, int):
                if finish <= period.first:
                    continue
            else:
                ends = self.is_before(finish, period.first + 1)
                if ends is True:
                    continue
                if ends is not False:
                    clause.append(ends)
            clause += [
                self.modes[p, m]
                for m, mode in enumerate(period.modes)
                if v in mode.variants
            ]
            self.cp.add_bool_or(clause)

    def _dated(self, chain: Chain, out: cp_model.IntVar) -> None:
        """Worth lost for being ready on a day that is not the wanted one."""
        task, days = self.problem.tasks[chain.task], self.problem.days
        sides = (
            (task.wanted_by, 1, task.late_per_day),
            (task.wanted_from, -1, task.early_per_day),
        )
        for wanted, sign, per_day in sides:
            if wanted is None or not per_day:
                continue
            apart = self.cp.new_int_var(0, 2 * days, "")
            self.cp.add(apart >= sign * (out - wanted)).only_enforce_if(chain.present)
            self.gains.append((apart, -per_day))
            self.derived.append((apart, _beyond(chain.present, out, wanted, sign)))

    def _work(self, x: cp_model.IntVar, day: cp_model.IntVar, minutes: int) -> None:
        """Minutes taken on a day, if that is a work day."""
        if not (self._minutes_matter and minutes):
            return
        work = self.problem.work
        off = [d for d in self.domain[day.index] if not work[d]]
        if off:
            on = [d for d in self.domain[day.index] if work[d]]
            if not on:
                return
            counted = self.cp.new_bool_var("")
            self.on(counted, day, np.array(on))
            self.cp.add_linear_expression_in_domain(
                day, cp_model.Domain.from_values(off)
            ).only_enforce_if(x, ~counted)
            self.cp.add_implication(counted, x)
            self.derived.append((counted, _on_work_day(x, day, work)))
            x = counted
        interval = self.cp.new_optional_fixed_size_interval_var(day, 1, x, "")
        self.works.append((interval, minutes))

    def _floors(self) -> None:
        """Area and minutes; what a day has less is taken by a fixed interval."""
        for s, some in self.stands.items():
            room = np.maximum(0, self.problem.capacity[s])
            self.cumulative([one for one in some if one[1]], room)
        most = int(self.problem.minutes[self.problem.work].max(initial=0))
        minutes = np.where(self.problem.work, self.problem.minutes, most)
        self.cumulative(self.works, np.maximum(0, minutes))

    def _ties(self) -> None:
        of: dict[int, list[Chain]] = defaultdict(list)
        for chain in self.chains:
            of[chain.task].append(chain)
        for link in self.problem.links:
            for one, other in product(of[link.earlier], of[link.later]):
                self.cp.add(
                    other.days[min(other.here)] >= one.days[min(one.here)] + link.days
                ).only_enforce_if(one.present, other.present)
        for split in self.problem.splits:
            whole = [chain.present for chain in of[split.whole]]
            for part in split.parts:
                self.cp.add_at_most_one(whole + [chain.present for chain in of[part]])


def _apart(start: cp_model.IntVar, end: cp_model.IntVar) -> Callable[[Values], int]:
    # Of a stage it does not come to, any size will do.
    return lambda values: max(1, values[end.index] - values[start.index])


def _on_work_day(
    x: cp_model.IntVar, day: cp_model.IntVar, work: NDArray[np.bool_]
) -> Callable[[Values], int]:
    return lambda values: values[x.index] * int(work[values[day.index]])


def _beyond(
    present: cp_model.IntVar, out: cp_model.IntVar, wanted: int, sign: int
) -> Callable[[Values], int]:
    return lambda values: (
        max(0, sign * (values[out.index] - wanted)) * values[present.index]
    )
