"""The planner: routes priced, bounded, chosen and bettered, until near the best."""

import threading

import numpy as np

from propsched.optimise.grid import PACKINGS, make_grid
from propsched.optimise.must import MustConflictError
from propsched.optimise.problem import Problem
from propsched.optimise.progress import Asked, Emit, Progress
from propsched.optimise.run import Run
from propsched.optimise.solution import Solution

__all__ = ["solve", "Progress", "Emit", "MustConflictError"]


def solve(
    problem: Problem,
    *,
    seed: int = 0,
    time_limit_s: float = 20.0,
    gap: float = 0.001,
    workers: int = 2,
    reproducible: bool = False,
    emit: Emit | None = None,
    cancel: threading.Event | None = None,
) -> Solution:
    """
    A plan, with the proof of how good it is.

    Parameters
    ----------
    gap : float
        Stop once the plan is proven within this share of the best; 0: the best.
    reproducible : bool
        One worker, and limits counted in steps instead of time: the same plan
        each time with the same versions of the libraries.
    emit : callable, optional
        Told of each better plan and bound, in this thread.
    cancel : threading.Event, optional
        Once set, the best so far is returned soon.

    Raises
    ------
    MustConflictError
        The tasks that must be placed cannot all be.
    """
    if not problem.tasks:
        return _nothing(problem)
    asked = Asked(
        seed=seed,
        limit_s=time_limit_s,
        gap=gap,
        workers=workers,
        reproducible=reproducible,
        emit=emit or (lambda _progress: None),
        cancel=cancel or threading.Event(),
    )
    return Run(problem, asked).go()


def _nothing(problem: Problem) -> Solution:
    modes = make_grid(problem).modes
    worth = problem.constant - modes.base
    return Solution(
        routes=(),
        worth=worth,
        bound=worth,
        modes=tuple(int(m) for m in modes.usual - modes.first_of),
        status="nothing to plan",
        area_price=np.zeros(problem.capacity.shape),
        minute_price=np.zeros(problem.days),
        packing_price=np.zeros((PACKINGS, *problem.capacity.shape)),
    )
