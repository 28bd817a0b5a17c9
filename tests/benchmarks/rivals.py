"""Other ways to plan the same tables: a grower's rule of thumb, and a plain MIP."""

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks import thumb
from optimise.mip import solve_mip

from propsched.optimise.problem import Problem, Route


@dataclass(frozen=True)
class RivalPlan:
    """What a rival came to."""

    worth: float | None
    bound: float | None
    seconds: float
    routes: tuple[Route, ...] = ()


def highs(problem: Problem, time_limit_s: float, gap: float, threads: int) -> RivalPlan:
    """The time-indexed programme in HiGHS; writing it down counts."""
    began = time.perf_counter()
    answer = solve_mip(problem, time_limit_s, gap, threads)
    return RivalPlan(answer.worth, answer.bound, time.perf_counter() - began)


def rule_of_thumb(problem: Problem, warmth: NDArray[np.float64]) -> RivalPlan:
    """A careful grower without a computer; see ``thumb``."""
    began = time.perf_counter()
    routes = thumb.rule_of_thumb(problem, warmth)
    worth = sum(route.value for route in routes) + problem.constant
    return RivalPlan(float(worth), None, time.perf_counter() - began, routes)
