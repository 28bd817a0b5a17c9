"""
A snap on invented seasons of 60 batches and 8 spaces: what five seconds prove.

    cd tests && python -m benchmarks.snap_tables [--seeds 3] [--seconds 5]

Each season is planned for 20 s.  Then its spaces are 8 K colder from day 72 to 77, and
it is planned again for five seconds, near that plan (each placement that differs costs
a tenth of a priority point) and from nothing.
"""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import numpy as np
from benchmarks import seasons
from numpy.typing import NDArray

from propsched.optimise.check import check
from propsched.optimise.problem import WORTH_SCALE, Kept, Problem, Route
from propsched.optimise.solution import Solution
from propsched.optimise.solve import solve

FIRST, DAYS, DROP_K = 72, 6, 8.0
WORTH, APART_D = WORTH_SCALE // 10, 14


@contextmanager
def snap() -> Iterator[None]:
    """Seasons invented meanwhile are colder for some days."""
    plain = seasons._warmth

    def colder(rng: np.random.Generator, spaces: int, days: int) -> NDArray[np.float64]:
        warmth = plain(rng, spaces, days)
        warmth[:, FIRST : FIRST + DAYS] -= DROP_K
        return warmth

    seasons._warmth = colder
    try:
        yield
    finally:
        seasons._warmth = plain


def near(problem: Problem, routes: tuple[Route, ...]) -> Problem:
    """The problem in which each difference from the plan costs."""
    kept: dict[int, tuple[Kept, ...]] = {
        route.task: tuple(
            Kept(
                stage=stop.stage,
                space=int(problem.space_of[stop.variant]),
                start=stop.start,
                worth=WORTH,
                per_day=round(WORTH / APART_D),
            )
            for stop in route.stops
        )
        for route in routes
    }
    tasks = tuple(
        replace(task, kept=kept.get(b, ())) for b, task in enumerate(problem.tasks)
    )
    total = WORTH * sum(len(own) for own in kept.values())
    return replace(problem, tasks=tasks, constant=problem.constant - total)


def placed(routes: tuple[Route, ...], problem: Problem) -> set[tuple[int, ...]]:
    return {
        (r.task, s.stage, int(problem.space_of[s.variant]), s.start)
        for r in routes
        for s in r.stops
    }


def differ(problem: Problem, old: Solution, new: Solution) -> int:
    """Stages elsewhere, on another day, or in one of the two alone."""
    before, after = placed(old.routes, problem), placed(new.routes, problem)
    return len({key[:2] for key in before ^ after})


def plain_worth(problem: Problem, solution: Solution) -> float:
    """Without what the changes cost."""
    bare = replace(
        problem,
        tasks=tuple(replace(task, kept=()) for task in problem.tasks),
        constant=0,
    )
    kept = sum(k.worth for task in problem.tasks for k in task.kept)
    gained = solution.worth + kept
    for route in solution.routes:
        own = {k.stage: k for k in problem.tasks[route.task].kept}
        for stop in route.stops:
            k = own.get(stop.stage)
            if k is not None and int(bare.space_of[stop.variant]) == k.space:
                gained -= max(0, k.worth - k.per_day * abs(stop.start - k.start))
    return gained / WORTH_SCALE


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--seeds", type=int, default=3)
    ask.add_argument("--seconds", type=float, default=5.0)
    told = ask.parse_args()
    print("seed            stages that differ    worth   gap %")
    for seed in range(1, told.seeds + 1):
        first = seasons.invented_season(60, 8, seed=seed).problem
        plan = solve(first, seed=0, time_limit_s=20, gap=0.002)
        with snap():
            cold = seasons.invented_season(60, 8, seed=seed).problem
        for name, problem in (
            ("near", near(cold, plan.routes)),
            ("from nothing", cold),
        ):
            found = solve(problem, seed=0, time_limit_s=told.seconds, gap=0.0)
            faults = check(problem, found)
            assert not faults, faults
            gap = (found.bound - found.worth) / max(1.0, abs(found.bound)) * 100
            total = len(placed(plan.routes, first))
            print(
                f"{seed:4} {name:13} {differ(cold, plan, found):9} of {total:4}"
                f" {plain_worth(problem, found):9.2f} {gap:7.2f}"
            )


if __name__ == "__main__":
    main()
