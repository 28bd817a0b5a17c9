"""
A rival from the tables alone: a time-indexed mixed-integer programme in HiGHS.

Each stay (stage, variant, start, end) is a yes/no column; flow leads from a stay to
the next through (stage, space left, variant entered, day).
"""

from collections import defaultdict
from dataclasses import dataclass, field

import highspy
import numpy as np
from optimise.leaving import dated, ends

from propsched.optimise.problem import Problem, Task, loss, over_loss


@dataclass
class Rows:
    """A programme put together by columns; rows are named by any key."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    limits: dict[object, tuple[int, float, float]] = field(default_factory=dict)

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
    first_s: float | None = None


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
    """A column for one stay, with the area and minutes it takes."""
    task = problem.tasks[b]
    x = rows.column(value, whole=True)
    space = int(problem.space_of[v])
    for day in range(d, e):
        limit = max(0.0, float(problem.capacity[space, day]))
        row = rows.row(("area", space, day), -np.inf, limit)
        rows.entries.append((row, x, float(task.area[k])))
    if problem.work[d] and not task.begun(k):
        row = rows.row(("work", d), -np.inf, float(problem.minutes[d]))
        rows.entries.append((row, x, float(task.minutes[k])))
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
            if over and share >= 0:
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
    for b in range(len(problem.tasks)):
        for over in (False, True):
            if not over or any(
                (table.over_success >= 0).any()
                for table in problem.stages(problem.tasks[b])
            ):
                _task_columns(problem, rows, b, over=over)
    if not rows.cost:
        must = any(task.must for task in problem.tasks)
        return Answer(None if must else float(problem.constant), 0.0, "empty")
    model = _highs(rows)
    model.setOptionValue("mip_rel_gap", gap)
    model.setOptionValue("mip_abs_gap", 1e-6 if gap == 0.0 else 0.0)
    model.setOptionValue("time_limit", time_limit_s)
    model.setOptionValue("threads", threads)
    model.run()
    status = model.modelStatusToString(model.getModelStatus())
    info = model.getInfo()
    if info.primal_solution_status != 2:
        return Answer(None, float(info.mip_dual_bound), status)
    return Answer(
        float(info.objective_function_value) + problem.constant,
        float(info.mip_dual_bound) + problem.constant,
        status,
    )


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
