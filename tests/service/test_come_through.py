"""What comes up where it stands counts as up once it is due, noted or not."""

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

from propsched.advice.by_itself import in_place, to_note
from propsched.advice.state import BatchState, Stay
from propsched.biology.climate import Climate
from propsched.biology.development import grow
from propsched.domain.container import Container
from propsched.domain.plan import Placement, Plan
from propsched.service.come_through import LONG_D, Counted, come_through
from propsched.service.ground import Ground
from propsched.service.raised import Raised, raised
from propsched.service.stands_on import stands_on

SOWN = date(2026, 11, 7)
DUE = SOWN + timedelta(days=34)
"""100 °C·d above 2 °C, at 5 °C in the frame: through in the course of day 34."""
FRAME = make_space(id="frame", kind="cold-frame", area_m2=1.0)
BENCH = make_space(id="bench", kind="heated-bench", area_m2=1.0)


def leek(after: Any = "seedling") -> Raised:
    tray = Container(name="tray")
    stages = [make_needs(container=tray, spread=0.0)]
    stages += [make_needs(stage=after, container=tray)]
    crop = make_crop(*stages, make_needs(stage="harden", container=tray))
    return raised(make_batch(id="leek", crop=crop.name), crop)


def state(**over: Any) -> BatchState:
    plain: dict[str, Any] = {
        "batch": "leek", "stage": "start", "stage_index": 0, "space": "frame",
        "since": SOWN, "here_since": SOWN, "stays": (Stay("frame", SOWN),), "count": 30,
    }  # fmt: skip
    return BatchState(**{**plain, **over})


def counted(
    today: date,
    force: Plan | None = None,
    one: Raised | None = None,
    at: BatchState | None = None,
) -> tuple[BatchState, tuple[Counted, ...]]:
    one, at = one or leek(), at or state()
    hours = np.array([[[5.0]], [[20.0]]], np.float32)
    zone = make_zone(hours, spaces=(FRAME, BENCH), days=200, winters=2)
    season = make_season(end=date(2027, 3, 31), spaces=(FRAME, BENCH))
    climate = Climate(zone)
    ground = Ground(season=season, zone=zone, offset=0, today=today, climate=climate)
    growths = {
        one.profile: grow(one.crop, None, climate, end_day=ground.days, quantile=0.8)
    }
    found, told = come_through([one], {"leek": at}, growths, ground, force)
    return found["leek"], told


def stop(stage: str, space: str, start: date, end: date) -> Placement:
    return Placement(
        batch="leek", crop="leek", method="seed", stage=stage, space=space,
        start=start, end=end, end_latest=end, root_mean_c=5.0, area_m2=0.1,
        containers=1, container="tray",
    )  # fmt: skip


def plan(*placements: Placement) -> Plan:
    return Plan(
        season="invented", today=SOWN, status="optimal", worth=1.0, bound=1.0, gap=0.0,
        terms={}, placements=placements, batches=(), not_placed=(), standing_over=(),
        heat=(), hotbeds=(), scarce=(), cautions=(),
    )  # fmt: skip


def force(space: str) -> Plan:
    """Sown in the frame; the seedlings stand in a space from the day they show."""
    return plan(
        stop("start", "frame", SOWN, DUE),
        stop("seedling", space, DUE, DUE + timedelta(days=40)),
    )


def test_what_goes_on_where_it_stands_counts_from_the_day_it_is_due() -> None:
    early, none = counted(DUE - timedelta(days=1), force("frame"))
    assert (early, none) == (state(), ())
    now, told = counted(DUE + timedelta(days=3), force("frame"))
    assert (now.stage, now.stage_index, now.since) == ("seedling", 1, DUE)
    assert now.stays == (Stay("frame", DUE),)
    assert (now.count, now.space, now.here_since) == (30, "frame", DUE)
    assert told == (Counted(batch="leek", event="emerged", space="frame", since=DUE),)


def test_the_day_counted_from_stays_the_same_at_every_later_look() -> None:
    days = [DUE + timedelta(days=n) for n in (0, 14, 60)]
    assert {counted(day, force("frame"))[0].since for day in days} == {DUE}


@pytest.mark.parametrize("late_d", [3, 60])
def test_what_is_to_be_carried_elsewhere_is_work_and_has_to_be_noted(
    late_d: int,
) -> None:
    day = DUE + timedelta(days=late_d)
    assert counted(day, force("bench")) == (state(), ())
    assert counted(day, one=leek("prick-out")) == (state(), ())
    gone = state(lost=True)
    assert counted(day, force("frame"), at=gone) == (gone, ())


def test_without_a_plan_it_counts_a_fortnight_late() -> None:
    assert counted(DUE + timedelta(days=LONG_D - 1)) == (state(), ())
    now, _ = counted(DUE + timedelta(days=LONG_D))
    assert (now.stage, now.since) == ("seedling", DUE)
    other = plan(stop("harden", "frame", DUE, DUE + timedelta(days=9)))
    assert counted(DUE + timedelta(days=3), other) == (state(), ())


def test_tonight_it_has_leaves_to_lose() -> None:
    """Seed in the ground and seedlings are hurt by other cold."""
    day = DUE + timedelta(days=3)
    for space, stage in (("frame", "seedling"), ("bench", "start")):
        (there,) = stands_on(
            day, today=day, raised=[leek()], states={"leek": state()},
            plan=force(space), noted=True,
        )  # fmt: skip
        assert (there.space, there.needs.stage) == ("frame", stage)


def test_a_half_is_noted_under_its_name_in_quotes() -> None:
    crop = leek().crop
    assert in_place(crop, state(), force("frame").placements) is not None
    assert in_place(crop, state(), force("bench").placements) is None
    assert to_note("leek (1 of 2)", "emerged", DUE) == (
        'propsched note SEASON emerged "leek (1 of 2)" --date 2026-12-11'
    )
