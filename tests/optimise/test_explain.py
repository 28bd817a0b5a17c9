"""Why a batch is left out names the limit that has to give way."""

from dataclasses import replace

import numpy as np
import pytest
from optimise.small_seasons import small_season

from propsched.optimise.explain import area_worth, best_elsewhere, why_not
from propsched.optimise.lifting import lifted
from propsched.optimise.problem import (
    NEVER,
    PPM,
    Link,
    Mode,
    Period,
    Pinned,
    Problem,
    StageTable,
    Task,
)
from propsched.optimise.solution import Solution
from propsched.optimise.solve import MustConflictError, solve

DAYS = 30


def _table(**over: object) -> StageTable:
    plain: dict[str, object] = {
        "name": "start",
        "length": np.full((2, DAYS), 5, dtype=np.int16),
        "success": np.array([[PPM], [700_000]], dtype=np.int32).repeat(DAYS, axis=1),
        "over_success": np.full((2, DAYS), -1, dtype=np.int32),
        "wait": 0,
        "any_day": False,
        "why": np.zeros((2, DAYS), dtype=np.uint8),
    }
    return StageTable(**{**plain, **over})  # type: ignore[arg-type]


def _task(name: str, **over: object) -> Task:
    plain: dict[str, object] = {
        "name": name,
        "profile": 0,
        "area": (6,),
        "minutes": (5, 5),
        "share": (PPM,),
        "weight": 10_000,
        "earliest": 4,
        "latest": 4,
    }
    return Task(**{**plain, **over})  # type: ignore[arg-type]


def _problem(*tasks: Task, table: StageTable | None = None) -> Problem:
    return Problem(
        days=DAYS,
        space_of=np.arange(2, dtype=np.int32),
        capacity=np.array([[10], [2]], dtype=np.int64).repeat(DAYS, axis=1),
        work=np.ones(DAYS, dtype=np.bool_),
        away=np.zeros(DAYS, dtype=np.bool_),
        minutes=np.full(DAYS, 100, dtype=np.int64),
        move_cost=0,
        profiles=((table or _table(),),),
        tasks=tasks,
        space_names=("propagator", "frame"),
    )


def _left_out(problem: Problem) -> tuple[Solution, int]:
    solution = solve(problem, gap=0.0)
    placed = {route.task for route in solution.routes}
    (left,) = set(range(len(problem.tasks))) - placed
    return solution, left


def test_room_that_lacks_is_named_with_space_days_and_amount() -> None:
    """Two want 6 of 10 on the same days: the propagator is short of 2."""
    problem = _problem(_task("leek"), _task("kale", weight=9_000))
    solution, left = _left_out(problem)
    reason = why_not(problem, solution, left)
    assert (reason.kind, reason.space, reason.short) == ("area", 0, 2)
    assert (reason.first_day, reason.last_day) == (4, 8)
    assert reason.gain == 9_000
    assert "propagator" in reason.text


def test_work_that_lacks_is_named() -> None:
    tasks = (_task("leek", area=(1,)), _task("kale", area=(1,), weight=9_000))
    problem = replace(_problem(*tasks), minutes=np.full(DAYS, 8, dtype=np.int64))
    solution, left = _left_out(problem)
    reason = why_not(problem, solution, left)
    assert (reason.kind, reason.short, reason.first_day) == ("work", 2, 4)


@pytest.mark.parametrize(
    ("kind", "over"),
    [
        ("availability", {"earliest": 27, "latest": 29}),
        ("gate", {"gate": 20}),
        ("pins", {"pins": (Pinned(stage=0, start=28),)}),
    ],
)
def test_a_limit_of_its_own_is_named(kind: str, over: dict[str, object]) -> None:
    problem = _problem(_task("leek"), _task("kale", area=(1,), **over))
    solution, left = _left_out(problem)
    assert left == 1
    assert why_not(problem, solution, left).kind in (
        (kind, "waiting") if kind == "gate" else (kind,)
    )


