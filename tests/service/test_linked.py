"""Sowings of one row, batches in halves, and what stands under heat by the week."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest
from builders import make_batch, make_needs, make_season, make_space, make_zone

from propsched.advice.state import BatchState, standing
from propsched.biology.climate import Climate
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.domain.batch import Batch, Event, Repeat
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.plan import ways
from propsched.domain.repeats import expand
from propsched.domain.season import Season, Work
from propsched.domain.space import Heat, Space
from propsched.optimise.problem import NEVER, Link, Pinned, Problem, Route, Split, Stop
from propsched.optimise.solution import Solution
from propsched.service.assemble import build_problem
from propsched.service.ground import Ground
from propsched.service.linked import begun_on, with_halves
from propsched.service.raised import Raised, halves, raised
from propsched.service.stands import leave_standing
from propsched.service.underway import through
from propsched.service.variants import states_by_day, variants_of
from propsched.service.written import Written, batches, placements

START, DAYS = date(2027, 3, 1), 60
TRAY = Container(name="tray")
LEEK = Crop(
    name="leek",
    method="seed",
    stages=tuple(Needs(stage=s, container=TRAY, wait_d=30) for s in ("start", "grow")),
)
SALAD = make_batch(
    id="salad",
    wanted=12,
    available_from=START,
    repeat=Repeat(every_days=14, times=3),
)
SILL, FRAME = make_space(id="sill"), make_space(id="frame")
BOX = make_space(
    id="box", kind="propagator", heat=Heat(set_c=20, w_per_m2=100, when="by-week")
)


def event(day: str, name: str, batch: str = "", space: str = "") -> Event:
    time = datetime.fromisoformat(f"{day} 10:00")
    return Event(time=time, event=name, batch=batch, space=space)  # type: ignore[arg-type]


class World:
    """Hand-made tables: so many days in every state of every space."""

    def __init__(
        self,
        rows: Sequence[Batch],
        *daybook: Event,
        today: date = START,
        spaces: Sequence[Space] = (SILL, FRAME),
        length: Sequence[int] = (20, 10),
        pins: dict[str, tuple[Pinned, ...]] | None = None,
    ) -> None:
        self.season: Season = make_season(
            start=START,
            end=date(2027, 4, 29),
            spaces=tuple(spaces),
            work=Work(days=("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
        )
        variants = variants_of(self.season, today)
        zone = make_zone(spaces=[v.space for v in variants], first=START, days=DAYS)
        self.ground = Ground(
            season=self.season,
            zone=replace(zone, variants=variants),
            offset=0,
            today=today,
            states=states_by_day(variants, daybook, zone.horizon, today),
        )
        whole = tuple(raised(one, LEEK) for one in expand(rows))
        self.states: dict[str, BatchState] = standing(
            daybook, self.season, {one.batch.id: LEEK for one in whole}, today=today
        )
        self.raised: tuple[Raised, ...] = with_halves(
            whole, rows, self.states, pins or {}
        )
        grown = tuple(self._growth(n.stage, length) for n in LEEK.stages)
        self.growths = {one.profile: grown for one in whole}
        self.problem: Problem = build_problem(
            self.raised,
            self.states,
            pins or {},
            self.growths,
            self.ground,
            {one.batch.id: 0 for one in whole},
            rows=rows,
            begun=begun_on(daybook, today),
        )

    def _growth(self, stage: str, days: Sequence[int]) -> StageGrowth:
        length = np.repeat(np.array(days, dtype=np.int16)[:, None], DAYS, axis=1)
        share = np.ones((len(days), DAYS), dtype=np.float32)
        return StageGrowth(
            stage=stage,
            median=length,
            booked=length,
            success=share,
            over_success=np.full_like(share, np.nan),
            why=np.zeros((len(days), DAYS), dtype=np.uint8),
        )

    def written(self, *routes: Route) -> Written:
        solution = Solution(
            routes=routes,
            worth=0,
            bound=0,
            status="optimal",
            area_price=np.zeros((2, DAYS)),
            minute_price=np.zeros(DAYS),
        )
        return Written(
            ground=self.ground,
            problem=self.problem,
            solution=solution,
            raised=self.raised,
            growths=self.growths,
            states=self.states,
        )


def route(task: int, variant: int, start: int, then: int, end: int) -> Route:
    stops = (Stop(0, variant, start, then), Stop(1, variant, then, end))
    return Route(task=task, stops=stops, over=False, value=0)


# ── sowings of one row ────────────────────────────────────────────────────────────


def test_sowings_of_one_row_are_linked_one_to_the_next() -> None:
    """Every 14 days, made on work days: 11 days apart at least."""
    world = World([SALAD])
    assert [task.earliest for task in world.problem.tasks] == [0, 14, 28]
    assert world.problem.links == (
        Link(earlier=0, later=1, days=11),
        Link(earlier=1, later=2, days=11),
    )


def test_a_sowing_keeps_away_from_one_that_is_begun() -> None:
    """The first is sown on 11 March: the second not before the 22nd, day 21."""
    world = World(
        [SALAD], event("2027-03-11", "sown", "salad-1", "sill"), today=date(2027, 3, 12)
    )
    assert [task.earliest for task in world.problem.tasks] == [0, 21, 28]
    assert world.problem.links == (Link(earlier=1, later=2, days=11),)


def test_a_sowing_that_is_begun_is_held_back_by_nothing() -> None:
    world = World(
        [SALAD], event("2027-03-11", "sown", "salad-2", "sill"), today=date(2027, 3, 12)
    )
    assert world.problem.links == ()
    assert world.problem.tasks[2].earliest == 28  # 11 days after the second have passed


def test_very_close_sowings_are_a_day_apart() -> None:
    world = World([replace(SALAD, repeat=Repeat(every_days=2, times=2))])
    assert [link.days for link in world.problem.links] == [1]


def test_days_that_are_pinned_closer_are_left_so() -> None:
    pins = {
        "salad-1": (Pinned(stage=0, start=20),),
        "salad-2": (Pinned(stage=0, start=22),),
    }
    assert World([SALAD], pins=pins).problem.links == (
        Link(earlier=1, later=2, days=11),
    )


# ── halves ────────────────────────────────────────────────────────────────────────

MANY = make_batch(wanted=81, split=True)
"""Fills two trays."""


def test_a_batch_that_may_be_split_is_there_whole_and_in_halves() -> None:
    world = World([MANY])
    assert [task.name for task in world.problem.tasks] == [
        "leek", "leek (1 of 2)", "leek (2 of 2)",
    ]  # fmt: skip
    assert world.problem.splits == (Split(whole=0, parts=(1, 2)),)
    whole, first, second = world.problem.tasks
    assert [one.batch.wanted for one in world.raised] == [81, 41, 40]
    assert first.weight == pytest.approx(whole.weight * 41 / 81, abs=1)
    assert first.weight + second.weight == pytest.approx(whole.weight, abs=1)
    assert first.over_weight == pytest.approx(whole.over_weight * 41 / 81, abs=1)
    assert first.profile == second.profile == whole.profile
    # two trays and one each, 38 × 24 cm, rounded up
    assert [task.area[1] for task in world.problem.tasks] == [183, 92, 92]
    assert first.minutes[0] <= whole.minutes[0]


def test_what_fills_one_container_is_not_split() -> None:
    assert halves(raised(make_batch(wanted=10, split=True), LEEK)) == ()
    assert halves(raised(make_batch(wanted=81), LEEK)) == ()


@pytest.mark.parametrize("why", ["begun", "pinned", "repeated"])
def test_what_is_begun_pinned_or_repeated_stays_whole(why: str) -> None:
    book = [event("2027-03-01", "sown", "leek", "sill")] if why == "begun" else []
    pins = {"leek": (Pinned(stage=0, start=5),)} if why == "pinned" else {}
    row = MANY
    if why == "repeated":
        row = replace(row, available_from=START, repeat=Repeat(every_days=7, times=2))
    world = World([row], *book, today=date(2027, 3, 2), pins=pins)
    assert world.problem.splits == ()
    assert all(one.part == 0 for one in world.raised)


def test_halves_are_told_under_the_batch_with_their_plants_added_up() -> None:
    world = World([MANY])
    out = world.written(route(1, 0, 0, 20, 40), route(2, 1, 5, 15, 30))
    found = placements(out)
    assert {one.batch for one in found} == {"leek"}
    assert [(w[0].space, w[-1].end.day) for w in ways(found)["leek"]] == [
        ("sill", 10), ("frame", 31),
    ]  # fmt: skip
    (told,) = batches(out, {1: "here", 2: "there"})
    assert told.batch == "leek"
    assert (told.wanted, told.plants_expected) == (81, 81.0)
    assert told.ready_latest == date(2027, 4, 10)
    assert told.reason == "here; there"


def test_one_half_alone_expects_its_own_plants() -> None:
    world = World([MANY])
    (told,) = batches(world.written(route(2, 1, 5, 15, 30)), {})
    assert (told.wanted, told.plants_expected) == (81, 40.0)


# ── heat by the week ──────────────────────────────────────────────────────────────


def under_way(*daybook: Event, length: Sequence[int], today: int = 5) -> Problem:
    """States of the box: off, on. Sown in it on 3 March."""
    return World(
        [make_batch()],
        event("2027-03-03", "sown", "leek", "box"),
        *daybook,
        today=date(2027, 3, today),
        spaces=(BOX,),
        length=length,
    ).problem


def test_what_stands_under_heat_by_the_week_goes_on_in_either_state() -> None:
    problem = under_way(event("2027-03-02", "heat-on", space="box"), length=(30, 10))
    task = problem.tasks[0]
    (pin,) = task.pins
    assert (pin.variants, pin.start, pin.length) == ((1, 0), 2, None)
    assert problem.stages(task)[0].length[:, 2].tolist() == [30, 10]
    assert problem.stages(task)[1].length[:, 2].tolist() == [30, 10]


def test_what_would_not_come_through_unheated_keeps_its_place() -> None:
    """Nothing is expected of it so; with the heat on it is through on day 12."""
    problem = under_way(length=(NOT_THROUGH, 10))
    table = problem.stages(problem.tasks[0])[0]
    assert table.length[:, 2].tolist() == [NEVER, 10]
    assert table.over_success[:, 2].tolist() == [0, -1]


def test_what_comes_through_in_neither_state_keeps_no_heat_on() -> None:
    problem = under_way(
        event("2027-03-02", "heat-on", space="box"), length=(NOT_THROUGH, NOT_THROUGH)
    )
    table = problem.stages(problem.tasks[0])[0]
    assert table.over_success[:, 2].tolist() == [0, 0]


def test_what_finds_no_way_on_is_left_standing_in_either_state() -> None:
    problem = under_way(event("2027-03-02", "heat-on", space="box"), length=(30, 10))
    free = leave_standing(problem, [0])
    table = free.stages(free.tasks[0])[0]
    assert table.length[:, 2].tolist() == [NEVER, NEVER]
    assert (table.over_success[:, 2] >= 0).all()
    assert (free.capacity[0, 2:] > problem.capacity[0, 2:]).all()
    assert leave_standing(free, [0]) is free


def test_once_the_heat_is_over_there_is_one_state() -> None:
    world = World(
        [make_batch()],
        event("2027-03-03", "sown", "leek", "box"),
        today=date(2027, 3, 20),
        spaces=(replace(BOX, heat=replace(BOX.heat, end=date(2027, 3, 19))),),
        length=(30, 10),
    )
    (pin,) = world.problem.tasks[0].pins
    assert (pin.variants, pin.start, pin.length) == ((0,), 2, 30)


def test_what_stood_in_both_states_is_through_by_both() -> None:
    """
    20 °C with the heat on, 5 °C without, 100 K·d above 2 °C (counted by hand).

    Five days on make 90 K·d; half of the plants are through with about 100: three
    more days on at 18 K·d do, and off, at 3 K·d, a few.
    """
    on = event("2027-03-03", "heat-on", space="box")
    world = World(
        [make_batch()],
        on,
        event("2027-03-03", "sown", "leek", "box"),
        event("2027-03-08", "heat-off", space="box"),
        today=date(2027, 3, 9),
        spaces=(BOX,),
        length=(30, 10),
    )
    zone = make_zone(
        np.array([5.0, 20.0])[:, None, None],
        spaces=[v.space for v in world.ground.zone.variants],
        first=START,
        days=DAYS,
    )
    zone = replace(zone, variants=world.ground.zone.variants)
    where = replace(world.ground, zone=zone, climate=Climate(zone))
    (one,) = world.raised
    grown = world.growths[one.profile][0]
    needs = make_needs()
    one = replace(one, crop=replace(LEEK, stages=(needs, LEEK.stages[1])))
    state = world.states["leek"]
    days = {
        then: through(one, state, grown, where, quantile=0.8, then=then)
        for then in (0, 1)
    }
    made = 5 * 18 + 1 * 3
    assert days[1] == pytest.approx(8 + (100 - made) / 18, abs=1.0)
    assert days[0] == pytest.approx(8 + (100 - made) / 3, abs=1.5)
