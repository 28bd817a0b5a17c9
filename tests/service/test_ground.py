"""Growth in days and shares to whole-number tables."""

import numpy as np
import pytest
from builders import make_season

from propsched.biology.growth import DARK, ENDLESS, NOT_THROUGH, StageGrowth
from propsched.domain.quantities import Horizon
from propsched.domain.space import Variant
from propsched.optimise.problem import NEVER, PPM, Task, loss
from propsched.service.ground import Ground, stage_table
from propsched.thermal.rootzone import RootZone

DAYS = 212
OFFSET = 5
N = OFFSET + DAYS + 10


def ground() -> Ground:
    season = make_season()
    hours = np.zeros((1, 1, 24 * N), dtype=np.float32)
    zone = RootZone(
        variants=(Variant(season.spaces[0]),),
        horizon=Horizon(season.start, N),
        winters=("a",),
        root_c=hours,
        air_c=hours,
        light_mol=hours[:, :, :N],
        kwh=hours[:, :, :N],
        outdoor_c=hours[0],
    )
    return Ground(season=season, zone=zone, offset=OFFSET, today=season.start)


def growth(length: int, why: int = 0, over: float = np.nan) -> StageGrowth:
    full = np.full((1, N), length, dtype=np.int16)
    return StageGrowth(
        stage="start",
        median=full,
        booked=full,
        success=np.full((1, N), 0.5, dtype=np.float32),
        over_success=np.full((1, N), over, dtype=np.float32),
        why=np.full((1, N), why, dtype=np.uint8),
    )


def table(one: StageGrowth):  # type: ignore[no-untyped-def]
    return stage_table(one, ground(), wait=7, any_day=False)


def test_a_stage_must_be_through_on_a_day_of_the_season() -> None:
    """A stage of 12 days can start up to 12 days before the last day."""
    length = table(growth(12)).length[0]
    assert length[DAYS - 13] == 12
    assert length[DAYS - 12] == NEVER
    assert table(growth(12)).why[0, DAYS - 12] & ENDLESS


def test_a_stage_that_is_never_through_is_never() -> None:
    assert (table(growth(NOT_THROUGH)).length == NEVER).all()


def test_what_stands_against_a_start_forbids_it() -> None:
    dark = table(growth(12, why=DARK, over=0.5))
    assert (dark.length == NEVER).all()
    assert (dark.over_success == -1).all()


def test_being_slow_does_not_forbid_standing_over() -> None:
    slow = table(growth(NOT_THROUGH, over=0.75))
    assert (slow.over_success == 750_000).all()


@pytest.mark.parametrize(
    ("share", "success", "lost"),
    [(1.0, 0.6, 4_000), (2.0, 0.6, 0), (1.5, 0.6, 1_000), (1.0, 1.0, 0)],
)
def test_spare_seed_makes_up_for_poor_starts(
    share: float, success: float, lost: int
) -> None:
    """Hand check: 1.5 × 60 % is 90 % of the plants wanted, so a tenth is lost."""
    task = Task(
        name="leek",
        profile=0,
        area=(1,),
        minutes=(0, 0),
        share=(round(share * PPM),),
        weight=10_000,
        earliest=0,
        latest=0,
    )
    found = loss(task, 0, np.array([round(success * PPM)], dtype=np.int32))
    assert found.tolist() == [lost]
