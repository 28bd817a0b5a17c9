"""
A rival from the tables alone: a time-indexed mixed-integer programme in HiGHS.

Each stay (stage, variant, start, end) is a yes/no column; flow leads from a stay to
the next through (stage, space left, variant entered, day).  Each mode of a period is
a yes/no column as well; a stay in a mode is at most it, and so is the area in it.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

import highspy
import numpy as np
from numpy.typing import NDArray
from optimise.leaving import dated, ends, modes_for

from propsched.optimise.problem import (
    Problem,
    Route,
    Stop,
    Task,
    kept_worth,
    loss,
    over_loss,
)


@dataclass
class Rows:
    """A programme put together by columns; rows are named by any key."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    limits: dict[object, tuple[int, float, float]] = field(default_factory=dict)
    stays: dict[int, tuple[int, Stop]] = field(default_factory=dict)
    """Task and stop of the columns that are stays."""
    modes: dict[tuple[int, int], int] = field(default_factory=dict)
    """Column of each mode of each period."""

    def row(self, key: object, low: float, high: float) -> int:
        if key not in self.limits:
            self.limits[key] = (len(self.limits), low, high)
        return self.limits[key][0]

    def column(self, cost: float, *, whole: bool) -> int:
        self.cost.append(cost)
        self.upper.append(1.0)
        self.whole.append(whole)
        return len(self.cost) - 1


@dataclass(frozen=True)
class Answer:
    """What the programme came to."""

    worth: float | None
    """None: nothing found."""
    bound: float
    status: str
    routes: tuple[Route, ...] = ()
    modes: tuple[int, ...] = ()
    """Of each period the mode chosen."""


def _mode_columns(problem: Problem, rows: Rows) -> None:
    """One mode of each period, the area it allows, and the manure there is."""
    for p, period in enumerate(problem.periods):
        one = rows.row(("one mode", p), 1.0, 1.0)
        for m, mode in enumerate(period.modes):
            y = rows.modes[p, m] = rows.column(-float(mode.cost), whole=True)
            rows.entries.append((one, y, 1.0))
            for day in range(max(0, period.first), min(problem.days, period.end)):
                room = max(0.0, float(problem.capacity[period.space, day]))
                row = rows.row(("mode area", p, m, day), -np.inf, 0.0)
                rows.entries.append((row, y, -room))
            if problem.manure is not None:
                row = rows.row("manure", -np.inf, float(problem.manure))
                rows.entries.append((row, y, float(mode.manure)))


def _let_in(rows: Rows, p: int, m: int, b: int, k: int) -> int:
    """The row by which a stage is only in a mode that is chosen."""
    key = ("let in", p, m, b, k)
    if key not in rows.limits:
        rows.entries.append((rows.row(key, -np.inf, 0.0), rows.modes[p, m], -1.0))
    return rows.limits[key][0]


def _ties(problem: Problem, rows: Rows) -> None:
    """Order of linked sowings; whole or parts."""
    starts: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for x, (b, stop) in rows.stays.items():
        if stop.stage == problem.tasks[b].first_stage:
            starts[b].append((stop.start, x))
    for i, link in enumerate(problem.links):
        later = _started(problem, rows, ("later", i), starts[link.later])
        earlier = _started(problem, rows, ("earlier", i), starts[link.earlier])
        for day in range(problem.days):
            # Started by then, and the other one not so long before.
            row = rows.row(("link", i, day), -np.inf, 1.0)
            rows.entries += [(row, later[day], 1.0), (row, earlier[-1], 1.0)]
            before = min(day - link.days, problem.days - 1)
            if before >= 0:
                rows.entries.append((row, earlier[before], -1.0))
    for i, split in enumerate(problem.splits):
        for part in split.parts:
            row = rows.row(("split", i, part), -np.inf, 1.0)
            rows.entries += [(row, x, 1.0) for _, x in starts[split.whole]]
            rows.entries += [(row, x, 1.0) for _, x in starts[part]]