@pytest.mark.parametrize(
    ("window", "today", "kind", "side", "short", "first"),
    [
        ((27, 29), 0, "availability", "begins late", 3, 24),
        ((27, 29), 24, "availability", "begins late", 3, 24),
        ((0, 2), 6, "availability", "ends early", 4, 6),
        ((27, 29), 26, "late", "", 2, None),
        ((26, 29), 26, "late", "", 2, None),
    ],
)
def test_the_side_on_which_its_dates_are_short_is_told(
    window: tuple[int, int],
    today: int,
    kind: str,
    side: str,
    short: int,
    first: int | None,
) -> None:
    """Five days from the 24th are the last that fit; none begins before today."""
    earliest, latest = max(window[0], today), window[1]
    kale = _task("kale", area=(1,), earliest=earliest, latest=latest)
    problem = _problem(kale)
    reason = why_not(problem, solve(problem, gap=0.0), 0, today)
    assert (reason.kind, reason.side, reason.short) == (kind, side, short)
    assert reason.first_day == first


def test_a_batch_larger_than_any_space_is_told_so() -> None:
    problem = _problem(_task("leek", area=(13,)))
    reason = why_not(problem, solve(problem, gap=0.0), 0)
    assert (reason.kind, reason.stage, reason.space) == ("size", 0, 0)
    assert (reason.needed, reason.largest, reason.short) == (13, 10, 3)


@pytest.mark.parametrize(
    ("any_day", "absent", "kind"),
    [
        (False, (), "work day"),
        (True, (9,), "away"),
        (False, (9,), "away"),
    ],
)
def test_nobody_there_is_told_apart_from_no_work(
    any_day: bool, absent: tuple[int, ...], kind: str
) -> None:
    """It starts on day 4 and has to leave on day 9 sharp."""
    work, away = np.zeros(DAYS, dtype=np.bool_), np.zeros(DAYS, dtype=np.bool_)
    work[4], away[list(absent)] = True, True
    problem = _problem(_task("leek"), table=_table(any_day=any_day))
    problem = replace(problem, work=work, away=away)
    reasons = lifted(problem, solve(problem, gap=0.0), 0, 0)
    reason = next(r for r in reasons if r.kind in ("away", "work day"))
    assert (reason.kind, reason.first_day, reason.last_day) == (kind, 9, 9)
    assert reason.short == 1


def test_too_little_patience_is_named() -> None:
    """The one work day after the fifth is the eleventh: it would have to wait."""
    work = np.zeros(DAYS, dtype=np.bool_)
    work[[4, 11]] = True
    problem = replace(_problem(_task("leek")), work=work)
    solution, left = _left_out(problem)
    assert why_not(problem, solution, left).kind == "waiting"


def test_what_the_tables_forbid_is_told_in_their_words() -> None:
    table = _table(
        length=np.full((2, DAYS), NEVER, dtype=np.int16),
        why=np.array([[4], [2]], dtype=np.uint8).repeat(DAYS, axis=1),
    )
    problem = _problem(_task("leek"), table=table)
    solution, left = _left_out(problem)
    reason = why_not(problem, solution, left)
    assert reason.kind == "tables"
    assert set(reason.why) == {"too dark", "too cold: it would not survive"}


def test_what_would_be_worth_nothing_says_so() -> None:
    late = {"wanted_by": 0, "late_per_day": 5_000}
    problem = _problem(_task("leek", **late))
    solution, left = _left_out(problem)
    assert why_not(problem, solution, left).kind == "worth"


def test_a_placed_task_needs_no_reason() -> None:
    problem = _problem(_task("leek"))
    with pytest.raises(ValueError, match="leek is placed"):
        why_not(problem, solve(problem), 0)


def test_the_best_other_space_and_its_price_are_told() -> None:
    """A small batch would do in the frame, at three tenths of its worth."""
    problem = _problem(_task("leek", area=(2,)))
    solution = solve(problem)
    (other,) = best_elsewhere(problem, solution, solution.routes[0])
    assert other.route is not None
    assert other.route.stops[0].variant == 1
    assert other.loss == 3_000


def test_without_another_space_the_whole_worth_is_lost() -> None:
    problem = _problem(_task("leek"))
    solution = solve(problem)
    (other,) = best_elsewhere(problem, solution, solution.routes[0])
    assert (other.route, other.loss) == (None, 10_000)


