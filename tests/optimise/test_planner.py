"""What holds of every plan, whatever the season."""

import os
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchmarks.seasons import invented_season
from hypothesis import given, settings
from hypothesis import strategies as st
from optimise.small_seasons import small_season

from propsched.errors import PinsImpossibleError
from propsched.optimise.check import check
from propsched.optimise.problem import PPM, Pinned, Problem, StageTable, Task
from propsched.optimise.progress import Progress
from propsched.optimise.solution import Solution
from propsched.optimise.solve import MustConflictError, solve


def _plan(problem: Problem, **over: object) -> Solution | None:
    try:
        return solve(problem, **{"gap": 0.0, **over})  # type: ignore[arg-type]
    except MustConflictError:
        return None


@settings(max_examples=25, deadline=None)
@given(st.integers(10_000, 10**9))
def test_no_plan_has_a_fault(seed: int) -> None:
    problem = small_season(seed)
    solution = _plan(problem)
    assert solution is None or check(problem, solution) == ()


@settings(max_examples=20, deadline=None)
@given(st.integers(10_000, 10**9), st.integers(1, 6))
def test_more_area_never_lowers_the_worth(seed: int, more: int) -> None:
    problem = small_season(seed)
    wider = replace(problem, capacity=problem.capacity + more)
    before, after = _plan(problem), _plan(wider)
    if before is not None:
        assert after is not None
        assert after.worth >= before.worth


@settings(max_examples=15, deadline=None)
@given(st.integers(10_000, 10**9))
def test_a_further_batch_never_lowers_the_worth(seed: int) -> None:
    problem = small_season(seed)
    extra = replace(problem.tasks[0], name="one more", must=False)
    before = _plan(problem)
    after = _plan(replace(problem, tasks=(*problem.tasks, extra)))
    if before is not None:
        assert after is not None
        assert after.worth >= before.worth


@settings(max_examples=15, deadline=None)
@given(st.integers(10_000, 10**9))
def test_what_a_plan_does_can_be_pinned(seed: int) -> None:
    """Pinning every stop where the best plan has it leaves the best plan."""
    problem = small_season(seed)
    solution = _plan(problem)
    if solution is None:
        return
    tasks = list(problem.tasks)
    for route in solution.routes:
        old = tasks[route.task]
        known = {pin.stage for pin in old.pins if pin.start is not None}
        pins = tuple(
            Pinned(stage=stop.stage, variants=(stop.variant,), start=stop.start)
            for stop in route.stops
            if stop.stage not in known
        )
        tasks[route.task] = replace(old, pins=(*old.pins, *pins))
    again = _plan(replace(problem, tasks=tuple(tasks)))
    assert again is not None
    assert again.worth == solution.worth


def test_nothing_to_plan_is_no_fault() -> None:
    problem = replace(small_season(1), tasks=(), links=(), splits=(), constant=-12)
    solution = solve(problem)
    assert (solution.worth, solution.status) == (-12, "nothing to plan")
    assert check(problem, solution) == ()


def test_the_same_seed_gives_the_same_plan() -> None:
    problem = invented_season(15, 4, days=120, fullness=0.9, weekends=True).problem
    plans = [
        solve(problem, reproducible=True, time_limit_s=1.0, seed=3) for _ in range(2)
    ]
    assert plans[0].routes == plans[1].routes
    assert plans[0].bound == plans[1].bound


ALONE = """
from dataclasses import replace
from benchmarks.seasons import invented_season
from propsched.optimise.solve import solve
problem = invented_season(10, 3, fullness=1.3).problem
plan = solve(problem, gap=0.0, time_limit_s=8.0, seed=3, reproducible=True)
for part in (plan.area_price, plan.minute_price, plan.packing_price):
    print(part.tobytes().hex())
print(replace(plan, seconds={}, area_price=0, minute_price=0, packing_price=0))
"""


