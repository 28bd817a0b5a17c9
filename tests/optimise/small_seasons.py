"""Random seasons small enough to be solved by trying everything."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from propsched.optimise.problem import (
    NEVER,
    PPM,
    Pinned,
    Problem,
    StageTable,
    Task,
)


def _stage(
    rng: np.random.Generator, variants: int, days: int, *, may_stand_over: bool
) -> StageTable:
    warm = rng.integers(0, 3, variants)[:, None]
    drift = (np.arange(days) // 7)[None, :]
    length = np.maximum(1, rng.integers(2, 6) - warm - drift // 2)
    length = length + rng.integers(0, 2, (variants, days))
    length = np.where(rng.random((variants, days)) < 0.15, NEVER, length)
    length[rng.random(variants) < 0.15] = NEVER
    success = rng.integers(5, 11, (variants, days)) * (PPM // 10)
    over = np.full((variants, days), -1)
    if may_stand_over:
        over = np.where(
            rng.random((variants, days)) < 0.5,
            rng.integers(3, 11, (variants, days)) * (PPM // 10),
            -1,
        )
    return StageTable(
        name="stage",
        length=length.astype(np.int16),
        success=np.where(length < NEVER, success, 0).astype(np.int32),
        over_success=over.astype(np.int32),
        wait=int(rng.integers(0, 4)),
        any_day=bool(rng.random() < 0.5),
        why=np.where(length < NEVER, 0, 4).astype(np.uint8),
    )


def _pins(
    rng: np.random.Generator, variants: int, days: int, stages: int, first: int
) -> tuple[Pinned, ...]:
    if first or rng.random() < 0.15:
        # Under way: it stands somewhere since day 0.
        return (
            Pinned(
                stage=first,
                variants=(int(rng.integers(variants)),),
                start=0,
                length=int(rng.integers(0, 5)),
            ),
        )
    pins = []
    if rng.random() < 0.3:
        some = rng.permutation(variants)[: int(rng.integers(1, variants))]
        pins.append(
            Pinned(
                stage=int(rng.integers(stages)),
                variants=tuple(sorted(int(v) for v in some)),
            )
        )
    if rng.random() < 0.2:
        pins.append(
            Pinned(stage=int(rng.integers(stages)), start=int(rng.integers(days // 2)))
        )
    return tuple(pins)


def _task(
    rng: np.random.Generator,
    number: int,
    profile: int,
    stages: int,
    size: int,
    days: int,
) -> Task:
    weight = int(rng.integers(2, 10)) * 1000 + int(rng.integers(0, 100))
    first = int(stages > 1 and rng.random() < 0.1)
    pins = _pins(rng, size, days, stages, first)
    earliest = int(rng.integers(0, days // 3))
    dated = rng.random() < 0.6
    wanted = int(rng.integers(days // 3, days))
    return Task(
        name=f"task-{number}",
        profile=profile,
        area=tuple(int(a) for a in rng.integers(2, 7, stages)),
        minutes=tuple(int(m) for m in rng.integers(0, 4, stages + 1)),
        share=tuple(int(s) * (PPM // 10) for s in rng.integers(10, 14, stages)),
        weight=weight,
        earliest=earliest,
        latest=earliest + int(rng.integers(1, days // 2)),
        first_stage=first,
        gate=int(rng.integers(0, days)) if rng.random() < 0.5 else 0,
        wanted_from=wanted - 3 if dated and rng.random() < 0.5 else None,
        wanted_by=wanted if dated else None,
        late_per_day=int(rng.integers(0, 400)),
        early_per_day=int(rng.integers(0, 200)),
        over_weight=weight // 2 if rng.random() < 0.7 else 0,
        must=bool(first) or bool(rng.random() < 0.2),
        pins=pins,
    )


def small_season(seed: int) -> Problem:
    """A season of a few weeks, with every kind of limit; some cannot be met."""
    rng = np.random.default_rng(seed)
    days = int(rng.integers(14, 22))
    spaces = int(rng.integers(2, 4))
    space_of = list(range(spaces)) + [0] * int(rng.integers(0, 2))
    rng.shuffle(space_of)
    variants = len(space_of)
    capacity = np.repeat(rng.integers(5, 11, spaces)[:, None], days, axis=1)
    for _ in range(2):
        first = int(rng.integers(days))
        space = int(rng.integers(spaces))
        capacity[space, first : first + int(rng.integers(2, 6))] -= int(
            rng.integers(1, 6)
        )
    work = rng.random(days) < rng.choice((0.4, 0.7, 1.0))
    away = rng.random(days) < rng.choice((0.1, 0.35))
    work &= ~away
    if not work.any():
        work[0], away[0] = True, False
    profiles = []
    for _ in range(2):
        over = bool(rng.random() < 0.4)
        profiles.append(
            tuple(
                _stage(rng, variants, days, may_stand_over=over)
                for _ in range(int(rng.integers(1, 4)))
            )
        )
    tasks = []
    for number in range(int(rng.integers(3, 6))):
        profile = int(rng.integers(len(profiles)))
        tasks.append(
            _task(rng, number, profile, len(profiles[profile]), variants, days)
        )
    return Problem(
        days=days,
        space_of=np.array(space_of, dtype=np.int32),
        capacity=capacity.astype(np.int64),
        work=work,
        away=away,
        minutes=rng.integers(2, 8, days).astype(np.int64),
        move_cost=int(rng.choice((0, 150, 600))),
        profiles=tuple(profiles),
        tasks=tuple(tasks),
        constant=-int(rng.integers(0, 500)),
        space_names=tuple("abcd"[:spaces]),
    )


def _each_task(problem: Problem, **over: object) -> Problem:
    tasks = tuple(replace(task, **over) for task in problem.tasks)  # type: ignore[arg-type]
    return replace(problem, tasks=tasks)


def _each_stage(problem: Problem, **over: object) -> Problem:
    profiles = tuple(
        tuple(replace(table, **over) for table in profile)  # type: ignore[arg-type]
        for profile in problem.profiles
    )
    return replace(problem, profiles=profiles)


def lifted(problem: Problem, limit: str) -> Problem:
    """The same season without one kind of limit."""
    return LIMITS[limit](problem)


def _no_standing_over(problem: Problem) -> Problem:
    shape = problem.profiles[0][0].length.shape
    return _each_stage(problem, over_success=np.full(shape, -1, dtype=np.int32))


def _daily(problem: Problem) -> Problem:
    return replace(
        problem,
        work=np.ones(problem.days, dtype=np.bool_),
        minutes=problem.minutes + 1000,
    )


LIMITS: dict[str, Callable[[Problem], Problem]] = {
    "area": lambda p: replace(p, capacity=p.capacity + 1000),
    "minutes": lambda p: replace(p, minutes=p.minutes + 1000),
    "availability": lambda p: _each_task(p, earliest=0, latest=p.days),
    "waiting": lambda p: _each_stage(p, wait=p.days),
    "gate": lambda p: _each_task(p, gate=0),
    "work days": _daily,
    "away": lambda p: replace(p, away=np.zeros(p.days, dtype=np.bool_)),
    "pins": lambda p: _each_task(p, pins=()),
    "must": lambda p: _each_task(p, must=False),
    "moves": lambda p: replace(p, move_cost=0),
    "dates": lambda p: _each_task(p, wanted_from=None, wanted_by=None),
    "standing over": _no_standing_over,
}