def test_only_the_full_space_is_scarce_and_only_in_its_week() -> None:
    problem = _problem(*(_task(name, weight=9_000) for name in "abc"))
    worth = area_worth(problem, solve(problem, gap=0.0))
    assert (worth[0] > 0).any()
    assert not worth[1].any()
    assert not worth[:, 14:].any()


def _heated(cost: int) -> Problem:
    """One space, in which the batch roots only if it is heated all the time."""
    length = np.full((3, DAYS), NEVER, dtype=np.int16)
    length[2] = 5
    table = _table(
        length=length,
        success=np.full((3, DAYS), PPM, dtype=np.int32),
        over_success=np.full((3, DAYS), -1, dtype=np.int32),
        why=np.zeros((3, DAYS), dtype=np.uint8),
    )
    modes = (
        Mode(name="heat off", variants=(0,)),
        Mode(name="heat on", variants=(2,), cost=cost),
    )
    return replace(
        _problem(_task("fig"), table=table),
        space_of=np.array([0, 1, 0], dtype=np.int32),
        periods=(Period(space=0, first=2, end=12, modes=modes),),
    )


def test_heat_that_costs_more_than_it_brings_is_the_reason() -> None:
    problem = _heated(cost=12_000)
    solution = solve(problem, gap=0.0)
    assert not solution.routes
    reason = why_not(problem, solution, 0)
    assert (reason.kind, reason.text, reason.space) == ("mode", "heat on", 0)
    assert (reason.short, reason.gain) == (12_000, 10_000)
    assert (reason.first_day, reason.last_day) == (2, 11)


def test_heat_that_brings_more_than_it_costs_is_on() -> None:
    solution = solve(_heated(cost=4_000), gap=0.0)
    assert (solution.worth, solution.modes) == (6_000, (1,))


def test_a_linked_sowing_too_near_is_the_reason() -> None:
    tasks = (_task("first"), _task("second", weight=5_000, earliest=9, latest=9))
    problem = replace(_problem(*tasks), links=(Link(earlier=0, later=1, days=7),))
    reason = why_not(problem, solve(problem, gap=0.0), 1)
    assert reason.kind == "link"


@pytest.mark.parametrize("seed", range(40))
def test_every_task_left_out_has_a_reason(seed: int) -> None:
    """Whatever the season; and lifting it never names a placed or fitting task."""
    problem = small_season(seed)
    try:
        solution = solve(problem, gap=0.0)
    except MustConflictError:
        return
    placed = {route.task for route in solution.routes}
    for task in range(len(problem.tasks)):
        if task not in placed:
            reason = why_not(problem, solution, task)
            assert reason.kind != "search"
            assert reason.text
    for route in solution.routes:
        assert all(e.loss >= 0 for e in best_elsewhere(problem, solution, route))


def test_two_spaces_that_would_both_have_to_give_are_both_named() -> None:
    """Neither alone helps: it would begin in the one and go on in the other."""
    never = np.full((2, DAYS), NEVER, dtype=np.int16)
    begin, then = never.copy(), never.copy()
    begin[0], then[1] = 5, 5
    stages = (_table(length=begin), _table(name="grow", length=then))
    tasks = [
        _task(name, area=(6, 2), minutes=(5, 5, 5), share=(PPM, PPM), weight=weight)
        for name, weight in (("leek", 10_000), ("kale", 9_000))
    ]
    capacity = np.zeros((2, DAYS), dtype=np.int64)
    capacity[0, 4:9], capacity[1, 9:14] = 10, 2
    problem = replace(_problem(*tasks), profiles=(stages,), capacity=capacity)
    solution, left = _left_out(problem)
    reason = why_not(problem, solution, left)
    assert (reason.kind, reason.why) == ("areas", ("propagator", "frame"))
    assert (reason.first_day, reason.last_day) == (4, 13)
    tired = replace(problem, minutes=np.full(DAYS, 8, dtype=np.int64))
    solution, left = _left_out(tired)
    reason = why_not(tired, solution, left)
    assert reason.why == ("propagator", "frame", "the days of work")
