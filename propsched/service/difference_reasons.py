"""Why a new plan differs from the plan in force, batch by batch, in words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from propsched.domain.plan import Placement, Plan
from propsched.optimise.problem import NEVER, WHY, Route, Stop, Task
from propsched.service.change import Change
from propsched.service.cooler import Cooler
from propsched.service.differences import SOON_D, Difference
from propsched.service.not_noted import entered_as, not_noted, not_planted_out, said
from propsched.service.prepare import Prepared
from propsched.service.reasons import spoken
from propsched.service.way import Way
from propsched.service.written import Written, used

MORE = 0.03
"""Share of the plants from which on more coming through is a reason; judgement."""
MOST_NAMED = 3
"""Batches that are named as standing there instead."""


_SINCE = (
    ("crops.csv", "other figures in crops.csv"),
    ("season.toml", "changes of season.toml"),
    ("history.csv", "other past winters"),
    ("weather.csv", "the weather"),
    ("readings.csv", "the readings"),
)
"""Files that move dates though nothing is done otherwise."""


@dataclass(frozen=True)
class Reasons:
    """All that the reasons are read from."""

    ready: Prepared
    """The season as the new plan has it."""
    out: Written
    before: Plan
    after: Plan
    cooler: Cooler

    @cached_property
    def _routes(self) -> Mapping[str, Route]:
        names = [one.name for one in self.out.raised]
        return {names[route.task]: route for route in self.out.solution.routes}

    def of(self, way: Way, row: Difference) -> str:
        """The nearest cause, as far as it can be told; may be empty."""
        if row.kind == "plant out":
            return not_planted_out(way)
        supposed = _supposed(self.ready.change, way.raised.batch.id)
        if supposed:
            return supposed
        if row.kind in ("given up", "stays"):
            alive = row.kind == "stays"
            last = self._stuck(way) if alive else self._not_placed(way)
            return "; ".join(filter(None, (self._first_missed(way), last)))
        if row.kind == "taken up":
            return self._taken_up(way)
        return self._changed(way) if way.changed else self._outcome(way, row)

    def _outcome(self, way: Way, row: Difference) -> str:
        cooler = "" if row.kind == "earlier" else self._cooler_anywhere(way)
        return cooler or self._begun_otherwise(way) or self._files_since()

    def _files_since(self) -> str:
        """Which files have changed since, where nothing nearer can be told."""
        was, now = self.before.inputs, self.ready.loaded.files.digests
        told = [words for name, words in _SINCE if was.get(name) != now.get(name)]
        since = spoken(self.before.today)
        if not told:
            return f"by the days that have gone by since {since}"
        return f"by {' and '.join(told)} since {since}"

    def _changed(self, way: Way) -> str:
        k = way.changed[0]
        old = way.old.get(k)
        if old is None:
            new = way.new.get(k)
            if new is not None and not new.moved:
                return self._goes_further(way)
            return self._moved_on(way, k)
        return (
            self._out_of_use(old)
            or self._before_it(way, k, old)
            or self._not_noted(way, k, old)
            or self._there(way, k, old)
            or self._taken(way, k, old)
            or self.cooler.over(old)
            or self._begun_otherwise(way)
            or "so that all together do better"
        )

    def _goes_further(self, way: Way) -> str:
        """Why a stage is in its new way that was not in the old."""
        name = way.raised.batch.id
        if any(one.batch == name for one in self.before.standing_over):
            return "in the plan in force it was to stand over"
        return "it goes through other stages than in the plan in force"

    def _first_missed(self, way: Way) -> str:
        """That its next step was to be done before today and is not noted."""
        k = min(way.old)
        return self._not_noted(way, k, way.old[k])

    def _not_noted(self, way: Way, k: int, old: Placement) -> str:
        return not_noted(way, k, old, self.ready.loaded.today)

    def _stuck(self, way: Way) -> str:
        """Why what stands has no way on, as its new plan has it."""
        name = way.raised.batch.id
        at = way.state.space if way.state is not None else ""
        if any(out.space == at for out in self.ready.change.without):
            return f"{at} is out of use, and no other space takes it"
        told = (b.reason for b in self.after.batches if b.batch == name)
        return next(told, "").partition(";")[0]

    def _taken_up(self, way: Way) -> str:
        """Why the plan in force did not have it."""
        name = way.raised.batch.id
        was = [one.reason for one in self.before.not_placed if one.batch == name]
        if not was:
            return "new since the plan in force was made"
        if was[0].startswith("no room"):
            return "there is room for it now"
        return f"the plan in force had left it out: {was[0]}"

    def _begun_otherwise(self, way: Way) -> str:
        """Its stage began on another day than was planned, or fewer are left."""
        state, one = way.state, way.raised
        if state is None:
            return ""
        planned = [
            p
            for p in self.before.placements
            if (p.batch, p.stage) == (one.batch.id, state.stage) and not p.moved
        ]
        event = entered_as(way, state.stage_index)
        if planned and abs((state.since - planned[0].start).days) >= SOON_D:
            return (
                f"{said(event)} on {spoken(state.since)} instead of "
                f"{spoken(planned[0].start)}"
            )
        if state.count is not None and state.count < one.plants(state.stage_index):
            return f"{state.count} are left of {one.plants(state.stage_index)}"
        return ""

    def _not_placed(self, way: Way) -> str:
        found = [
            one.reason
            for one in self.after.not_placed
            if one.batch == way.raised.batch.id
        ]
        return found[0] if found else ""

    def _cooler_anywhere(self, way: Way) -> str:
        """Of what it goes through as planned, the first that is cooler than it was."""
        placed = [p for p in self.after.placements if p.batch == way.raised.batch.id]
        told = (self.cooler.over(p, of_old=self._old_of(p)) for p in placed)
        return next((text for text in told if text), "")

    def _old_of(self, new: Placement) -> Placement | None:
        return next(
            (
                p
                for p in self.before.placements
                if (p.batch, p.stage, p.space) == (new.batch, new.stage, new.space)
            ),
            None,
        )

    def _moved_on(self, way: Way, k: int) -> str:
        """Why it does not stay to the end of its stage where it stands."""
        state = self.ready.states.get(way.raised.batch.id)
        new, task = way.new.get(k), self._task(way)
        if new is None or not new.moved or state is None or task is None:
            return ""
        if any(out.space == state.space for out in self.ready.change.without):
            return f"{state.space} is out of use"
        here = replace(new, space=state.space)
        v, w, day = self._variant(here), self._variant(new), self._day(new)
        table = self.out.problem.stages(task)[k]
        gain = int(table.success[w, day]) - int(table.success[v, day])
        if gain >= MORE * 1e6:
            stays, moves = (int(table.success[x, day]) / 1e4 for x in (v, w))
            cold = self.cooler.over(here)
            return f"more come through: {moves:.0f} instead of {stays:.0f} %" + (
                f"; {cold}" if cold else ""
            )
        sooner = int(table.length[v, day]) - int(table.length[w, day])
        if table.length[v, day] >= NEVER:
            return f"it would not be through in time in {state.space}"
        if sooner > 0:
            return f"it is through {sooner} days sooner there"
        return f"its room in {state.space} is wanted for others"

    def _out_of_use(self, old: Placement) -> str:
        if old.space not in [space.id for space in self.ready.loaded.season.spaces]:
            return f"there is no {old.space} any more"
        for out in self.ready.change.without:
            first = out.first or self.ready.loaded.today
            last = out.last or self.ready.loaded.season.end
            if out.space == old.space and first < old.end and last >= old.start:
                return f"{old.space} is out of use"
        return ""

    def _before_it(self, way: Way, k: int, old: Placement) -> str:
        """The stage before is not through when this one was to begin."""
        route = self._routes.get(way.name) or self._routes.get(way.raised.batch.id)
        if route is None:
            return ""
        before = [stop for stop in route.stops if stop.stage == k - 1]
        if not before:
            return ""
        (stop,) = before
        problem, task = self.out.problem, self.out.problem.tasks[route.task]
        length = _length(problem.stages(task)[stop.stage].length, task, stop)
        done = stop.start + length
        late = self.out.date(done) > max(old.start, self.ready.loaded.today)
        if length >= NEVER or not late:
            return ""
        stage = way.raised.crop.stages[k - 1].stage
        placed = [
            p for p in self.after.placements if (p.batch, p.stage) == (old.batch, stage)
        ]
        why = ""
        if placed:
            why = self.cooler.over(placed[0], of_old=self._old_of(placed[0]))
        said = f"not through before {spoken(self.out.date(done))}"
        return f"{said}; {why}" if why else said

    def _there(self, way: Way, k: int, old: Placement) -> str:
        """What the place that it had would come to now."""
        task, v, day = self._task(way), self._variant(old), self._day(old)
        if task is None or day < self.ready.ground.today_day:
            return ""
        table = self.out.problem.stages(task)[k]
        cold = self.cooler.over(old)
        also = f"; {cold}" if cold else ""
        if table.length[v, day] >= NEVER and table.over_success[v, day] < 0:
            bits = [w for i, w in enumerate(WHY) if table.why[v, day] >> i & 1]
            why = bits[0] if bits else "not through in time"
            return f"{old.space} on {spoken(old.start)}: {why}{also}"
        new = way.new.get(k)
        if new is not None and new.start >= self.ready.loaded.today:
            at = self._variant(new), self._day(new)
            here, there = int(table.success[v, day]), int(table.success[at])
            if there - here >= MORE * 1e6:
                percent = f"{there / 1e4:.0f} instead of {here / 1e4:.0f} %"
                return f"more come through: {percent}{also}"
        longer = day + int(table.length[v, day]) - self._day(old, end=True)
        if table.length[v, day] < NEVER and longer > 0:
            many = f"{longer} {'day' if longer == 1 else 'days'}"
            return f"would take {many} longer in {old.space}{also}"
        return ""

    def _taken(self, way: Way, k: int, old: Placement) -> str:
        """Whether others have its place now, or its hour of work."""
        problem, task = self.out.problem, self._task(way)
        if task is None:
            return ""
        s = problem.space_names.index(old.space)
        free = problem.capacity[s] - self._used[s]
        day, end = self._day(old), self._day(old, end=True)
        for route in self.out.solution.routes:
            if problem.tasks[route.task] is task:
                for stop in route.stops:
                    if problem.space_of[stop.variant] == s:
                        free = free.copy()
                        free[stop.start : stop.end] += task.area[stop.stage]
        short = np.flatnonzero(free[day:end] < task.area[k])
        if not short.size:
            return ""
        first, last = (self.out.date(day + int(i)) for i in (short[0], short[-1]))
        new = self._newcomers(old.space, first, last + timedelta(days=1), old.batch)
        if not new:
            return f"no room left in {old.space} from {spoken(first)}"
        names = ", ".join(new[:MOST_NAMED]) + (" …" if len(new) > MOST_NAMED else "")
        return f"its place in {old.space} is needed for {names}"

    def _newcomers(self, space: str, first: date, end: date, own: str) -> list[str]:
        """Batches there in the new plan that were not there then in the old one."""

        def there(plan: Plan) -> dict[str, None]:
            return {
                p.batch: None
                for p in plan.placements
                if p.space == space and p.start < end and p.end > first
            }

        was = there(self.before)
        return [name for name in there(self.after) if name not in was and name != own]

    @cached_property
    def _used(self) -> NDArray[np.int64]:
        return used(self.out)

    def _task(self, way: Way) -> Task | None:
        for task in self.out.problem.tasks:
            if task.name in (way.name, way.raised.batch.id):
                return task
        return None

    def _variant(self, placement: Placement) -> int:
        rows = self.ready.ground.variants_of(placement.space)
        zone = self.ready.ground.zone
        same = [v for v in rows if zone.variants[v].name == placement.variant]
        return (same or list(rows))[0]

    def _day(self, placement: Placement, *, end: bool = False) -> int:
        day = self.ready.loaded.season.horizon.day(
            placement.end if end else placement.start
        )
        return min(max(day, 0), self.out.problem.days - (0 if end else 1))


def _length(table: NDArray[np.int16], task: Task, stop: Stop) -> int:
    for pin in task.pins:
        if pin.stage == stop.stage and pin.start == stop.start and pin.length:
            return pin.length
    return int(table[stop.variant, stop.start])


def _supposed(change: Change, batch: str) -> str:
    for late in change.late:
        if late.batch == batch:
            return f"not to be had before {spoken(late.first)}"
    for lost in change.lost:
        if lost.batch == batch:
            return "lost" if lost.count is None else f"{lost.count} of them lost"
    return ""
