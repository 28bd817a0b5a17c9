"""The rule of thumb on any tables, for those that want it alone."""

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks import thumb
from benchmarks.valued import Plan

from propsched.optimise.problem import Problem, Route


@dataclass(frozen=True)
class RivalPlan:
    """What a rival came to."""

    worth: float
    seconds: float
    routes: tuple[Route, ...] = ()


def rule_of_thumb(problem: Problem, warmth: NDArray[np.float64]) -> RivalPlan:
    """A careful grower without a computer; see ``thumb``."""
    began = time.perf_counter()
    modes = thumb.usual_modes(problem, warmth)
    routes = thumb.rule_of_thumb(problem, warmth, modes)
    plan = Plan(routes, thumb.lit(problem, routes, modes))
    return RivalPlan(plan.worth(problem), time.perf_counter() - began, routes)
