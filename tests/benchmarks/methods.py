"""The planner and its rivals, each run on a season as one call that tells of it."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from benchmarks import thumb
from benchmarks.cases import Case
from benchmarks.indexed import solve_indexed
from benchmarks.single_solve import solve_single
from benchmarks.valued import Plan

from propsched.optimise.check import check
from propsched.optimise.problem import Problem
from propsched.optimise.progress import Progress
from propsched.optimise.solution import Solution
from propsched.optimise.solve import solve

THREADS = 2
Tell = Callable[..., None]
Peak = Callable[[], float]


@dataclass(frozen=True)
class Done:
    """What a method came to in the end; worths in whole units."""

    worth: int | None
    bound: float | None
    seconds: float
    faults: tuple[str, ...]
    final: Plan | None
    peak_mib: float
    """At most held, until the plan was there."""
    note: str = ""
    first: Plan | None = None


def planner(
    case: Case, limit_s: float, gap: float, _: Plan | None, tell: Tell, peak: Peak
) -> Done:
    """The planner itself; also its first plan, for the others to start from."""
    problem = case.invented().problem

    def emit(progress: Progress) -> None:
        tell("better", progress.elapsed_s, int(progress.worth))

    tell("go")
    began = time.perf_counter()
    solution = solve(problem, time_limit_s=limit_s, gap=gap, workers=THREADS, emit=emit)
    seconds, most = time.perf_counter() - began, peak()
    tell("solved")
    return Done(
        worth=solution.worth,
        bound=float(solution.bound),
        seconds=seconds,
        faults=check(problem, solution),
        final=Plan(solution.routes, solution.modes),
        peak_mib=most,
        note=solution.status,
        first=_first_plan(problem),
    )


def _first_plan(problem: Problem) -> Plan:
    """The plan the planner tells of first."""
    enough = threading.Event()
    solution = solve(problem, emit=lambda _progress: enough.set(), cancel=enough)
    return Plan(solution.routes, solution.modes)


def single(
    case: Case, limit_s: float, gap: float, start: Plan | None, tell: Tell, peak: Peak
) -> Done:
    """One CP-SAT model of the whole problem."""
    problem = case.invented().problem

    def better(plan: Plan, seconds: float) -> None:
        tell("better", seconds, plan.worth(problem), plan)

    tell("go")
    began = time.perf_counter()
    answer = solve_single(
        problem,
        time_limit_s=limit_s,
        gap=gap,
        threads=THREADS,
        start=start,
        tell=better,
        note=lambda text: tell("note", text),
    )
    seconds, most = time.perf_counter() - began, peak()
    tell("solved")
    note = f"{answer.status.lower()}, model written down in {answer.built_s:.1f} s"
    return _done(problem, answer.plan, answer.bound, seconds, most, note)


def indexed(
    case: Case, limit_s: float, gap: float, start: Plan | None, tell: Tell, peak: Peak
) -> Done:
    """A time-indexed mixed-integer programme in HiGHS."""
    problem = case.invented().problem

    def better(plan: Plan, seconds: float) -> None:
        tell("better", seconds, plan.worth(problem), plan)

    tell("go")
    began = time.perf_counter()
    answer = solve_indexed(
        problem,
        time_limit_s=limit_s,
        gap=gap,
        threads=THREADS,
        start=start,
        tell=better,
        note=lambda text: tell("note", text),
    )
    seconds, most = time.perf_counter() - began, peak()
    tell("solved")
    return _done(problem, answer.plan, answer.bound, seconds, most, answer.note)


def rule_of_thumb(
    case: Case, _limit: float, _gap: float, _: Plan | None, tell: Tell, peak: Peak
) -> Done:
    """A careful grower without a computer; see ``thumb``."""
    invented = case.invented()
    problem = invented.problem
    tell("go")
    began = time.perf_counter()
    modes = thumb.usual_modes(problem, invented.warmth)
    routes = thumb.rule_of_thumb(problem, invented.warmth, modes)
    plan = Plan(routes, thumb.lit(problem, routes, modes))
    seconds, most = time.perf_counter() - began, peak()
    tell("better", seconds, plan.worth(problem))
    tell("solved")
    return _done(problem, plan, None, seconds, most, "")


def _done(
    problem: Problem,
    plan: Plan | None,
    bound: float | None,
    seconds: float,
    peak_mib: float,
    note: str,
) -> Done:
    return Done(
        worth=None if plan is None else plan.worth(problem),
        bound=bound,
        seconds=seconds,
        faults=() if plan is None else rival_faults(problem, plan),
        final=plan,
        peak_mib=peak_mib,
        note=note,
    )


def rival_faults(problem: Problem, plan: Plan) -> tuple[str, ...]:
    """The plan past the same checker; without prices it has no bound to check."""
    solution = Solution(
        routes=plan.routes,
        worth=plan.worth(problem),
        bound=2**60,
        status="time limit",
        area_price=np.zeros(problem.capacity.shape),
        minute_price=np.zeros(problem.days),
        modes=plan.modes,
    )
    faults = check(problem, solution)
    return tuple(f for f in faults if not f.startswith("The prices prove a bound"))


METHODS = {
    "routes": planner,
    "one CP-SAT": single,
    "HiGHS MIP": indexed,
    "rule of thumb": rule_of_thumb,
}
"""By the name printed."""
