"""A rival must be right to count: each tells every kind of limit as it is."""

import numpy as np
import pytest
from benchmarks.indexed import solve_indexed, values_of
from benchmarks.indexed_model import Indexed
from benchmarks.methods import rival_faults
from benchmarks.single import Single
from benchmarks.single_solve import hint, solve_single
from benchmarks.valued import Plan
from optimise.exhaustive import TooManyWaysError, best_worth
from optimise.small_seasons import small_season
from ortools.sat.python import cp_model

from propsched.optimise.problem import Problem

SEASONS = 12


def _seasons() -> list[tuple[int, Problem, int | None]]:
    found = []
    for seed in range(SEASONS):
        problem = small_season(seed)
        try:
            found.append((seed, problem, best_worth(problem)))
        except TooManyWaysError:
            continue
    return found


def _agrees(problem: Problem, plan: Plan | None, best: int | None) -> bool:
    if plan is None or best is None:
        return plan is None and best is None
    return plan.worth(problem) == best and not rival_faults(problem, plan)


@pytest.mark.parametrize("solve", [solve_single, solve_indexed])
def test_small_seasons_are_solved_to_the_best_plan(solve) -> None:  # type: ignore[no-untyped-def]
    """By trying everything no plan is worth more, and the checker finds no fault."""
    for seed, problem, best in _seasons():
        answer = solve(problem, time_limit_s=20.0, gap=0.0, threads=1)
        assert _agrees(problem, answer.plan, best), seed


def _lesser() -> tuple[Problem, Plan]:
    """The best plan less one of its batches: none would choose it by itself."""
    for _, problem, best in _seasons():
        plan = solve_single(problem, time_limit_s=20.0, gap=0.0, threads=1).plan
        for route in plan.routes if plan is not None else ():
            if best is not None and not problem.tasks[route.task].must:
                assert plan is not None
                rest = tuple(one for one in plan.routes if one is not route)
                return problem, Plan(rest, plan.modes)
    raise AssertionError


def test_the_single_model_is_told_a_plan_whole() -> None:
    """With every variable at its hint the model is worth what the plan is."""
    problem, plan = _lesser()
    single = Single(problem)
    hint(single, plan)
    hinted = single.cp.proto.solution_hint.vars
    assert sorted(hinted) == list(range(len(single.cp.proto.variables)))
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    assert solver.solve(single.cp) == cp_model.OPTIMAL
    assert round(solver.objective_value) == plan.worth(problem)


def test_the_programme_is_told_a_plan_whole() -> None:
    """It keeps every row and column's limits, and is worth what the plan is."""
    problem, plan = _lesser()
    rows = (programme := Indexed(problem)).rows
    values = values_of(programme, plan)
    told = [np.concatenate(part) for part in zip(*rows.entries, strict=True)]
    sums = np.bincount(told[0], told[2] * values[told[1]], minlength=rows.height)
    assert (sums >= np.concatenate(rows.lows) - 1e-9).all()
    assert (sums <= np.concatenate(rows.highs) + 1e-9).all()
    assert (values <= np.concatenate(rows.uppers)).all()
    worth = values @ np.concatenate(rows.costs) + problem.constant
    assert worth == pytest.approx(plan.worth(problem), abs=1e-3)
