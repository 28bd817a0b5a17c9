"""Two plans set against each other, as a list to act on."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from builders import make_batch, make_crop, make_needs

from propsched.advice.state import BatchState
from propsched.domain.plan import (
    BatchPlan,
    HeatRun,
    HotbedRun,
    Placement,
    Plan,
    StandingOver,
)
from propsched.service.differences import Difference, difference, of_spaces
from propsched.service.raised import Raised, raised
from propsched.service.way import count, ways_of

TODAY = date(2027, 2, 1)


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


def stop(
    stage: str, space: str, start: int, end: int, batch: str = "leek"
) -> Placement:
    return Placement(
        batch=batch, crop="leek", method="seed", stage=stage, space=space,
        start=day(start), end=day(end), end_latest=day(end), root_mean_c=12.0,
        area_m2=0.1, containers=1, container="tray",
    )  # fmt: skip


def plan(
    *placements: Placement, ready: int | None = 60, plants: float = 40, **over: Any
) -> Plan:
    names = dict.fromkeys(p.batch for p in placements)
    plain: dict[str, Any] = {
        "season": "invented", "today": TODAY, "status": "optimal", "worth": 3.0,
        "bound": 3.0, "gap": 0.0, "terms": {}, "placements": placements,
        "batches": tuple(
            BatchPlan(
                batch=name, ready=None if ready is None else day(ready),
                ready_latest=None if ready is None else day(ready), wanted_by=None,
                plants_expected=plants, cost=0.0, wanted=40,
            )
            for name in names
        ),
        "not_placed": (), "standing_over": (), "heat": (), "hotbeds": (),
        "scarce": (), "cautions": (),
    }  # fmt: skip
    return Plan(**{**plain, **over})


def leek() -> Raised:
    crop = make_crop(make_needs(), make_needs(stage="pot-up"), name="leek")
    return raised(make_batch(id="leek", split=True), crop)


def rows(
    before: Plan, after: Plan, state: BatchState | None = None
) -> list[Difference]:
    states = {} if state is None else {"leek": state}
    found = [
        difference(way, before, after, TODAY)
        for way in ways_of(before, after, [leek()], states)
    ]
    return [row for row in found if row is not None]


OLD = plan(stop("start", "bench", 5, 20), stop("pot-up", "frame", 20, 60))


def test_the_same_plan_says_nothing() -> None:
    assert rows(OLD, OLD) == []
    assert count(ways_of(OLD, OLD, [leek()], {})) == (0, 2)


def test_moved_names_both_spaces_and_days() -> None:
    new = plan(stop("start", "sill", 12, 27), stop("pot-up", "frame", 27, 60))
    (row,) = rows(OLD, new)
    assert (row.kind, row.act) == ("moved", day(5))
    assert row.what == "sow in sill on 13 February instead of bench on 6 February"
    assert (row.from_space, row.to_space, row.stage) == ("bench", "sill", "start")
    assert count(ways_of(OLD, new, [leek()], {})) == (2, 0)


def test_delayed_and_earlier_tell_the_first_stage_and_when_it_is_ready() -> None:
    late = plan(
        stop("start", "bench", 12, 27), stop("pot-up", "frame", 27, 67), ready=67
    )
    (row,) = rows(OLD, late)
    assert row.kind == "delayed"
    assert row.what == (
        "sow on 13 February instead of 6 February (in bench); ready by 9 April, 7 days "
        "later"
    )
    (back,) = rows(late, OLD)
    assert back.kind == "earlier"
    assert back.act == day(5)


def test_given_up_and_taken_up() -> None:
    (row,) = rows(OLD, plan())
    assert (row.kind, row.act, row.from_space) == ("given up", day(5), "bench")
    (row,) = rows(plan(), OLD)
    assert (row.kind, row.what) == ("taken up", "sow in bench on 6 February")


def test_nobody_is_asked_to_act_in_the_past() -> None:
    old = plan(stop("start", "bench", -5, 10), stop("pot-up", "frame", 10, 60))
    assert rows(old, plan())[0].act == TODAY


def test_stages_that_stand_or_are_done_are_no_difference() -> None:
    """It was sown late and elsewhere; only what is to come is compared."""
    state = BatchState(
        batch="leek", stage="start", stage_index=0, space="sill", since=day(-1),
        here_since=day(-1),
    )  # fmt: skip
    new = plan(stop("start", "sill", -1, 20), stop("pot-up", "frame", 20, 60))
    assert rows(OLD, new, state) == []
    assert rows(OLD, new, replace(state, done=True)) == []
    assert count(ways_of(OLD, new, [leek()], {"leek": state})) == (0, 1)


def test_fewer_plants_and_later_without_anything_done_otherwise() -> None:
    (row,) = rows(OLD, plan(*OLD.placements, plants=31.0))
    assert (row.kind, row.what) == ("fewer", "31 plants expected instead of 40")
    (row,) = rows(OLD, plan(*OLD.placements, ready=70))
    assert (row.kind, row.what) == ("delayed", "ready by 12 April, 10 days later")
    assert rows(OLD, plan(*OLD.placements, ready=61)) == []


def test_standing_over_instead_of_being_ready() -> None:
    over = (StandingOver(batch="leek", space="frame", half_by=None),)
    new = plan(
        stop("start", "bench", 12, 27),
        stop("pot-up", "frame", 27, 110),
        ready=None,
        standing_over=over,
    )
    assert rows(OLD, new)[0].what.endswith("stands over at the season's end")


def test_halves_are_told_apart() -> None:
    half = plan(
        stop("start", "bench", 5, 20),
        stop("start", "sill", 6, 20),
        stop("pot-up", "frame", 20, 60),
        stop("pot-up", "frame", 20, 60),
    )
    (row,) = rows(OLD, half)
    assert row.batch == "leek (2 of 2)"
    assert row.what == "sow in sill on 7 February instead of bench on 6 February"


def test_beds_and_heat() -> None:
    run = HeatRun(space="bench", start=day(-9), end=day(20), kwh=9.0, cost=1.0)
    old = plan(hotbeds=(HotbedRun(space="hotbed", make_up=day(5)),), heat=(run,))
    new = plan(
        hotbeds=(HotbedRun(space="hotbed", make_up=day(12)),),
        heat=(replace(run, end=day(13)),),
    )
    bed, heat = of_spaces(old, new, TODAY)
    assert bed.what == "make up hotbed on 13 February instead of 6 February"
    assert bed.act == day(5)
    assert heat.what == (
        "heat bench 1 February to 14 February instead of 1 February to 21 February"
    )
    assert of_spaces(old, old, TODAY) == ()
    cheaper = plan(hotbeds=old.hotbeds, heat=(replace(run, kwh=8.0, start=day(-20)),))
    assert of_spaces(old, cheaper, TODAY) == ()


def standing_in(space: str, stage: str = "start", index: int = 0) -> BatchState:
    return BatchState(
        batch="leek", stage=stage, stage_index=index, space=space, since=day(-20),
        here_since=day(-20),
    )  # fmt: skip


OVER = (StandingOver(batch="leek", space="bench", half_by=None),)


def test_what_is_alive_stays_and_is_not_given_up() -> None:
    new = plan(stop("start", "bench", -20, 110), ready=None, standing_over=OVER)
    (row,) = rows(OLD, new, standing_in("bench"))
    assert (row.kind, row.to_space) == ("stays", "bench")
    assert row.what == "stays in bench: no longer pot up in frame on 21 February"


def test_what_is_moved_in_its_stage_is_not_taken_up() -> None:
    """Nothing of it was still to begin; now it is to be moved."""
    only = plan(stop("pot-up", "bench", -20, 60))
    away = replace(stop("pot-up", "frame", 3, 60), moved=True)
    new = plan(stop("pot-up", "bench", -20, 3), away)
    (row,) = rows(only, new, standing_in("bench", "pot-up", 1))
    assert (row.kind, row.what) == ("moved", "move to frame on 4 February")


def test_ready_and_still_there_is_to_be_planted_out_not_later() -> None:
    last = standing_in("frame", "pot-up", 1)
    was = plan(stop("pot-up", "frame", -20, -5), ready=-5)
    (row,) = rows(was, plan(stop("pot-up", "frame", -20, 0), ready=0), last)
    assert (row.kind, row.act, row.from_space) == ("plant out", TODAY, "frame")
    slow = plan(stop("pot-up", "frame", -20, 12), ready=12)
    (row,) = rows(was, slow, last)
    assert (row.kind, row.what) == ("delayed", "ready by 13 February, 17 days later")