@pytest.mark.slow
def test_another_process_that_runs_out_of_steps_gives_the_same_plan() -> None:
    """Whatever the order of its sets and the load of the machine."""
    root = Path(__file__).resolve().parents[2]
    told = [
        subprocess.run(
            [sys.executable, "-c", ALONE],
            env=os.environ
            | {"PYTHONHASHSEED": seed, "PYTHONPATH": f"{root}:{root / 'tests'}"},
            stdout=subprocess.PIPE,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert "status='time limit'" in told[0]
    assert told[0] == told[1]


def test_cancelling_returns_the_best_so_far_soon() -> None:
    problem = invented_season(30, 6, fullness=1.2).problem
    cancel = threading.Event()
    timer = threading.Timer(1.0, cancel.set)
    timer.start()
    began = time.perf_counter()
    solution = solve(problem, gap=0.0, time_limit_s=60.0, cancel=cancel)
    assert time.perf_counter() - began < 5.0
    assert solution.status == "stopped"
    assert check(problem, solution) == ()


def test_a_cancelled_solve_still_gives_a_plan() -> None:
    problem = invented_season(20, 6).problem
    cancel = threading.Event()
    cancel.set()
    solution = solve(problem, gap=0.0, cancel=cancel)
    assert solution.routes
    assert check(problem, solution) == ()


def test_progress_only_ever_gets_better() -> None:
    told: list[Progress] = []
    problem = invented_season(20, 6).problem
    solution = solve(problem, time_limit_s=2.0, emit=told.append)
    worth = [progress.worth for progress in told]
    bound = [progress.bound for progress in told]
    assert worth == sorted(worth)
    assert bound == sorted(bound, reverse=True)
    assert (worth[-1], bound[-1]) == (solution.worth, solution.bound)


def test_two_that_must_share_one_place_are_named() -> None:
    """The error says which, in which space and on which days."""
    problem = invented_season(2, 3, days=150, fullness=0.1).problem
    task = replace(problem.tasks[0], must=True)
    room = np.full_like(problem.capacity, 10**6)
    problem = replace(problem, capacity=room)
    first = solve(replace(problem, tasks=(task,))).routes[0].stops[0]
    pin = (Pinned(stage=0, variants=(first.variant,), start=first.start),)
    twins = tuple(replace(task, name=name, pins=pin) for name in ("leek", "kale"))
    assert solve(replace(problem, tasks=twins)).worth
    room[first.variant, first.start] = task.area[0]
    with pytest.raises(PinsImpossibleError, match="space-") as caught:
        solve(replace(problem, tasks=twins))
    assert isinstance(caught.value, MustConflictError)
    clash = caught.value.clash
    assert clash.space == first.variant
    assert (clash.first_day, clash.last_day) == (first.start, first.start)
    assert len(clash.tasks) == 1


def test_what_stands_already_is_not_shared_in_the_bound() -> None:
    """Two thirds of the only space stand full till day 12: proven at the first prices.

    Without that, a share of a second batch fits beside it in the linear programme.
    """
    table = StageTable(
        name="start",
        length=np.full((1, 20), 5, dtype=np.int16),
        success=np.full((1, 20), PPM, dtype=np.int32),
        over_success=np.full((1, 20), -1, dtype=np.int32),
        wait=0,
        any_day=False,
        why=np.zeros((1, 20), dtype=np.uint8),
    )
    kale = Task(
        name="kale",
        profile=0,
        area=(40,),
        minutes=(0, 0),
        share=(PPM,),
        weight=10_000,
        earliest=0,
        latest=6,
    )
    leek = replace(
        kale,
        name="leek",
        area=(66,),
        must=True,
        under_way=True,
        pins=(Pinned(stage=0, variants=(0,), start=2, length=10),),
    )
    problem = Problem(
        days=20,
        space_of=np.zeros(1, dtype=np.int32),
        capacity=np.full((1, 20), 100, dtype=np.int64),
        work=np.ones(20, dtype=np.bool_),
        away=np.zeros(20, dtype=np.bool_),
        minutes=np.zeros(20, dtype=np.int64),
        move_cost=0,
        profiles=((table,),),
        tasks=(leek, kale),
    )
    solution = solve(problem, gap=0.0)
    assert check(problem, solution) == ()
    assert (solution.worth, solution.bound) == (10_000, 10_000)
    assert (solution.status, solution.proof) == ("optimal", "prices")


def test_a_must_task_without_any_way_is_named() -> None:
    problem = invented_season(2, 1, days=100).problem
    task = replace(problem.tasks[0], name="leek", must=True, gate=99, wanted_by=None)
    pin = (Pinned(stage=0, start=99),)
    with pytest.raises(PinsImpossibleError, match='"leek"'):
        solve(replace(problem, tasks=(replace(task, pins=pin),)))


@pytest.mark.slow
def test_sixty_batches_are_planned_at_once_and_near_the_best() -> None:
    """A guard against collapse, far from the measured figures: busy machines."""
    told: list[Progress] = []
    problem = invented_season(60, 8, weekends=True).problem
    solution = solve(problem, time_limit_s=15.0, gap=0.006, emit=told.append)
    assert told[0].elapsed_s < 3.0
    assert solution.bound - solution.worth < 0.02 * solution.bound
    assert check(problem, solution) == ()
