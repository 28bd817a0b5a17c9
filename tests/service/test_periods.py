"""Weeks of heat and days of making up as the planner is asked to choose them."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from builders import make_season, make_space, make_zone

from propsched.biology.growth import NO_STAND, StageGrowth
from propsched.domain.season import HeatPrice, Weights
from propsched.domain.space import Heat, Lamp, Space
from propsched.optimise.problem import NEVER, WORTH_SCALE, Problem
from propsched.optimise.solution import Solution
from propsched.service.chosen import (
    NOT_THERE,
    chosen_states,
    daily_medians,
    heat,
    hotbeds,
    kwh_by_day,
    mode_cost,
)
from propsched.service.ground import Ground, capacity, stage_table
from propsched.service.periods import (
    heat_without_choice,
    manure_left,
    periods,
    states_without_choice,
)
from propsched.service.variants import variants_of

START, END = date(2027, 1, 1), date(2027, 2, 28)
TODAY = date(2027, 1, 13)  # a Wednesday
NOW = 12
BENCH = make_space(
    id="bench",
    kind="heated-bench",
    covers=("fleece",),
    heat=Heat(
        set_c=18,
        w_per_m2=100,
        when="by-week",
        start=date(2027, 1, 10),
        end=date(2027, 2, 9),
    ),
)
BED = make_space(
    id="bed",
    kind="hotbed",
    area_m2=1.5,
    make_up_days=(date(2027, 1, 16), date(2027, 2, 6)),
)


def ground(*spaces: Space, kwh: object = 0.0, **over: object) -> Ground:
    season = make_season(
        start=START,
        end=END,
        spaces=spaces,
        heat=HeatPrice(price_per_kwh=0.5, **over),
        weights=Weights(heat_per_unit=0.1),
    )
    variants = variants_of(season, TODAY)
    zone = make_zone(
        np.arange(len(variants), dtype=float)[:, None, None],
        spaces=[v.space for v in variants],
        first=START,
        days=season.horizon.days,
        winters=2,
        kwh=kwh,
    )
    return Ground(
        season=season, zone=replace(zone, variants=variants), offset=0, today=TODAY
    )


def problem(where: Ground) -> Problem:
    found = periods(where)
    return Problem(
        days=where.days,
        space_of=np.zeros(len(where.zone.variants), dtype=np.int32),
        capacity=capacity(where),
        work=np.ones(where.days, dtype=bool),
        away=np.zeros(where.days, dtype=bool),
        minutes=np.zeros(where.days, dtype=np.int64),
        move_cost=0,
        profiles=(),
        tasks=(),
        periods=found,
        manure=manure_left(where, found),
    )


def solved(one: Problem, modes: tuple[int, ...]) -> Solution:
    return Solution(
        routes=(),
        worth=0,
        bound=0,
        status="optimal",
        area_price=np.zeros((1, 1)),
        minute_price=np.zeros(1),
        modes=modes,
    )


def test_heat_is_left_open_from_today_to_its_last_day_in_weeks() -> None:
    """Begun on a Wednesday, then on Saturdays; the heat ends on 9 February."""
    found = periods(ground(BENCH))
    assert [(p.first, p.end) for p in found] == [
        (12, 15), (15, 22), (22, 29), (29, 36), (36, 40)
    ]  # fmt: skip
    off, on = found[0].modes
    assert (off.name, off.variants, off.cost) == ("heat off", (0, 2), 0)
    assert (on.name, on.variants) == ("heat on", (1,))


def test_a_week_costs_what_it_takes_more_than_off() -> None:
    """3 kWh a day on, 1 off (a lamp's), 0.50 each, weight 0.1: 0.7 for seven days."""
    kwh = np.array([1.0, 3.0, 1.0])[:, None, None]
    where = ground(BENCH, kwh=kwh)
    assert periods(where)[1].modes[1].cost == round(0.7 * WORTH_SCALE)
    # the lamp shines on all 59 days, whatever is decided
    assert heat_without_choice(where) == round(59 * 0.05 * WORTH_SCALE)


def test_past_days_cost_what_the_daybook_says() -> None:
    kwh = np.array([0.0, 2.0, 0.0])[:, None, None]
    row = np.zeros(59, dtype=np.int64)
    row[5:] = 1
    where = replace(ground(BENCH, kwh=kwh), states={"bench": row})
    states = states_without_choice(where)
    assert states[0].tolist() == [0] * 5 + [1] * 7 + [0] * 47
    assert heat_without_choice(where) == round(7 * 0.1 * WORTH_SCALE)


def test_a_bed_is_made_up_on_one_of_its_days_or_not_at_all() -> None:
    (one,) = periods(ground(BED))
    assert (one.first, one.end) == (NOW, 59)
    assert [(m.name, m.variants, m.cost, m.manure) for m in one.modes] == [
        ("not made up", (), 0, 0),
        ("made up 16 January", (0,), 0, 900),
        ("made up 6 February", (1,), 0, 900),
    ]


@pytest.mark.parametrize(("most", "left"), [(None, None), (2.0, 1400), (0.4, 0)])
def test_beds_with_a_day_of_their_own_take_their_manure_first(
    most: float | None, left: int | None
) -> None:
    """1.0 m² × 60 cm of a fixed bed; mowings are no manure."""
    fixed = make_space(
        id="other", kind="hotbed", area_m2=1.0, make_up=date(2027, 1, 20)
    )
    mown = replace(fixed, id="third", material="mowings")
    where = ground(BED, fixed, mown, manure_m3=most)
    assert manure_left(where, periods(where)) == left


def test_manure_is_no_limit_where_no_day_is_open() -> None:
    fixed = make_space(id="bed", kind="hotbed", make_up=date(2027, 1, 20))
    where = ground(fixed, manure_m3=0.1)
    assert periods(where) == ()
    assert manure_left(where, ()) is None


def test_a_bed_has_room_from_the_day_after_its_first_day() -> None:
    free = capacity(ground(BED))[0]
    assert free[:16].tolist() == [0] * 16
    assert (free[16:] == 1500).all()


def test_nothing_stands_in_a_bed_before_it_is_there() -> None:
    where = ground(BED)
    shape = (2, where.days)
    growth = StageGrowth(
        stage="start",
        booked=np.full(shape, 5, dtype=np.int16),
        median=np.full(shape, 4, dtype=np.int16),
        success=np.ones(shape, dtype=np.float32),
        over_success=np.ones(shape, dtype=np.float32),
        why=np.zeros(shape, dtype=np.uint8),
    )
    table = stage_table(growth, where, wait=3, any_day=False)
    for v, first in ((0, 16), (1, 37)):
        assert (table.length[v, :first] == NEVER).all()
        assert table.length[v, first] == 5
        assert (table.over_success[v, :first] == -1).all()
        assert (table.why[v, :first] & NO_STAND).all()


def test_a_cover_has_to_bring_a_plant_in_a_thousand() -> None:
    where = ground(BENCH)
    shape = (3, where.days)
    growth = StageGrowth(
        stage="start",
        booked=np.full(shape, 5, dtype=np.int16),
        median=np.full(shape, 4, dtype=np.int16),
        success=np.full(shape, 0.9, dtype=np.float32),
        over_success=np.full(shape, np.nan, dtype=np.float32),
        why=np.zeros(shape, dtype=np.uint8),
    )
    table = stage_table(growth, where, wait=3, any_day=False)
    assert table.success[:, 0].tolist() == [900_000, 900_000, 899_000]
    assert (table.over_success == -1).all()


def test_runs_of_heat_are_those_weeks_that_were_chosen() -> None:
    """Two weeks on, one off, one on: 1 kWh a day at 0.50."""
    kwh = np.array([0.0, 1.0, 0.0])[:, None, None]
    where = ground(BENCH, kwh=kwh)
    one = problem(where)
    answer = solved(one, (0, 1, 1, 0, 1))
    states = chosen_states(where, one, answer)
    assert mode_cost(one, answer) == sum(
        one.periods[p].modes[1].cost for p in (1, 2, 4)
    )
    runs = heat(where, states)
    assert [(r.start.day, r.end.day, r.kwh, r.cost) for r in runs] == [
        (16, 29, 14.0, 7.0), (6, 9, 4.0, 2.0)
    ]  # fmt: skip
    assert kwh_by_day(where, states)[0, 15] == 1.0
    medians = daily_medians(where, states)["bench"]
    assert (medians[14], medians[15], medians[29]) == (0.0, 1.0, 0.0)


def test_the_days_of_a_lamp_between_weeks_of_heat_are_a_run_of_their_own() -> None:
    kwh = np.array([0.5, 2.0, 0.5])[:, None, None]
    lit = replace(BENCH, lamp=Lamp(mol_m2_d=5, w=31.25))
    where = ground(lit, kwh=kwh)
    one = problem(where)
    runs = heat(where, chosen_states(where, one, solved(one, (0, 1, 0, 0, 0))))
    assert [round(r.kwh, 1) for r in runs] == [7.5, 14.0, 18.5]
    assert sum(r.kwh for r in runs) == pytest.approx(59 * 0.5 + 7 * 1.5)


@pytest.mark.parametrize(
    ("mode", "made"), [(0, None), (1, date(2027, 1, 16)), (2, date(2027, 2, 6))]
)
def test_the_day_chosen_for_a_bed_is_told(mode: int, made: date | None) -> None:
    where = ground(BED)
    one = problem(where)
    states = chosen_states(where, one, solved(one, (mode,)))
    assert [run.make_up for run in hotbeds(where, states)] == ([made] if made else [])
    warm = daily_medians(where, states)["bed"]
    assert np.isnan(warm[-1]) == (made is None)
    assert (states[0, -1] == NOT_THERE) == (made is None)
