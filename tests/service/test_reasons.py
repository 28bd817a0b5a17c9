"""Reasons in sentences, on tables made by hand."""

from dataclasses import replace

from service.test_daybook import event, leek, world

from propsched.optimise.solve import solve
from propsched.service.reasons import where_lost, why_here


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
