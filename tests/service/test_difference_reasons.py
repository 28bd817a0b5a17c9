"""The cause told of a difference, where no tables are needed to see it."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from service.test_differences import OVER, TODAY, day, leek, plan, standing_in, stop

from propsched.domain.plan import NotPlaced, Plan
from propsched.service.change import NOTHING, Change, Without
from propsched.service.difference_reasons import Reasons
from propsched.service.differences import difference
from propsched.service.way import ways_of

NOTHING_YET = plan()


def told(
    before: Plan, after: Plan, state: Any = None, change: Change = NOTHING
) -> tuple[str, str]:
    """Kind and reason of the one row that there is."""
    states = {} if state is None else {"leek": state}
    (way,) = ways_of(before, after, [leek()], states)
    row = difference(way, before, after, TODAY)
    assert row is not None
    return row.kind, reasons(before, after, change).of(way, row)


def reasons(before: Plan, after: Plan, change: Change = NOTHING) -> Reasons:
    loaded = SimpleNamespace(today=TODAY)
    ready = SimpleNamespace(change=change, loaded=loaded)
    cooler = SimpleNamespace(over=lambda placement, of_old=None: "")
    return Reasons(ready, None, before, after, cooler)  # type: ignore[arg-type]


NEW = plan(stop("start", "bench", 5, 20), stop("pot-up", "frame", 20, 60))


@pytest.mark.parametrize(
    ("before", "reason"),
    [
        ((), "new since the plan in force was made"),
        (("no room: it would fit if …",), "there is room for it now"),
        (
            ("too late to start now",),
            "the plan in force had left it out: too late to start now",
        ),
    ],
)
def test_why_a_batch_is_taken_up(before: tuple[str, ...], reason: str) -> None:
    left = tuple(NotPlaced(batch="leek", reason=why) for why in before)
    assert told(plan(not_placed=left), NEW) == ("taken up", reason)


def test_a_batch_given_up_because_its_start_was_missed() -> None:
    late = plan(stop("start", "bench", -5, 20), stop("pot-up", "frame", 20, 60))
    out = plan(not_placed=(NotPlaced(batch="leek", reason="too late to start now"),))
    assert told(late, out) == (
        "given up",
        "not noted as sown yet (due 27 January): note it with propsched note SEASON "
        "sown leek --space bench; too late to start now",
    )
    assert told(NEW, out) == ("given up", "too late to start now")


def test_what_stands_and_has_no_way_on_has_the_plans_own_reason() -> None:
    stands = plan(stop("start", "bench", -20, 110), ready=None, standing_over=OVER)
    why = "it stands in bench already, and no room is left for it to grow on; few left"
    after = replace(stands, batches=(replace(stands.batches[0], reason=why),))
    assert told(NEW, after, standing_in("bench")) == ("stays", why.partition(";")[0])
    closed = Change(without=(Without(space="bench"),))
    assert told(NEW, after, standing_in("bench"), closed) == (
        "stays",
        "bench is out of use, and no other space takes it",
    )


def test_a_stage_that_the_plan_in_force_did_not_have() -> None:
    stood = plan(stop("start", "bench", -20, 110), ready=None, standing_over=OVER)
    here = standing_in("bench")
    kind, why = told(stood, NEW, here)
    assert (kind, why) == ("earlier", "in the plan in force it was to stand over")
    assert told(replace(stood, standing_over=()), NEW, here)[1] == (
        "it goes through other stages than in the plan in force"
    )


def test_begun_on_another_day_or_with_fewer_left() -> None:
    before = plan(stop("pot-up", "frame", -6, 60))
    state = standing_in("frame", "pot-up", 1)
    late = plan(stop("pot-up", "frame", -20, 50), ready=50)
    assert told(before, late, state) == (
        "earlier",
        "potted up on 12 January instead of 26 January",
    )
    on_time = replace(state, since=day(-6), count=30)
    fewer = plan(stop("pot-up", "frame", -6, 60), plants=30)
    assert told(before, fewer, on_time) == ("fewer", "30 are left of 40")


def test_ready_and_not_noted_as_gone() -> None:
    last = standing_in("frame", "pot-up", 1)
    was = plan(stop("pot-up", "frame", -20, -5), ready=-5)
    kind, why = told(was, plan(stop("pot-up", "frame", -20, 0), ready=0), last)
    assert kind == "plant out"
    assert why.endswith("propsched note SEASON planted-out leek")
