"""On seasons small enough to try everything, the planner's optimum is the optimum."""

from collections.abc import Iterator
from functools import cache
from itertools import islice

import pytest
from optimise.exhaustive import best_worth, ways
from optimise.lifted import LIFTED, NEVER_WORSE, TAKEN
from optimise.mip import solve_mip
from optimise.small_seasons import small_season

from propsched.optimise.check import check
from propsched.optimise.problem import Problem
from propsched.optimise.solve import MustConflictError, solve

FEASIBLE = 200
"""Seasons with a plan in which every kind of limit must be felt."""
AGREED = 240
"""Seasons with a plan on which the three must agree."""
BLOCKS = 8
APART = 10_000
"""Between the seeds of two blocks."""


@cache
def _feasible() -> tuple[tuple[Problem, int], ...]:
    """Seasons with a plan, and the worth of their best one."""

    def found() -> Iterator[tuple[Problem, int]]:
        for seed in range(10 * FEASIBLE):
            problem = small_season(seed)
            worth = best_worth(problem)
            if worth is not None:
                yield problem, worth

    return tuple(islice(found(), FEASIBLE))


def _planned(problem: Problem) -> int | None:
    """Worth of the planner's optimum; None if it has proven that there is none."""
    try:
        solution = solve(problem, gap=0.0, time_limit_s=20.0)
    except MustConflictError as conflict:
        if not conflict.clash.proven:
            raise
        return None
    assert check(problem, solution) == ()
    assert solution.status == "optimal"
    return solution.worth


@pytest.mark.slow
@pytest.mark.parametrize("block", range(BLOCKS))
def test_planner_enumeration_and_mip_agree(block: int) -> None:
    """Same whole worth from trying everything, from HiGHS and from the planner."""
    feasible, seed = 0, block * APART
    while feasible < AGREED // BLOCKS:
        problem = small_season(seed)
        expected = best_worth(problem)
        assert _planned(problem) == expected, seed
        rival = solve_mip(problem, gap=0.0).worth
        if expected is None:
            assert rival is None, seed
        else:
            feasible += 1
            assert rival is not None, seed
            # Its worth is a sum of floats, each a whole number.
            assert rival == pytest.approx(expected, abs=1e-3), seed
        seed += 1
        assert seed < block * APART + AGREED, "too few seasons have a plan"


@pytest.mark.slow
@pytest.mark.parametrize("kind", LIFTED)
def test_every_kind_of_limit_matters(kind: str) -> None:
    """Without it one season in ten has a better plan; none loses its plan."""
    better = 0
    for problem, worth in _feasible():
        lifted = best_worth(LIFTED[kind](problem))
        better += lifted is not None and lifted > worth
        if kind in NEVER_WORSE:
            assert lifted is not None
            assert lifted >= worth
    assert better >= 0.1 * FEASIBLE


@pytest.mark.slow
@pytest.mark.parametrize("kind", TAKEN)
def test_every_kind_of_freedom_matters(kind: str) -> None:
    """Without it one season in ten has only a worse plan; none has a better one."""
    worse = 0
    for problem, worth in _feasible():
        less = best_worth(TAKEN[kind](problem))
        worse += less is not None and less < worth
        assert less is None or less <= worth
    assert worse >= 0.1 * FEASIBLE


@pytest.mark.slow
def test_the_seasons_hold_what_is_hard() -> None:
    """Under way since later than day 0; must tasks that can only lose."""
    late = losing = several = 0
    for problem, _ in _feasible():
        tasks = problem.tasks
        late += any(t.under_way and (t.pins[0].start or 0) > 0 for t in tasks)
        losing += any(
            t.must and ways(problem, b)[0].worth < 0 for b, t in enumerate(tasks)
        )
        several += problem.space_of.size > problem.capacity.shape[0]
    assert min(late, losing, several) >= 0.1 * FEASIBLE, (late, losing, several)
