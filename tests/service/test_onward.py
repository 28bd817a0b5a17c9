"""What stands may be moved in the middle of its stage, with what it has behind it."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from builders import (
    make_batch,
    make_crop,
    make_needs,
    make_season,
    make_space,
    make_zone,
)

from propsched.advice.state import BatchState, Stay
from propsched.biology.climate import Climate
from propsched.biology.development import grow
from propsched.biology.growth import NOT_THROUGH
from propsched.domain.batch import Pin
from propsched.domain.container import Container
from propsched.optimise.problem import Route, Stop
from propsched.service.change import NOTHING, Change, Without
from propsched.service.ground import Ground, stage_table
from propsched.service.onward import Growths, moving_on
from propsched.service.raised import Raised, raised
from propsched.service.tasks import make_task
from propsched.service.written import _told_stops
from propsched.thermal.snap import Spell

SAT = date(2026, 11, 21)
SOWN = date(2026, 11, 7)
FRAME = make_space(id="frame", kind="cold-frame", area_m2=1.0)
BENCH = make_space(id="bench", kind="heated-bench", area_m2=1.0)


def needs(**over: Any) -> Any:
    """100 °C·d above 2 °C: 12.5 days at 10 °C, 5.6 at 20."""
    return make_needs(container=Container(name="tray"), spread=0.0, **over)


def one(*stages: Any, **over: Any) -> Raised:
    crop = make_crop(*(stages or (needs(), needs(stage="pot-up"))), **over)
    return raised(make_batch(id="leek", crop=crop.name), crop)


def state(**over: Any) -> BatchState:
    plain: dict[str, Any] = {
        "batch": "leek", "stage": "start", "stage_index": 0, "space": "frame",
        "since": SOWN, "here_since": SOWN, "stays": (Stay("frame", SOWN),),
    }  # fmt: skip
    return BatchState(**{**plain, **over})


def ground(frame_c: float = 5.0, today: date = SAT) -> Ground:
    """A frame at 5 °C, in which the stage takes 33 days, and a bench at 20 °C."""
    hours = np.array([[[frame_c]], [[20.0]]], np.float32)
    zone = make_zone(hours, spaces=(FRAME, BENCH), days=200, winters=2)
    season = make_season(end=date(2027, 3, 31), spaces=(FRAME, BENCH))
    return Ground(
        season=season, zone=zone, offset=0, today=today, climate=Climate(zone)
    )


def moved(
    batch: Raised, where: Ground, at: BatchState, pins: tuple[Pin, ...] = (),
    change: Change = NOTHING,
) -> tuple[Raised, Growths, Growths]:  # fmt: skip
    assert where.climate is not None
    growths = {
        batch.profile: grow(
            batch.crop, None, where.climate, end_day=where.days, quantile=0.8
        )
    }
    (found,), own = moving_on([batch], {"leek": at}, growths, where, pins, change)
    return found, own, growths


def test_what_is_left_takes_as_long_as_the_new_space_makes_it() -> None:
    """14 days at 3 °C over the base make 42 of 100 °C·d; 58 at 18 over it take 4."""
    two, own, _ = moved(one(), ground(), state())
    rest = own[two.profile][1]
    day = two.moves_on
    assert day == (SAT - date(2026, 11, 1)).days
    assert rest.booked[1, day] == 4
    assert rest.booked[0, day] == 34 - 14
    assert (rest.booked[:, day + 1] == NOT_THROUGH).all()
    assert [n.stage for n in two.crop.stages] == ["start", "start", "pot-up"]


def test_the_task_stands_where_it_is_until_then() -> None:
    where = ground()
    two, own, _ = moved(one(), where, state())
    tables = tuple(
        stage_table(g, where, wait=n.wait_d, any_day=n.any_day)
        for g, n in zip(own[two.profile], two.crop.stages, strict=True)
    )
    task, _ = make_task(two, state(), (), 0, tables, own[two.profile], where, 0)
    (pin,) = task.pins
    assert (pin.stage, pin.variants, pin.start, pin.length) == (0, (0,), 6, 14)
    assert task.minutes[1] == 0
    assert tables[0].wait == 0
    assert len(task.area) == len(task.share) == 3


def test_not_moved_are_rows_chilling_pins_and_what_is_through_by_then() -> None:
    row = needs()
    row = replace(row, container=Container(name="row"))
    assert moved(one(row), ground(), state())[0].moves_on is None
    chill = needs(stage="chill", cold_weeks=12)
    chilling = state(stage="chill")
    assert moved(one(chill, needs()), ground(), chilling)[0].moves_on is None
    pin = Pin(batch="leek", stage="start", space="frame")
    assert moved(one(), ground(), state(), (pin,))[0].moves_on is None
    assert moved(one(), ground(20.0), state())[0].moves_on is None
    assert moved(one(), ground(), state(space=""))[0].moves_on is None


def test_it_waits_for_a_work_day_and_for_the_cold_that_is_supposed() -> None:
    monday = SAT + timedelta(days=2)
    two, _, _ = moved(one(), ground(today=monday), state())
    assert two.moves_on == (SAT + timedelta(days=7) - date(2026, 11, 1)).days
    cold = Change(cold=(Spell(first=date(2026, 12, 3), days=3, drop_k=8.0),))
    two, _, _ = moved(one(), ground(), state(), change=cold)
    assert two.moves_on == (date(2026, 11, 29) - date(2026, 11, 1)).days


def test_a_space_out_of_use_cannot_be_stayed_in() -> None:
    out = Change(without=(Without(space="frame", first=SAT),))
    two, own, _ = moved(one(), ground(), state(), change=out)
    rest, day = own[two.profile][1], two.moves_on
    assert day is not None
    assert rest.booked[0, day] == NOT_THROUGH
    assert np.isnan(rest.over_success[0, day])
    assert rest.booked[1, day] < NOT_THROUGH


def test_losses_so_far_go_with_it() -> None:
    """What lies below its floor for weeks has rotted in part, wherever it goes on."""
    rotting = one(needs(floor_c=8.0, rot_per_day=0.02), needs(stage="pot-up"))
    two, own, growths = moved(rotting, ground(), state())
    rest, day = own[two.profile][1], two.moves_on
    assert day is not None
    table = growths[rotting.profile][0]
    stays = float(table.success[0, 6])
    assert stays < 0.8
    assert rest.success[0, day] == pytest.approx(stays)
    fresh = float(table.success[1, day])
    assert rest.success[1, day] == pytest.approx(
        fresh * min(1.0, stays / float(table.success[0, day]))
    )


def test_a_stage_that_is_not_moved_after_all_is_told_once() -> None:
    two, _, _ = moved(one(), ground(), state())
    stays = (Stop(0, 0, 6, 20), Stop(1, 0, 20, 40), Stop(2, 1, 40, 60))
    told = list(_told_stops(Route(task=0, stops=stays, over=False, value=0), two))
    assert [(s.variant, begins, s.end, go_on) for s, begins, go_on in told] == [
        (0, 6, 40, False),
        (1, 40, 60, False),
    ]
    goes = (Stop(0, 0, 6, 20), Stop(1, 1, 20, 24), Stop(2, 1, 24, 60))
    told = list(_told_stops(Route(task=0, stops=goes, over=False, value=0), two))
    assert [(s.variant, begins, go_on) for s, begins, go_on in told] == [
        (0, 6, False),
        (1, 20, True),
        (1, 24, False),
    ]