def _started(
    problem: Problem, rows: Rows, key: tuple[str, int], starts: list[tuple[int, int]]
) -> list[int]:
    """Columns that tell whether a task has started by a day."""
    by_day = []
    for day in range(problem.days):
        z = rows.column(0.0, whole=False)
        row = rows.row((key, day), 0.0, 0.0)
        rows.entries.append((row, z, 1.0))
        rows.entries += [(row, x, -1.0) for start, x in starts if start == day]
        if by_day:
            rows.entries.append((row, by_day[-1], -1.0))
        by_day.append(z)
    return by_day


def _starts(problem: Problem, task: Task, stage: int) -> list[tuple[int, int]]:
    """Variant and day of every start the pins and the season allow."""
    pins = [pin for pin in task.pins if pin.stage == stage]
    fixed = [pin.start for pin in pins if pin.start is not None]
    found = []
    for v in range(problem.space_of.size):
        if any(pin.variants and v not in pin.variants for pin in pins):
            continue
        for d in range(problem.days):
            if any(start != d for start in fixed):
                continue
            if (
                stage == task.first_stage
                and not fixed
                and not (task.earliest <= d <= task.latest and problem.work[d])
            ):
                continue
            found.append((v, d))
    return found


def _stay(
    problem: Problem, rows: Rows, b: int, k: int, v: int, d: int, e: int, value: float
) -> int:
    """A column for one stay, with the area, minutes and modes it takes."""
    task = problem.tasks[b]
    variant, start = np.array(v), np.array(d)
    kept = int(kept_worth(problem, task, k, variant, start))
    x = rows.column(value + kept, whole=True)
    rows.stays[x] = (b, Stop(k, v, d, e))
    space = int(problem.space_of[v])
    for day in range(d, e):
        limit = max(0.0, float(problem.capacity[space, day]))
        row = rows.row(("area", space, day), -np.inf, limit)
        rows.entries.append((row, x, float(task.area[k])))
    if problem.work[d] and not task.begun(k):
        row = rows.row(("work", d), -np.inf, float(problem.minutes[d]))
        rows.entries.append((row, x, float(task.minutes[k])))
    for p, m in modes_for(problem, v, d, e) or ():
        rows.entries.append((_let_in(rows, p, m, b, k), x, 1.0))
        period = problem.periods[p]
        for day in range(max(d, period.first), min(e, period.end)):
            row = rows.limits["mode area", p, m, day][0]
            rows.entries.append((row, x, float(task.area[k])))
    return x


def _task_columns(problem: Problem, rows: Rows, b: int, *, over: bool) -> None:
    task = problem.tasks[b]
    tables = problem.stages(task)
    last = len(tables) - 1
    weigh = over_loss if over else loss
    one = rows.row(("one", b), 1.0 if task.must else 0.0, 1.0)
    into: dict[tuple[int, int, int], list[int]] = defaultdict(list)
    out: dict[tuple[int, int, int], list[int]] = defaultdict(list)
    for k in range(task.first_stage, len(tables)):
        for v, d in _starts(problem, task, k):
            mine = []
            share = tables[k].over_success[v, d]
            if (
                over
                and share >= 0
                and modes_for(problem, v, d, problem.days) is not None
            ):
                value = task.over_weight - int(weigh(task, k, share))
                mine.append(_stay(problem, rows, b, k, v, d, problem.days, value))
            for e in ends(problem, task, k, v, d):
                value = -int(weigh(task, k, tables[k].success[v, d]))
                if k == last:
                    if over or e < task.gate:
                        continue
                    value += task.weight - dated(task, e)
                x = _stay(problem, rows, b, k, v, d, e, value)
                mine.append(x)
                if k < last:
                    out[k, int(problem.space_of[v]), e].append(x)
                elif problem.work[e]:
                    row = rows.row(("work", e), -np.inf, float(problem.minutes[e]))
                    rows.entries.append((row, x, float(task.minutes[k + 1])))
            into[k, v, d] = mine
            if k == task.first_stage:
                rows.entries += [(one, x, 1.0) for x in mine]
    _flow(problem, rows, (b, over), task, into, out)


