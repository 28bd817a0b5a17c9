"""Spaces in every state, and which of them the daybook has them in."""

import itertools
from datetime import date, datetime

import numpy as np
import pandas as pd
import pytest
from builders import make_season, make_space

from propsched.domain.batch import Event
from propsched.domain.quantities import Horizon
from propsched.domain.season import Season, Work
from propsched.domain.space import Heat, Space, cover_of, told
from propsched.service.climate import _in_usual_state
from propsched.service.variants import (
    make_up_choices,
    states_by_day,
    usual_of,
    variants_of,
    weeks,
)
from propsched.thermal.crew import assemble
from propsched.thermal.rootzone import followed

TODAY = date(2027, 1, 14)
HEAT = Heat(set_c=18, w_per_m2=100, when="by-week")


def house(**over: object) -> Space:
    return make_space(id="house", kind="glasshouse", **over)


def bench(**over: object) -> Space:
    return make_space(
        id="bench", kind="heated-bench", inside="house", heat=HEAT, **over
    )


def bed(**over: object) -> Space:
    days = {"make_up_from": date(2027, 1, 2), "make_up_to": date(2027, 2, 7)}
    return make_space(id="bed", kind="hotbed", **{**days, **over})


def season(*spaces: Space, **over: object) -> Season:
    return make_season(spaces=spaces, **over)


def names(one: Season) -> list[str]:
    return [f"{v.space.id}: {v.name}" for v in variants_of(one, TODAY)]


def test_a_space_that_nothing_is_left_open_of_has_one_state() -> None:
    plain = make_space()
    (only,) = variants_of(season(plain), TODAY)
    assert (only.space, only.name) == (plain, "as set")


def test_heat_by_the_week_is_off_or_on_and_covers_go_with_off() -> None:
    found = variants_of(season(house(), bench(covers=("fleece",))), TODAY)
    assert [v.name for v in found[1:]] == ["heat off", "heat on", "fleece on"]
    heats = [v.space.heat and v.space.heat.when for v in found[1:]]
    assert heats == ["never", "always", "never"]
    assert [v.space.cover for v in found[1:]] == ["none", "none", "fleece"]
    assert [v.name for v in usual_of(found)] == ["as set", "heat off"]


def test_a_bed_is_there_once_for_each_day_and_cover() -> None:
    found = names(season(bed(make_up_to=date(2027, 1, 17), covers=("mat",))))
    assert found == [
        "bed: made up 16 January",
        "bed: made up 17 January",
        "bed: made up 16 January, mat on",
        "bed: made up 17 January, mat on",
    ]


def test_days_of_making_up_are_work_days_from_today_on() -> None:
    """Saturdays and Sundays; without one in the range its first day."""
    given = season(bed())
    days = make_up_choices(bed(), given, TODAY)
    assert days[0] == date(2027, 1, 16)
    assert days[-1] == date(2027, 2, 7)
    assert all(day.weekday() >= 5 for day in days)
    short = bed(make_up_from=date(2027, 1, 18), make_up_to=date(2027, 1, 20))
    assert make_up_choices(short, given, TODAY) == (date(2027, 1, 18),)
    listed = bed(
        make_up_from=None, make_up_to=None, make_up_days=(date(2027, 1, 19), TODAY)
    )
    assert make_up_choices(listed, given, TODAY) == (TODAY, date(2027, 1, 19))
    assert names(season(bed(make_up_to=date(2027, 1, 3)))) == ["bed: not made up"]


def test_many_days_are_thinned_evenly_with_both_ends() -> None:
    long = bed(make_up_to=date(2027, 4, 30))
    days = make_up_choices(long, season(long), TODAY)
    assert len(days) == 8
    assert (days[0], days[-1]) == (date(2027, 1, 16), date(2027, 4, 25))
    covered = bed(make_up_to=date(2027, 4, 30), covers=("fleece",))
    assert len(variants_of(season(covered), TODAY)) == 8


