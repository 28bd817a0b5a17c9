"""Reasons in sentences, on tables made by hand."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from service.test_daybook import event, leek, world

from propsched.optimise.problem import NEVER, Problem
from propsched.optimise.reason import Reason
from propsched.optimise.solution import Solution
from propsched.optimise.solve import solve
from propsched.service import reasons
from propsched.service.elsewhere import crowded
from propsched.service.reasons import where_lost, why_here, why_not_placed
from propsched.service.written import Written


def test_the_other_space_is_named_with_what_it_would_cost() -> None:
    """Nothing under way: start in the frame takes 10 days, in the sill 20."""
    _, out, _, _ = world(today="2027-03-01")
    told = why_here(out, out.solution.routes[0])
    assert "instead" in told or "no other space" in told


def test_an_alternative_that_stands_over_earlier_is_told_as_such() -> None:
    """Only the sill takes its second stage; else it would stand over in the frame."""
    crop = leek(stands_over=True)
    problem, out, _, _ = world(today="2027-03-01", crop=crop, over=0.9)
    grow = problem.profiles[0][1]
    length = grow.length.copy()
    length[1] = 32_767
    start = problem.profiles[0][0]
    changed = replace(
        problem,
        profiles=((start, replace(grow, length=length)), *problem.profiles[1:]),
    )
    solution = solve(changed, time_limit_s=5)
    told = why_here(
        replace(out, problem=changed, solution=solution), solution.routes[0]
    )
    assert "stand over in" in told or "instead" in told


def test_where_most_plants_are_lost_is_told() -> None:
    book = (
        event("2027-03-01", "sown", "sill", 60),
        event("2027-03-10", "emerged", "sill", 60),
        event("2027-03-12", "lost", "", 40),
    )
    _, out, _, _ = world(*book, today="2027-03-14")
    told = where_lost(out, out.solution.routes[0])
    assert "20 of 60 plants are expected" in told
    assert "grow on in sill" in told


def test_nothing_is_said_of_losses_where_there_are_next_to_none() -> None:
    _, out, _, _ = world(today="2027-03-01")
    assert where_lost(out, out.solution.routes[0]) == ""


def narrowed(problem: Problem, **areas: int) -> tuple[Problem, Solution]:
    """With so much area in some spaces, and its plan."""
    capacity = problem.capacity.copy()
    for name, area in areas.items():
        capacity[problem.space_names.index(name)] = area
    changed = replace(problem, capacity=capacity)
    return changed, solve(changed, time_limit_s=5)


def here_with(out: Written, **areas: int) -> tuple[Written, str]:
    problem, solution = narrowed(out.problem, **areas)
    changed = replace(out, problem=problem, solution=solution)
    return changed, why_here(changed, solution.routes[0])


def test_a_space_that_suits_and_has_no_room_is_named() -> None:
    """Sill and frame do for both stages; one of them is too small for the batch."""
    _, out, _, _ = world(today="2027-03-01")
    task = out.problem.tasks[0]
    least = min(task.area) - 1
    _, told = here_with(out, sill=least)
    assert "no other space has room; sill" in told
    assert "is too small for it" in told


def test_a_space_that_nothing_suits_is_not_named() -> None:
    _, out, _, _ = world(today="2027-03-01")
    tables = tuple(
        replace(table, length=np.where(np.arange(2)[:, None] == 0, NEVER, table.length))
        for table in out.problem.profiles[0]
    )
    problem = replace(out.problem, profiles=(tables, *out.problem.profiles[1:]))
    solution = solve(problem, time_limit_s=5)
    changed = replace(out, problem=problem, solution=solution)
    (route,) = solution.routes
    assert crowded(problem, solution, route, route.stops[0]) is None
    assert "no other space would do" in why_here(changed, route)


def test_what_stands_and_was_not_pinned_is_no_decision_of_the_grower() -> None:
    """Only what has a pin is where it is by the grower's will."""
    crop = leek(stages=leek().stages[:1])
    book = (event("2027-03-01", "sown", "sill", 60),)
    _, out, _, _ = world(*book, today="2027-03-05", crop=crop)
    assert why_here(out, out.solution.routes[0]).startswith("it stands in sill already")


def test_what_stands_and_finds_no_way_on_is_told_as_such() -> None:
    """Left where it is to the season's end, which this crop does not bear."""
    _, out, _, _ = world(event("2027-03-01", "sown", "sill", 60), today="2027-03-05")
    (route,) = out.solution.routes
    left = replace(route.stops[0], end=out.problem.days)
    told = why_here(out, replace(route, stops=(left,), over=True))
    assert told.startswith(
        "it stands in sill already, and no room is left for it to grow on"
    )
    assert "none will be left" in told


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ({"kind": "link"}, "nearer to the sowing before or after it"),
        ({"kind": "work day", "first_day": 5, "last_day": 5}, "with one on 6 March"),
        ({"kind": "away", "first_day": 5, "last_day": 9}, "nobody is there"),
        ({"kind": "pins", "first_day": 5, "last_day": 9}, "without, it fits from"),
        ({"kind": "waiting"}, "for longer than it can"),
        ({"kind": "search"}, "look for longer"),
        ({"kind": "worth"}, "too late or too weak"),
        ({"kind": "late", "short": 1}, "it is 1 day behind"),
        (
            {"kind": "areas", "why": ("sill", "frame", "the days of work"),
             "first_day": 5, "last_day": 9},
            "it would fit if sill, frame and the days of work had more from 6 March",
        ),
        (
            {"kind": "availability", "side": "ends early", "short": 9, "first_day": 5},
            "ends 9 days too soon",
        ),
        (
            {"kind": "mode", "space": 0, "text": "made up 6 March", "short": 900},
            "it would need sill made up 6 March, which costs 0.09",
        ),
        (
            {
                "kind": "mode", "space": 0, "text": "heat on", "short": 900,
                "first_day": 5, "last_day": 9,
            },
            "it would need sill with heat on from 6 March to 10 March",
        ),
    ],
)  # fmt: skip
def test_each_limit_is_a_sentence_of_its_own(
    monkeypatch: pytest.MonkeyPatch, reason: dict[str, Any], said: str
) -> None:
    _, out, _, _ = world(today="2027-03-01")
    whole = Reason(**{"text": "more of it", "gain": 1000, **reason})
    monkeypatch.setattr(reasons, "why_not", lambda *a, **k: whole)
    assert said in why_not_placed(out, 0)
