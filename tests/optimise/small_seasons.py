"""Random seasons small enough to be solved by trying everything."""

import numpy as np
from numpy.typing import NDArray
from optimise.small_ways import kept_of, layout, linked, split

from propsched.optimise.problem import (
    NEVER,
    PPM,
    Pinned,
    Problem,
    StageTable,
    Task,
)

Ints = NDArray[np.int64]


def _stage(
    rng: np.random.Generator, warmth: Ints, longest_wait: int, *, may_stand_over: bool
) -> StageTable:
    variants, days = warmth.shape
    warm = rng.integers(0, 3, variants)[:, None] + warmth
    drift = (np.arange(days) // 7)[None, :]
    length = np.maximum(1, rng.integers(2, 6) - warm - drift // 2)
    length = length + rng.integers(0, 2, (variants, days))
    length = np.where(rng.random((variants, days)) < 0.15, NEVER, length)
    length[rng.random(variants) < 0.15] = NEVER
    length[warmth < 0] = NEVER
    # Places differ, and a little from day to day; so do variants of one space.
    success = rng.integers(4, 11, variants)[:, None] + 2 * np.maximum(0, warmth)
    success = success + rng.integers(0, 2, (variants, days))
    over = np.full((variants, days), -1)
    if may_stand_over:
        over = np.where(
            rng.random((variants, days)) < 0.5,
            rng.integers(5, 11, (variants, days)) * (PPM // 10),
            -1,
        )
    return StageTable(
        name="stage",
        length=length.astype(np.int16),
        success=np.minimum(PPM, success * (PPM // 10)).astype(np.int32),
        over_success=over.astype(np.int32),
        wait=int(rng.integers(0, longest_wait + 1)),
        any_day=bool(rng.random() < 0.5),
        why=np.where(length < NEVER, 0, 4).astype(np.uint8),
    )


def _pins(
    rng: np.random.Generator, variants: int, days: int, stages: int
) -> tuple[Pinned, ...]:
    """A place, a day, or both, of any stage."""
    pins = []
    if rng.random() < 0.3:
        some = rng.permutation(variants)[: int(rng.integers(1, variants))]
        pins.append(
            Pinned(
                stage=int(rng.integers(stages)),
                variants=tuple(sorted(int(v) for v in some)),
            )
        )
    if rng.random() < 0.15:
        pins.append(
            Pinned(stage=int(rng.integers(stages)), start=int(rng.integers(days // 2)))
        )
    return tuple(pins)


def _standing(
    rng: np.random.Generator, variants: int, first: int
) -> tuple[Pinned, ...]:
    """Under way: since a day of the first week, mostly of a known length."""
    known = rng.random() < 0.8
    return (
        Pinned(
            stage=first,
            variants=(int(rng.integers(variants)),),
            start=int(rng.integers(0, 8)),
            length=int(rng.integers(0, 5)) if known else None,
        ),
    )


def _task(
    rng: np.random.Generator,
    number: int,
    profile: int,
    stages: int,
    variants: int,
    days: int,
) -> Task:
    weight = int(rng.integers(2, 10)) * 1000 + int(rng.integers(0, 100))
    under_way = bool(rng.random() < 0.12)
    first = int(rng.integers(stages)) if under_way else 0
    if under_way:
        pins = _standing(rng, variants, first)
    else:
        pins = _pins(rng, variants, days, stages)
    earliest = int(rng.integers(0, days // 3))
    dated = rng.random() < 0.6
    wanted = int(rng.integers(days // 3, days))
    # Some that must be placed cost more than they bring, so late are they.
    must = under_way or bool(rng.random() < 0.25)
    hopeless = must and rng.random() < 0.65
    if hopeless:
        dated, wanted = True, 0
    return Task(
        name=f"task-{number}",
        profile=profile,
        area=tuple(int(a) for a in rng.integers(2, 7, stages)),
        minutes=tuple(int(m) for m in rng.integers(0, 5, stages + 1)),
        share=tuple(int(s) * (PPM // 10) for s in rng.integers(10, 14, stages)),
        weight=weight,
        earliest=earliest,
        latest=earliest + int(rng.integers(1, days // 3)),
        first_stage=first,
        gate=int(rng.integers(0, days)) if rng.random() < 0.5 else 0,
        wanted_from=wanted - 3 if dated and rng.random() < 0.5 else None,
        wanted_by=wanted if dated else None,
        late_per_day=weight // 3 if hopeless else int(rng.integers(0, 400)),
        early_per_day=int(rng.integers(0, 200)),
        over_weight=weight // 2 if rng.random() < 0.8 and not hopeless else 0,
        must=must,
        under_way=under_way,
        pins=pins,
    )


def small_season(seed: int) -> Problem:
    """A season of a few weeks, with every kind of limit; some cannot be met."""
    rng = np.random.default_rng(seed)
    days = int(rng.integers(12, 17))
    plot = layout(rng, days)
    spaces, variants = plot.spaces, len(plot.space_of)
    capacity = np.repeat(rng.integers(6, 12, spaces)[:, None], days, axis=1)
    for _ in range(2):
        first = int(rng.integers(days))
        space = int(rng.integers(spaces))
        capacity[space, first : first + int(rng.integers(2, 6))] -= int(
            rng.integers(1, 6)
        )
    work = rng.random(days) < rng.choice((0.4, 0.7, 0.9))
    away = rng.random(days) < rng.choice((0.1, 0.4))
    work &= ~away
    if not work.any():
        work[0], away[0] = True, False
    profiles = []
    for _ in range(2):
        over = bool(rng.random() < 0.5)
        # With a longer wait in each of three stages there are too many ways to try.
        stages, wait = ((1, 3), (2, 2), (3, 1))[rng.choice(3, p=(0.35, 0.53, 0.12))]
        profiles.append(
            tuple(
                _stage(rng, plot.warmth, wait, may_stand_over=over)
                for _ in range(stages)
            )
        )
    tasks = []
    for number in range(int(rng.integers(2, 4))):
        profile = int(rng.integers(len(profiles)))
        tasks.append(
            _task(rng, number, profile, len(profiles[profile]), variants, days)
        )
    tasks, links = linked(rng, tasks)
    tasks, splits = split(rng, tasks)
    return Problem(
        days=days,
        space_of=np.array(plot.space_of, dtype=np.int32),
        capacity=capacity.astype(np.int64),
        work=work,
        away=away,
        minutes=rng.integers(2, 8, days).astype(np.int64),
        move_cost=int(rng.choice((0, 150, 600))),
        profiles=tuple(profiles),
        tasks=tuple(kept_of(rng, task, spaces, days) for task in tasks),
        constant=-int(rng.integers(0, 500)),
        space_names=tuple("abcd"[:spaces]),
        periods=plot.periods,
        manure=plot.manure,
        links=links,
        splits=splits,
    )
