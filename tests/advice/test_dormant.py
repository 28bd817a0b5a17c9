"""Seed that lies warm and then cold, by the moves that the daybook has."""

from datetime import date, datetime

import pytest
from builders import make_season, make_space

from propsched.advice.state import BatchState, standing
from propsched.domain.batch import Event
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.space import Heat

BAG = Container(name="bag")
HAWTHORN = Crop(
    name="hawthorn",
    method="seed",
    stages=(
        Needs(stage="warm", container=BAG, warm_weeks=8),
        Needs(stage="chill", container=BAG, cold_weeks=4),
        Needs(stage="start", container=BAG),
        Needs(stage="seedling", container=BAG),
    ),
)
SEASON = make_season(
    spaces=(
        make_space(id="sill", kind="windowsill", room_c=18.0),
        make_space(id="cupboard", kind="warm-cupboard"),
        make_space(id="house", kind="glasshouse", heat=Heat(set_c=16, w_per_m2=100)),
        make_space(id="frame", kind="cold-frame"),
        make_space(id="fridge", kind="store", room_c=3.0),
    )
)


def state(*events: tuple[str, str, str]) -> BatchState:
    """Of events as (day, what, space)."""
    noted = [
        Event(
            time=datetime.fromisoformat(f"{day} 09:00"),
            batch="hawthorn",
            event=what,  # type: ignore[arg-type]
            space=space,
            count=60 if what == "sown" else None,
        )
        for day, what, space in events
    ]
    return standing(noted, SEASON, {"hawthorn": HAWTHORN})["hawthorn"]


SOWN = ("2026-11-01", "sown", "sill")


def test_what_is_sown_lies_warm() -> None:
    found = state(SOWN)

    assert (found.stage, found.space, found.count) == ("warm", "sill", 60)


def test_a_move_into_the_cold_and_into_the_warmth_again_takes_it_on() -> None:
    cold = state(SOWN, ("2027-01-02", "moved", "fridge"))
    up = state(SOWN, ("2027-01-02", "moved", "fridge"), ("2027-01-20", "moved", "sill"))

    assert (cold.stage, cold.since, cold.count) == ("chill", date(2027, 1, 2), 60)
    assert (up.stage, up.since, up.count) == ("start", date(2027, 1, 20), 60)


@pytest.mark.parametrize("warm", ["cupboard", "house"])
def test_a_move_between_warm_places_leaves_it_warm(warm: str) -> None:
    found = state(SOWN, ("2026-12-01", "moved", warm))

    assert (found.stage, found.space) == ("warm", warm)
    assert (found.since, found.here_since) == (date(2026, 11, 1), date(2026, 12, 1))


def test_a_move_between_cold_places_leaves_it_cold_until_its_weeks_are_over() -> None:
    """Four weeks asked: still cold after three, to come up after four."""
    cold = (SOWN, ("2027-01-02", "moved", "fridge"))

    assert state(*cold, ("2027-01-23", "moved", "frame")).stage == "chill"
    assert state(*cold, ("2027-01-30", "moved", "frame")).stage == "start"


def test_another_start_takes_it_on_wherever_it_is_brought() -> None:
    cold = state(SOWN, ("2027-01-02", "started", "house"))
    up = state(SOWN, ("2027-01-02", "started", "house"), ("2027-01-05", "sown", ""))

    assert (cold.stage, cold.space) == ("chill", "house")
    assert (up.stage, up.space) == ("start", "house")


def test_what_comes_up_early_is_a_seedling() -> None:
    found = state(
        SOWN, ("2027-01-02", "moved", "fridge"), ("2027-01-09", "emerged", "")
    )

    assert (found.stage, found.space) == ("seedling", "fridge")


def test_a_move_to_a_space_that_is_not_in_the_season_changes_nothing() -> None:
    assert state(SOWN, ("2027-01-02", "moved", "attic")).stage == "warm"
