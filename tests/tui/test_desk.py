"""What lies on the desk, and what becomes of it; no terminal."""

from dataclasses import replace

import pytest
from tui_desks import (
    FAULTS,
    State,
    garden_outcome,
    garden_replanned,
    make_desk,
    read_garden,
)
from tui_season import TODAY

from propsched.errors import InputProblem
from propsched.service.events import Failed, Finished, Improved, Step
from propsched.tui.desk import Begun, Chosen, Faulty, Said, Tried, after

STATES: tuple[State, ...] = (
    "unread", "faulty", "empty", "unplanned", "planned", "planning", "tried",
)  # fmt: skip


@pytest.mark.parametrize("state", STATES)
def test_every_state_of_a_season_can_be_laid_out(state: State) -> None:
    """The desks that pages are tested with are what they say they are."""
    desk = make_desk(state)
    assert (desk.opened is None) == (state in ("unread", "faulty"))
    assert bool(desk.problems) == (state == "faulty")
    assert (desk.jobs is not None) == (state in ("planned", "planning", "tried"))
    assert desk.planning.busy == (state == "planning")
    assert (desk.tried is not None) == (state == "tried")
    if desk.opened is not None:
        assert desk.today == TODAY
        assert desk.opened.changed == ()
        assert bool(desk.opened.whole) == (state != "empty")


def test_a_batch_stands_in_every_state() -> None:
    """By the daybook: some lost, some out, some under way, others to come."""
    opened = read_garden().opened
    states = opened.states
    assert states["leek"].lost
    assert states["onion"].done
    assert states["bean"].stage == "harden"
    assert states["chilli"].stage == "start"
    assert not {"lettuce-1", "cucumber", "aubergine"} & set(states)
    assert {one.batch.id for one in opened.whole} >= set(states)


def test_a_run_goes_from_begun_over_better_plans_to_its_end() -> None:
    desk = after(make_desk(), Begun("Planning", 1))
    assert desk.planning.busy
    assert desk.planning.gap is None
    desk = after(after(desk, Step("Solving")), Improved(7.6, 8.0, 2.5))
    assert (desk.planning.step, desk.planning.elapsed_s) == ("Solving", 2.5)
    assert pytest.approx(desk.planning.gap) == 0.05  # (8.0 − 7.6) ÷ 8.0
    desk = after(desk, Finished(garden_outcome()))
    assert not desk.planning.busy
    assert desk.outcome is not None


def test_a_try_out_ends_with_its_answer_beside_the_plan_in_force() -> None:
    before = make_desk()
    desk = after(after(before, Begun("Trying cold", 1)), Tried(garden_replanned()))
    assert not desk.planning.busy
    assert desk.tried is not None
    assert desk.opened is before.opened


def test_faults_leave_what_was_read_before() -> None:
    desk = after(make_desk(), Faulty(FAULTS))
    assert desk.problems == FAULTS
    assert desk.opened is not None
    assert after(desk, read_garden()).problems == ()
    failed = after(desk, Failed((InputProblem("a", 1, "b"),)))
    assert failed.problems[0].path == "a"


def test_what_is_looked_at_stays_while_it_is_there() -> None:
    desk = after(make_desk(), Chosen(batch="tomato", space="bench"))
    assert (desk.batch, desk.space) == ("tomato", "bench")
    desk = after(desk, read_garden())
    assert (desk.batch, desk.space) == ("tomato", "bench")
    gone = after(replace(desk, batch="pear"), read_garden())
    assert gone.batch == "currants"
    assert after(desk, read_garden(planned=False, batches=False)).batch == ""


def test_what_is_said_keeps_its_tone() -> None:
    desk = after(make_desk(), Said("no such space", "error"))
    assert (desk.said, desk.tone) == ("no such space", "error")
