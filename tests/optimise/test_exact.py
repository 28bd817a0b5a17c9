"""On seasons small enough to try everything, the planner's optimum is the optimum."""

import pytest
from optimise.exhaustive import best_worth
from optimise.mip import solve_mip
from optimise.small_seasons import LIMITS, lifted, small_season

from propsched.optimise.check import check
from propsched.optimise.problem import Problem
from propsched.optimise.solve import MustConflictError, solve

SEASONS = 240
BOUND_SEASONS = 80
"""Seasons in which every limit is lifted in turn."""


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
@pytest.mark.parametrize("block", range(8))
def test_planner_enumeration_and_mip_agree(block: int) -> None:
    """Same worth from trying everything, from HiGHS and from the planner."""
    feasible = 0
    for seed in range(block * SEASONS // 8, (block + 1) * SEASONS // 8):
        problem = small_season(seed)
        expected = best_worth(problem)
        assert _planned(problem) == expected, seed
        rival = solve_mip(problem).worth
        if expected is None:
            assert rival is None, seed
        else:
            feasible += 1
            assert rival == pytest.approx(expected, abs=1e-3), seed
    assert feasible >= 10


@pytest.mark.slow
def test_every_kind_of_limit_matters() -> None:
    """Lifting any one kind of limit changes the optimum of one season in ten."""
    changed = dict.fromkeys(LIMITS, 0)
    for seed in range(BOUND_SEASONS):
        problem = small_season(seed)
        worth = _planned(problem)
        for limit in LIMITS:
            changed[limit] += _planned(lifted(problem, limit)) != worth
    rare = {k: n for k, n in changed.items() if n < 0.1 * BOUND_SEASONS}
    assert not rare, changed
