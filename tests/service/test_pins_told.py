"""Pins that cannot be are told with the stage, the space, the day and the cause."""

from datetime import date
from typing import Any

import numpy as np
import pytest

from propsched.optimise.must import Clash, MustConflictError
from propsched.optimise.problem import (
    NEVER,
    PPM,
    WHY,
    Pinned,
    Problem,
    StageTable,
    Task,
)
from propsched.service.pins_told import pins_told

DAYS, START = 60, date(2027, 3, 1)


def table(name: str, days: int = 9, **over: Any) -> StageTable:
    """Spaces sill and bed; the bed is below the sowing floor."""
    length = np.full((2, DAYS), days, dtype=np.int16)
    length[1] = NEVER
    why = np.zeros((2, DAYS), dtype=np.uint8)
    why[1] = 1 << WHY.index("below its sowing floor")
    return StageTable(
        name=name, length=length, success=np.full((2, DAYS), PPM, dtype=np.int32),
        over_success=np.full((2, DAYS), -1, dtype=np.int32), wait=5, any_day=True,
        why=why, **over,
    )  # fmt: skip


def problem(*pins: Pinned, **over: Any) -> Problem:
    task = Task(
        name="leek", profile=0, area=(9, 9), minutes=(1, 1, 1), share=(PPM, PPM),
        weight=9, earliest=0, latest=DAYS - 1, must=True, pins=pins, **over,
    )  # fmt: skip
    return Problem(
        days=DAYS, space_of=np.arange(2, dtype=np.int32),
        capacity=np.full((2, DAYS), 50, dtype=np.int64),
        work=np.ones(DAYS, dtype=np.bool_), away=np.zeros(DAYS, dtype=np.bool_),
        minutes=np.full(DAYS, 99, dtype=np.int64), move_cost=0,
        profiles=((table("start"), table("grow", 30)),), tasks=(task,),
        space_names=("sill", "bed"),
    )  # fmt: skip


def told(world: Problem, **over: Any) -> str:
    error = MustConflictError("", Clash(tasks=(0,), **over))
    return str(pins_told(error, world, START))


@pytest.mark.parametrize(
    ("pins", "said"),
    [
        (
            (Pinned(stage=0, variants=(1,), start=5),),
            "pinned to start in bed on 6 March: below its sowing floor – look at its",
        ),
        (
            (Pinned(stage=0, start=5), Pinned(stage=1, variants=(1,))),
            "pinned to grow in bed: below its sowing floor",
        ),
        (
            (Pinned(stage=1, variants=(0,), start=2),),
            "pinned to grow in sill on 3 March: the rest of its stages does not fit",
        ),
        ((), "look at its pins and daybook rows"),
    ],
)
def test_the_pin_that_cannot_be_is_named(pins: tuple[Pinned, ...], said: str) -> None:
    text = told(problem(*pins))
    assert text.startswith('"leek": ')
    assert said in text


def test_what_stands_already_is_no_pin() -> None:
    here = Pinned(stage=0, variants=(1,), start=5)
    assert "daybook rows" in told(problem(here, under_way=True))


def test_one_batch_alone_is_not_told_as_all() -> None:
    lack = told(problem(), space=0, first_day=5, last_day=9, short=40)
    assert lack == (
        '"leek": what is pinned or under way cannot be met: sill is short of 0.04 m² '
        "from 6 March to 10 March"
    )