def _flow(
    problem: Problem,
    rows: Rows,
    chain: tuple[int, bool],
    task: Task,
    into: dict[tuple[int, int, int], list[int]],
    out: dict[tuple[int, int, int], list[int]],
) -> None:
    for (k, v, d), stays in into.items():
        if k == task.first_stage:
            continue
        row = rows.row(("in", chain, k, v, d), 0.0, 0.0)
        rows.entries += [(row, x, 1.0) for x in stays]
        for s in range(problem.capacity.shape[0]):
            if (k - 1, s, d) not in out:
                continue
            moved = s != int(problem.space_of[v])
            y = rows.column(-problem.move_cost if moved else 0.0, whole=False)
            rows.entries.append((row, y, -1.0))
            left = rows.row(("out", chain, k - 1, s, d), 0.0, 0.0)
            rows.entries.append((left, y, -1.0))
    for (k, s, e), stays in out.items():
        left = rows.row(("out", chain, k, s, e), 0.0, 0.0)
        rows.entries += [(left, x, 1.0) for x in stays]


def solve_mip(
    problem: Problem, time_limit_s: float = 60.0, gap: float = 0.0, threads: int = 1
) -> Answer:
    """The best plan by HiGHS."""
    rows = Rows()
    _mode_columns(problem, rows)
    for b in range(len(problem.tasks)):
        for over in (False, True):
            if not over or any(
                (table.over_success >= 0).any()
                for table in problem.stages(problem.tasks[b])
            ):
                _task_columns(problem, rows, b, over=over)
    _ties(problem, rows)
    if not rows.cost:
        must = any(task.must for task in problem.tasks)
        return Answer(None if must else float(problem.constant), 0.0, "empty")
    model = _highs(rows)
    model.setOptionValue("mip_rel_gap", gap)
    model.setOptionValue("mip_abs_gap", 1e-6 if gap == 0.0 else 0.0)
    model.setOptionValue("time_limit", time_limit_s)
    model.setOptionValue("threads", threads)
    # The crew of whoever solved before in this process may be of another size.
    highspy.Highs.resetGlobalScheduler(True)
    model.run()
    status = model.modelStatusToString(model.getModelStatus())
    info = model.getInfo()
    if info.primal_solution_status != 2:
        return Answer(None, float(info.mip_dual_bound), status)
    chosen = np.array(model.getSolution().col_value) > 0.5
    return Answer(
        float(info.objective_function_value) + problem.constant,
        float(info.mip_dual_bound) + problem.constant,
        status,
        _routes(problem, rows, chosen),
        tuple(m for (_, m), y in rows.modes.items() if chosen[y]),
    )


def _routes(
    problem: Problem, rows: Rows, chosen: NDArray[np.bool_]
) -> tuple[Route, ...]:
    """The stays chosen, put together by task."""
    by_task: dict[int, list[tuple[Stop, float]]] = defaultdict(list)
    for x, (b, stop) in rows.stays.items():
        if chosen[x]:
            by_task[b].append((stop, rows.cost[x]))
    routes = []
    for b, found in sorted(by_task.items()):
        found.sort(key=lambda item: item[0].stage)
        stops = tuple(stop for stop, _ in found)
        spaces = [int(problem.space_of[stop.variant]) for stop in stops]
        moves = sum(one != other for one, other in pairwise(spaces))
        value = round(sum(cost for _, cost in found)) - problem.move_cost * moves
        routes.append(Route(b, stops, stops[-1].end == problem.days, value))
    return tuple(routes)


def _highs(rows: Rows) -> highspy.Highs:
    entries = np.array(rows.entries)
    order = np.lexsort((entries[:, 0], entries[:, 1]))
    entries = entries[order]
    counts = np.bincount(entries[:, 1].astype(int), minlength=len(rows.cost))
    lp = highspy.HighsLp()
    lp.num_col_ = len(rows.cost)
    lp.num_row_ = len(rows.limits)
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = np.array(rows.cost, dtype=np.float64)
    lp.col_lower_ = np.zeros(lp.num_col_)
    lp.col_upper_ = np.array(rows.upper)
    lp.row_lower_ = np.array([low for _, low, _ in rows.limits.values()])
    lp.row_upper_ = np.array([high for _, _, high in rows.limits.values()])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
    lp.a_matrix_.index_ = entries[:, 0].astype(np.int32)
    lp.a_matrix_.value_ = entries[:, 2]
    kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
    lp.integrality_ = [kinds[int(whole)] for whole in rows.whole]
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.passModel(lp)
    return model
