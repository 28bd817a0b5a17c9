"""A small season in which one batch is ready, one stands over, one is under way."""

from functools import cache

import numpy as np

from propsched.optimise.problem import NEVER, PPM, Pinned, Problem, StageTable, Task
from propsched.optimise.solution import Solution
from propsched.optimise.solve import solve

DAYS = 40
CLOSED = (13, 14, 20, 21, 27)
"""Days that are no work days."""
AWAY = (21, 22)


def _table(
    name: str, length: int, wait: int, *, any_day: bool, over: int
) -> StageTable:
    shape = (3, DAYS)
    lengths = np.full(shape, length, dtype=np.int16)
    lengths[1] = NEVER
    lengths[2] += 2
    success = np.full(shape, PPM, dtype=np.int32)
    success[2] = 900_000
    stands = np.full(shape, -1, dtype=np.int32)
    if over:
        stands[0] = over
    return StageTable(
        name=name,
        length=lengths,
        success=success,
        over_success=stands,
        wait=wait,
        any_day=any_day,
        why=np.zeros(shape, dtype=np.uint8),
    )


def _task(name: str, profile: int, **over: object) -> Task:
    plain: dict[str, object] = {
        "name": name,
        "profile": profile,
        "area": (3, 4),
        "minutes": (5, 5, 5),
        "share": (PPM, PPM),
        "weight": 30_000,
        "earliest": 2,
        "latest": 15,
        "gate": 16,
        "wanted_from": 18,
        "wanted_by": 19,
        "late_per_day": 200,
        "early_per_day": 100,
    }
    return Task(**{**plain, **over})  # type: ignore[arg-type]


@cache
def problem() -> Problem:
    work = np.ones(DAYS, dtype=np.bool_)
    work[list(CLOSED)] = False
    away = np.zeros(DAYS, dtype=np.bool_)
    away[list(AWAY)] = True
    work &= ~away
    return Problem(
        days=DAYS,
        space_of=np.array([0, 0, 1], dtype=np.int32),
        capacity=np.full((2, DAYS), 10, dtype=np.int64),
        work=work,
        away=away,
        minutes=np.full(DAYS, 12, dtype=np.int64),
        move_cost=50,
        profiles=(
            (
                _table("start", 5, 3, any_day=True, over=0),
                _table("grow", 6, 4, any_day=False, over=0),
            ),
            (_table("root", 30, 3, any_day=False, over=800_000),),
        ),
        tasks=(
            _task("leek", 0),
            _task(
                "willow",
                1,
                area=(2,),
                minutes=(5, 5),
                share=(PPM,),
                weight=0,
                over_weight=20_000,
                earliest=12,
                gate=0,
            ),
            _task(
                "kale",
                0,
                must=True,
                under_way=True,
                gate=0,
                pins=(
                    Pinned(stage=0, variants=(2,), start=0, length=4),
                    Pinned(stage=1, variants=(2,)),
                ),
            ),
            _task("lost", 0, latest=1),
        ),
        space_names=("bench", "frame"),
    )


@cache
def solution() -> Solution:
    return solve(problem(), gap=0.0)
