"""CP-SAT picks at most one route a task from a pool, and how spaces are run."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from propsched.optimise.grid import Grid
from propsched.optimise.modes import NO_LIMIT
from propsched.optimise.problem import Problem, Route
from propsched.optimise.stays import Use, stay_table, use_of, work_table


@dataclass(frozen=True, slots=True)
class Chosen:
    """What CP-SAT found."""

    routes: tuple[Route, ...] | None
    """None: nothing found."""
    bound: int | None
    """No choice from this pool is worth more; None: not known."""
    impossible: bool
    """No choice places every must task."""
    spent_s: float = 0.0
    """Deterministic time that it took."""


@contextmanager
def stopped_by(
    solver: cp_model.CpSolver, cancel: threading.Event, poll_s: float = 0.05
) -> Iterator[None]:
    """Stop ``solver`` soon after ``cancel`` is set, even if set before it began."""
    finished = threading.Event()

    def watch() -> None:
        # A stop asked for before the solve has begun is lost, so ask until done.
        while not finished.wait(poll_s):
            if cancel.is_set():
                solver.stop_search()

    watcher = threading.Thread(target=watch, name="cp-sat-stop", daemon=True)
    watcher.start()
    try:
        yield
    finally:
        finished.set()
        watcher.join()


def choose(
    problem: Problem,
    grid: Grid,
    routes: list[Route],
    hint: dict[int, Route],
    *,
    seed: int,
    workers: int,
    limit_s: float,
    reproducible: bool,
    cancel: threading.Event,
) -> Chosen:
    """
    The best choice from ``routes``.

    Parameters
    ----------
    hint : dict
        A plan to start from, by task.
    limit_s : float
        Wall time, or deterministic time where ``reproducible``.
    """
    uses = [use_of(problem, grid, route) for route in routes]
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in routes]
    _one_each(problem, model, routes, taken)
    _area(grid, model, uses, taken, [route.task for route in routes])
    _work(grid, model, uses, taken)
    run = run_spaces(grid, model, uses, taken, [route.task for route in routes])
    _order(problem, model, routes, taken)
    model.maximize(
        cp_model.LinearExpr.weighted_sum(
            [*taken, *run],
            [route.value for route in routes] + (-grid.modes.extra).tolist(),
        )
    )
    kept = {(r.task, r.over, r.stops) for r in hint.values()}
    for var, route in zip(taken, routes, strict=True):
        model.add_hint(var, (route.task, route.over, route.stops) in kept)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.catch_sigint_signal = False  # whoever asked for the plan stops it
    parameters.num_workers = 1 if reproducible else workers
    parameters.random_seed = seed
    if reproducible:
        parameters.max_deterministic_time = limit_s
    else:
        parameters.max_time_in_seconds = limit_s
    if len(routes) < 200:
        # Small models are over before several workers have started.
        parameters.num_workers = 1
    with stopped_by(solver, cancel):
        status = solver.solve(model)
    spent_s = solver.deterministic_time
    match status:
        case cp_model.OPTIMAL | cp_model.FEASIBLE:
            chosen = tuple(
                route
                for var, route in zip(taken, routes, strict=True)
                if solver.boolean_value(var)
            )
            bound = int(np.floor(solver.best_objective_bound + 1e-6))
            return Chosen(chosen, bound, False, spent_s)
        case cp_model.INFEASIBLE:
            return Chosen(None, None, True, spent_s)
        case cp_model.UNKNOWN:
            return Chosen(None, None, False, spent_s)
        case _:
            raise RuntimeError(f"model refused: {model.validate()}")


def _one_each(
    problem: Problem,
    model: cp_model.CpModel,
    routes: list[Route],
    taken: list[cp_model.IntVar],
) -> None:
    by_task: dict[int, list[cp_model.IntVar]] = {
        b: [] for b, task in enumerate(problem.tasks) if task.must
    }
    for route, var in zip(routes, taken, strict=True):
        by_task.setdefault(route.task, []).append(var)
    for split in problem.splits:
        # Beside the whole there are no parts.
        whole = by_task.pop(split.whole, [])
        for part in split.parts:
            by_task[part] = by_task.get(part, []) + whole
    for b, mine in by_task.items():
        if problem.tasks[b].must:
            model.add_exactly_one(mine)
        else:
            model.add_at_most_one(mine)


def _area(
    grid: Grid,
    model: cp_model.CpModel,
    uses: list[Use],
    taken: list[cp_model.IntVar],
    task_of: list[int],
) -> None:
    """Rows for the blocks in which what stands can change, where they can bind."""
    table = stay_table(uses)
    for space in range(grid.area.shape[0]):
        mine = table[table[:, 1] == space]
        # Between two arrivals plants only leave: the fullest block is an arrival,
        # or one in which the space has got smaller.
        shrinks = np.flatnonzero(np.diff(grid.area[space]) < 0) + 1
        for j in np.union1d(np.unique(mine[:, 2]), shrinks):
            inside = mine[(mine[:, 2] <= j) & (j < mine[:, 3])]
            most: dict[int, int] = {}
            for row in inside:
                b = task_of[row[0]]
                most[b] = max(most.get(b, 0), int(row[4]))
            if sum(most.values()) <= grid.area[space, j]:
                continue
            model.add(
                cp_model.LinearExpr.weighted_sum(
                    [taken[i] for i in inside[:, 0]], [int(a) for a in inside[:, 4]]
                )
                <= int(grid.area[space, j])
            )


def _work(
    grid: Grid, model: cp_model.CpModel, uses: list[Use], taken: list[cp_model.IntVar]
) -> None:
    table = work_table(uses)
    for j in np.unique(table[:, 1]):
        if grid.minutes[j] >= NO_LIMIT:
            continue
        mine = table[table[:, 1] == j]
        if mine[:, 2].sum() > grid.minutes[j]:
            model.add(
                cp_model.LinearExpr.weighted_sum(
                    [taken[i] for i in mine[:, 0]], [int(m) for m in mine[:, 2]]
                )
                <= int(grid.minutes[j])
            )


def run_spaces(
    grid: Grid,
    model: cp_model.CpModel,
    uses: list[Use],
    taken: list[cp_model.IntVar],
    task_of: list[int],
) -> list[cp_model.IntVar]:
    """How spaces are run: a yes or no for each mode, and what needs it."""
    modes = grid.modes
    run = [model.new_bool_var("") for _ in modes.period]
    for period in range(modes.usual.size):
        model.add_exactly_one([run[m] for m in np.flatnonzero(modes.period == period)])
    if modes.limit < NO_LIMIT and run:
        manure = cp_model.LinearExpr.weighted_sum(run, modes.manure.tolist())
        model.add(manure <= modes.limit)
    needs: dict[tuple[int, int], list[cp_model.IntVar]] = {}
    for task, use, var in zip(task_of, uses, taken, strict=True):
        for m in use.modes:
            needs.setdefault((task, m), []).append(var)
    for (_, m), mine in needs.items():
        model.add(cp_model.LinearExpr.sum(mine) <= run[m])
    return run


def _order(
    problem: Problem,
    model: cp_model.CpModel,
    routes: list[Route],
    taken: list[cp_model.IntVar],
) -> None:
    """By each day the later of a link has started, or the earlier may start after."""
    starts: dict[int, list[tuple[int, cp_model.IntVar]]] = {}
    for route, var in zip(routes, taken, strict=True):
        starts.setdefault(route.task, []).append((route.stops[0].start, var))
    for link in problem.links:
        first, second = starts.get(link.earlier, []), starts.get(link.later, [])
        for day in sorted({start for start, _ in second}):
            begun = [var for start, var in second if start <= day]
            after = [var for start, var in first if start > day - link.days]
            if after:
                model.add_at_most_one([*begun, *after])