def test_what_stands_inside_breathes_the_usual_air() -> None:
    """A heated bench in a house heated by the week: the air of the cold house."""
    variants = variants_of(season(house(heat=HEAT), bench()), TODAY)
    crew = assemble(variants, make_season().site, Horizon(date(2027, 1, 1), 3))
    row_of = {int(row): i for i, row in enumerate(crew.place_in_order)}
    around = [
        int(crew.around[0, int(crew.place_in_order[i])])
        for i, v in enumerate(variants)
        if v.space.id == "bench"
    ]
    cold = next(row for row, i in row_of.items() if variants[i].name == "heat off")
    first_of_own = 3  # outdoors, deep, beside; no rooms here
    assert {a - first_of_own for a in around} == {cold}


def event(kind: str, space: str, day: date, note: str = "") -> Event:
    time = datetime(day.year, day.month, day.day, 9)
    return Event(time=time, event=kind, space=space, note=note)  # type: ignore[arg-type]


def test_the_daybook_says_which_state_a_space_is_in() -> None:
    one = season(house(covers=("fleece", "mat")), bench())
    variants, horizon = variants_of(one, TODAY), Horizon(date(2027, 1, 1), 30)
    book = [
        event("heat-on", "bench", date(2027, 1, 5)),
        event("heat-off", "bench", date(2027, 1, 9)),
        event("heat-on", "bench", date(2027, 1, 12)),
        event("heat-off", "bench", date(2027, 1, 20)),  # to come
        event("cover-on", "house", date(2027, 1, 3), "the old mat"),
        event("cover-off", "house", date(2027, 1, 6)),
        event("cover-on", "house", date(2027, 1, 10)),
    ]
    states = states_by_day(variants, book, horizon, TODAY)
    heated = [variants[v].name == "heat on" for v in states["bench"]]
    assert heated == [False] * 4 + [True] * 4 + [False] * 3 + [True] * 19
    covers = [cover_of(variants[v].name) for v in states["house"]]
    assert covers == [""] * 2 + ["mat"] * 3 + [""] * 4 + ["fleece"] * 21


def test_hours_follow_the_state() -> None:
    hourly = np.arange(2 * 3 * 48, dtype=np.float32).reshape(2, 3, 48)
    rows = np.array([1, 0])
    got = followed(hourly, rows)
    assert got.shape == (3, 48)
    np.testing.assert_array_equal(got[:, :24], hourly[1, :, :24])
    np.testing.assert_array_equal(got[:, 24:], hourly[0, :, 24:])


@pytest.mark.parametrize(
    ("days", "first"), [(("sat", "sun"), 5), (("wed",), 2), (("sun", "tue"), 1)]
)
def test_weeks_begin_on_their_first_work_day(days: tuple[str, ...], first: int) -> None:
    one = season(make_space(), work=Work(days=days))  # type: ignore[arg-type]
    found = list(weeks(10, 60, one))
    assert found[0][0] == 10
    assert found[-1][1] == 60
    assert all(a[1] == b[0] for a, b in itertools.pairwise(found))
    begun = [one.horizon.date(day).weekday() for day, _ in found[1:]]
    assert set(begun) == {first}


def test_what_is_told_of_a_state() -> None:
    assert [told(n) for n in ("as set", "heat off", "made up 6 February")] == [""] * 3
    assert told("heat on") == "heat on"
    assert told("made up 6 February, fleece on") == "fleece on"
    assert cover_of("made up 6 February, fleece on") == "fleece"
    assert [cover_of(n) for n in ("as set", "heat on", "heat off")] == [""] * 3


def test_figures_are_learnt_from_the_usual_state_alone() -> None:
    one = season(house(), bench())
    variants, horizon = variants_of(one, TODAY), Horizon(date(2027, 1, 1), 30)
    book = [
        event("heat-on", "bench", date(2027, 1, 5)),
        event("heat-off", "bench", date(2027, 1, 9)),
    ]
    states = states_by_day(variants, book, horizon, TODAY)
    rows = [("bench", 3), ("bench", 6), ("house", 6), ("bench", 12)]
    read = pd.DataFrame(
        {
            "time": pd.to_datetime([f"2027-01-{day:02d} 09:00" for _, day in rows]),
            "space": [space for space, _ in rows],
        }
    )
    kept = _in_usual_state(read, variants, states, horizon)
    assert list(kept["space"]) == ["bench", "house", "bench"]
    assert list(kept["time"].dt.day) == [3, 6, 12]
