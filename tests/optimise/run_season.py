"""A small season with spaces to be run in several ways, and a plan of it by hand."""

from dataclasses import replace
from functools import cache

import numpy as np

from propsched.optimise.check_bound import price_bound
from propsched.optimise.problem import (
    NEVER,
    PPM,
    Kept,
    Link,
    Mode,
    Period,
    Problem,
    Route,
    Split,
    StageTable,
    Stop,
    Task,
)
from propsched.optimise.solution import OwnPrice, Solution

DAYS = 24
OFF, ON, STORE, HOT, WARM, LATE = range(6)
"""Variants: the bench unheated, heated, under a lid; two beds made up."""
BENCH, NEAR, FAR = range(3)
"""Spaces: a bench heated by the week, and two beds that share the manure."""


def _table(name: str, lengths: tuple[int, ...], over: int) -> StageTable:
    shape = (len(lengths), DAYS)
    length = np.repeat(np.array(lengths, dtype=np.int16)[:, None], DAYS, axis=1)
    return StageTable(
        name=name,
        length=length,
        success=np.full(shape, PPM, dtype=np.int32),
        over_success=np.full(shape, over, dtype=np.int32),
        wait=1,
        any_day=True,
        why=np.zeros(shape, dtype=np.uint8),
    )


def _task(name: str, profile: int, **over: object) -> Task:
    plain: dict[str, object] = {
        "name": name,
        "profile": profile,
        "area": (4,),
        "minutes": (5, 5),
        "share": (PPM,),
        "weight": 10_000,
        "earliest": 0,
        "latest": 20,
    }
    return Task(**{**plain, **over})  # type: ignore[arg-type]


def _weeks() -> tuple[Period, ...]:
    modes = (
        Mode(name="off", variants=(OFF,)),
        Mode(name="on", variants=(ON,), cost=700),
    )
    return tuple(
        Period(space=BENCH, first=first, end=first + 7, modes=modes)
        for first in (0, 7, 14)
    )


@cache
def problem() -> Problem:
    """Beets twice in a row, a batch of leeks whole or halved, willow standing over."""
    made = (
        Mode(name="none", variants=()),
        Mode(name="hot", variants=(HOT,), cost=100, manure=40),
        Mode(name="warm", variants=(WARM,), cost=100, manure=20),
    )
    late = (
        Mode(name="none", variants=()),
        Mode(name="late", variants=(LATE,), cost=50, manure=30),
    )
    half = {"area": (2,), "minutes": (3, 3), "weight": 5_000}
    return Problem(
        days=DAYS,
        space_of=np.array([BENCH, BENCH, BENCH, NEAR, NEAR, FAR], dtype=np.int32),
        capacity=np.full((3, DAYS), 8, dtype=np.int64),
        work=np.ones(DAYS, dtype=np.bool_),
        away=np.zeros(DAYS, dtype=np.bool_),
        minutes=np.full(DAYS, 20, dtype=np.int64),
        move_cost=50,
        profiles=(
            (_table("start", (NEVER, 5, 5, 4, 6, 6), -1),),
            (_table("root", (6, 5, 5, NEVER, NEVER, NEVER), 500_000),),
        ),
        tasks=(
            _task(
                "beet",
                0,
                kept=(Kept(stage=0, space=BENCH, start=2, worth=900, per_day=200),),
            ),
            _task("beet again", 0),
            _task("leek", 0),
            _task("leek, one half", 0, **half),
            _task("leek, other half", 0, **half),
            _task(
                "willow",
                1,
                weight=0,
                over_weight=8_000,
                latest=21,
                kept=(Kept(stage=0, space=BENCH, start=21, worth=300, per_day=100),),
            ),
        ),
        constant=-30,
        space_names=("bench", "near bed", "far bed"),
        periods=(
            *_weeks(),
            Period(space=NEAR, first=2, end=22, modes=made),
            Period(space=FAR, first=2, end=22, modes=late),
        ),
        manure=60,
        links=(Link(earlier=0, later=1, days=6),),
        splits=(Split(whole=2, parts=(3, 4)),),
    )


@cache
def solution() -> Solution:
    """Not the best plan; prices as good as any."""
    season = problem()
    routes = (
        Route(0, (Stop(0, ON, 1, 6),), False, 10_000 + 700),
        Route(1, (Stop(0, HOT, 7, 11),), False, 10_000),
        Route(3, (Stop(0, HOT, 3, 7),), False, 5_000),
        Route(4, (Stop(0, ON, 2, 7),), False, 5_000),
        Route(5, (Stop(0, OFF, 21, DAYS),), True, 4_000 + 300),
    )
    area = np.zeros((3, DAYS))
    area[BENCH, :10] = 12.5
    mode = tuple(np.zeros((len(p.modes), DAYS)) for p in season.periods)
    mode[0][1, :7] = 8.25
    mode[3][1, 5:9] = 3.0
    link = np.zeros((1, DAYS))
    link[0, 5:8] = 40.5
    plan = Solution(
        routes=routes,
        worth=35_000 - 700 - 100 - 30,
        bound=0,
        status="time limit",
        area_price=area,
        minute_price=np.full(DAYS, 0.5),
        modes=(1, 0, 0, 1, 0),
        mode_price=mode,
        own_price=(OwnPrice(task=0, period=0, mode=1, day=3, price=20.0),),
        link_price=link,
        manure_price=1.5,
    )
    proven = price_bound(season, plan)
    assert isinstance(proven, int)
    return replace(plan, bound=proven)
