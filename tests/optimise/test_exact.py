"""On seasons small enough to try everything, the planner's optimum is the optimum."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice

import numpy as np
import pytest
from optimise.exhaustive import TooManyWaysError, best_worth, ways
from optimise.lifted import LIFTED, NEVER_WORSE, TAKEN, WITHOUT
from optimise.mip import Answer, solve_mip
from optimise.small_seasons import small_season

from propsched.optimise.check import check
from propsched.optimise.check_bound import price_bound
from propsched.optimise.problem import Problem
from propsched.optimise.solution import Solution
from propsched.optimise.solve import MustConflictError, solve

FEASIBLE = 150
"""Seasons with a plan in which every kind of limit must be felt."""
AGREED = 504
"""Seasons with a plan on which the three must agree."""
BLOCKS = 12
APART = 10_000
"""Between the seeds of two blocks."""
MOST_WAYS = 400
"""Of all tasks of a season; those with more take too long."""


def _tried(start: int) -> Iterator[tuple[int, Problem, int | None]]:
    """Seeds, seasons and what trying everything came to, from a seed on."""
    for seed in range(start, start + APART):
        problem = small_season(seed)
        tasks = range(len(problem.tasks))
        if sum(len(ways(problem, b)) for b in tasks) > MOST_WAYS:
            continue
        try:
            yield seed, problem, best_worth(problem)
        except TooManyWaysError:
            continue


@cache
def _feasible() -> tuple[tuple[Problem, int], ...]:
    """Seasons with a plan, and the worth of their best one."""
    found = ((p, worth) for _, p, worth in _tried(0) if worth is not None)
    return tuple(islice(found, FEASIBLE))


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


def _faults(problem: Problem, answer: Answer, worth: int) -> tuple[str, ...]:
    """What the checker finds in a plan of HiGHS, with no prices at all."""
    plan = Solution(
        routes=answer.routes,
        worth=worth,
        bound=worth,
        status="optimal",
        area_price=np.zeros(problem.capacity.shape),
        minute_price=np.zeros(problem.days),
        modes=answer.modes,
        proof="every route",
    )
    proven = price_bound(problem, plan)
    assert isinstance(proven, int)
    status = "optimal" if proven == worth else "time limit"
    plain = replace(plan, bound=proven, status=status, proof="prices")
    return check(problem, plan) + check(problem, plain)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(BLOCKS))
def test_planner_enumeration_and_mip_agree(block: int) -> None:
    """Same whole worth from trying everything, from HiGHS and from the planner."""
    feasible = 0
    for seed, problem, expected in _tried(block * APART):
        assert _planned(problem) == expected, seed
        rival = solve_mip(problem, gap=0.0)
        if expected is None:
            assert rival.worth is None, seed
            continue
        assert rival.worth is not None, seed
        # Its worth is a sum of floats, each a whole number.
        assert rival.worth == pytest.approx(expected, abs=1e-3), seed
        assert _faults(problem, rival, expected) == (), seed
        feasible += 1
        if feasible == AGREED // BLOCKS:
            return
    pytest.fail("too few seasons have a plan")


def _worth(problem: Problem) -> int | None:
    """Of the best plan; None too where there are too many to try."""
    try:
        return best_worth(problem)
    except TooManyWaysError:
        return None


@pytest.mark.slow
@pytest.mark.parametrize("kind", LIFTED)
def test_every_kind_of_limit_matters(kind: str) -> None:
    """Without it one season in ten has a better plan; none loses its plan."""
    better = tried = 0
    for problem, as_it_is in _feasible():
        worth: int | None = as_it_is
        if kind in WITHOUT:
            worth = _worth(WITHOUT[kind](problem))
        lifted = _worth(LIFTED[kind](problem))
        if worth is None or lifted is None:
            continue
        tried += 1
        better += lifted > worth
        if kind in NEVER_WORSE:
            assert lifted >= worth
    assert better >= 0.1 * FEASIBLE
    assert kind not in NEVER_WORSE or tried >= 0.95 * FEASIBLE


@pytest.mark.slow
@pytest.mark.parametrize("kind", TAKEN)
def test_every_kind_of_freedom_matters(kind: str) -> None:
    """Without it one season in ten has only a worse plan; none has a better one."""
    worse = 0
    for problem, worth in _feasible():
        less = _worth(TAKEN[kind](problem))
        worse += less is not None and less < worth
        assert less is None or less <= worth
    assert worse >= 0.1 * FEASIBLE


@pytest.mark.slow
def test_the_seasons_hold_what_is_hard() -> None:
    """One in ten of each; a few where beds share what manure there is."""
    late = losing = several = beds = forced = 0
    for problem, _ in _feasible():
        tasks = problem.tasks
        late += any(t.under_way and (t.pins[0].start or 0) > 0 for t in tasks)
        losing += any(
            t.must and ways(problem, b)[0].worth < 0 for b, t in enumerate(tasks)
        )
        several += problem.space_of.size > problem.capacity.shape[0]
        eager = [p for p in problem.periods if any(m.manure for m in p.modes)]
        beds += len(eager) > 1 and problem.manure is not None
        forced += any(
            t.must and all(way.needs for way in ways(problem, b))
            for b, t in enumerate(tasks)
        )
    told = (late, losing, several, beds, forced)
    assert min(late, losing, several, forced) >= 0.1 * FEASIBLE, told
    assert beds >= 0.03 * FEASIBLE, told
