"""A plan carried out in winters whose temperatures are set by hand."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from builders import (
    make_batch,
    make_crop,
    make_needs,
    make_season,
    make_space,
    make_zone,
)

from propsched.advice.state import BatchState, Stay
from propsched.biology.climate import Climate
from propsched.biology.development import grow, rank_of
from propsched.domain.container import Container
from propsched.domain.season import Work
from propsched.domain.space import Heat
from propsched.optimise.problem import Problem, Route, Stop
from propsched.optimise.solution import Solution
from propsched.service.assemble import build_problem
from propsched.service.ground import Ground
from propsched.service.raised import Raised, raised
from propsched.service.rehearse import NOT_YET, Walk, rehearse, standing_area
from propsched.service.variants import variants_of

FIRST = date(2026, 11, 1)  # a Sunday
SAT = 6
"""First Saturday, in days of the season."""
FRAME = make_space(id="frame", kind="cold-frame", area_m2=1.0)
HOUSE = make_space(id="house", kind="glasshouse", area_m2=1.0)
COLD, WARM = 10.0, 20.0
"""100 °C·d above 2 °C are made in 12.5 and in 5.6 days: 13 and 6 whole ones."""


def needs(**over: Any) -> Any:
    return make_needs(container=Container(name="tray"), spread=0.0, wait_d=30, **over)


class World:
    """A cold winter and a warm one, the frame as cold as the house."""

    def __init__(
        self,
        *stages: Any,
        spaces: Any = (FRAME, HOUSE),
        root_c: Any = ((COLD,), (WARM,)),
        today: date = FIRST,
        state: BatchState | None = None,
        gate: int = 0,
        days: tuple[str, ...] = ("sat", "sun"),
    ) -> None:
        season = make_season(
            start=FIRST, end=date(2027, 3, 31), spaces=spaces, work=Work(days=days)
        )
        variants = variants_of(season, today)
        hours = np.broadcast_to(
            np.asarray(root_c, np.float32), (len(variants), 2, 24 * 190)
        )
        zone = make_zone(hours, spaces=[v.space for v in variants], days=190, winters=2)
        zone = replace(zone, variants=variants)
        self.ground = Ground(
            season=season, zone=zone, offset=0, today=today, climate=Climate(zone)
        )
        crop = make_crop(*(stages or (needs(), needs(stage="pot-up"))))
        self.one: Raised = raised(make_batch(crop=crop.name), crop)
        self.states = {} if state is None else {"leek": state}
        assert self.ground.climate is not None
        growths = {
            self.one.profile: grow(
                crop, None, self.ground.climate, end_day=151, quantile=0.8
            )
        }
        self.problem: Problem = build_problem(
            (self.one,), self.states, {}, growths, self.ground, {"leek": gate}
        )

    def walk(self, *stops: tuple[int, int, int], over: bool = False,
             modes: tuple[int, ...] = (), at_once: bool = False, first: int = 0,
             ) -> Walk:  # fmt: skip
        """Stops as variant, day it comes, day it leaves."""
        route = Route(
            task=0,
            stops=tuple(Stop(first + k, *stop) for k, stop in enumerate(stops)),
            over=over,
            value=0,
        )
        none = np.zeros(0)
        solution = Solution(
            routes=(route,), worth=0, bound=0, status="optimal", area_price=none,
            minute_price=none, modes=modes,
        )  # fmt: skip
        (found,) = rehearse(
            self.ground, self.problem, solution, [self.one], self.states,
            at_once=at_once,
        )  # fmt: skip
        return found


def test_it_moves_on_the_first_work_day_on_which_it_is_done() -> None:
    """
    From Saturday 7 November: 13 days to Friday the 20th, moved on the 21st; 6 days
    to Friday the 13th, moved on the 14th.
    """
    walk = World().walk((0, SAT, SAT + 14), (1, SAT + 14, SAT + 28))
    assert walk.through[0].tolist() == [SAT + 13, SAT + 6]
    assert walk.leaves[0].tolist() == [SAT + 14, SAT + 7]
    assert walk.comes[1].tolist() == [SAT + 14, SAT + 7]
    assert walk.ready.tolist() == [SAT + 27, SAT + 13]
    assert walk.leaves[1].tolist() == [SAT + 28, SAT + 14]


def test_a_daily_duty_does_not_wait_for_the_week_end() -> None:
    world = World(needs(any_day=True), needs(stage="pot-up"))
    walk = world.walk((0, SAT, SAT + 13), (1, SAT + 13, SAT + 28))
    assert walk.leaves[0].tolist() == [SAT + 13, SAT + 6]


def test_it_is_not_ready_before_it_may_go_out() -> None:
    walk = World(gate=60).walk((0, SAT, SAT + 14), (1, SAT + 14, 62))
    assert walk.ready.tolist() == [60, 60]
    assert walk.leaves[1].tolist() == [62, 62]  # Saturday 2 January


def test_what_the_plan_keeps_longer_than_booked_is_kept_in_every_winter() -> None:
    """Booked to the 21st, kept to the 28th for room; at once it is moved when done."""
    world = World()
    stops = (0, SAT, SAT + 21), (1, SAT + 21, SAT + 35)
    assert world.walk(*stops).leaves[0].tolist() == [SAT + 21, SAT + 21]
    at_once = world.walk(*stops, at_once=True)
    assert at_once.leaves[0].tolist() == [SAT + 14, SAT + 7]


def test_what_is_not_done_stays_beyond_its_booked_end() -> None:
    """Moved as planned in the warm winter only."""
    world = World(days=("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
    walk = world.walk((0, 10, 16), (1, 16, 22))
    assert walk.leaves[0].tolist() == [23, 16]
    assert walk.ready.tolist() == [36, 22]


def test_what_never_warms_is_never_through() -> None:
    world = World(root_c=((1.0,), (WARM,)))
    walk = world.walk((0, SAT, SAT + 7), (1, SAT + 7, SAT + 14))
    assert walk.through[0].tolist() == [NOT_YET, SAT + 6]
    assert walk.leaves[0].tolist() == [NOT_YET, SAT + 7]
    assert walk.ready.tolist() == [NOT_YET, SAT + 13]
    used = standing_area([walk], world.problem)
    area = world.problem.tasks[0].area
    assert (used[0, 0, SAT:] == area[0]).all()
    assert not used[0, 1].any()


def test_area_is_taken_where_it_stands_and_nowhere_else() -> None:
    world = World()
    walk = world.walk((0, SAT, SAT + 14), (1, SAT + 14, SAT + 28))
    used = standing_area([walk, walk], world.problem)
    area = world.problem.tasks[0].area
    assert (used[0, 0, SAT : SAT + 14] == 2 * area[0]).all()
    assert (used[1, 0, SAT : SAT + 7] == 2 * area[0]).all()
    assert (used[1, 1, SAT + 7 : SAT + 14] == 2 * area[1]).all()
    assert used.sum(axis=(1, 2)).tolist() == [
        2 * 14 * (area[0] + area[1]), 2 * 7 * (area[0] + area[1]),
    ]  # fmt: skip


def test_what_stands_over_stands_to_the_end() -> None:
    world = World(needs())
    walk = world.walk((0, SAT, 151), over=True)
    assert walk.leaves.tolist() == [[NOT_YET, NOT_YET]]
    assert (standing_area([walk], world.problem)[:, 0, SAT:] > 0).all()


@pytest.mark.parametrize("space", ["frame", ""])
def test_what_stands_goes_on_from_where_it_is(space: str) -> None:
    """
    Sown 8 November, today is the 14th: seven days more, or, where the daybook does
    not say where it stands, thirteen from today.
    """
    sown, today = FIRST + timedelta(days=7), FIRST + timedelta(days=13)
    at = BatchState(
        batch="leek", stage="start", stage_index=0, space=space, since=sown,
        here_since=sown, stays=(Stay("frame", sown),) if space else (),
    )  # fmt: skip
    world = World(state=at, today=today)
    start, end = (7, 20) if space else (13, 27)
    walk = world.walk((0, start, end), (1, end, end + 14))
    assert walk.through[0, 0] == (20 if space else 26)
    assert walk.leaves[0].tolist() == ([20, 13] if space else [27, 20])


def test_days_in_two_spaces_add_up() -> None:
    """Seven days at 3 °C over the base are 21 of 100 °C·d; 79 at 18 over it take 5."""
    sown, moved = FIRST, FIRST + timedelta(days=7)
    at = BatchState(
        batch="leek", stage="start", stage_index=0, space="house", since=sown,
        here_since=moved, stays=(Stay("frame", sown), Stay("house", moved)),
    )  # fmt: skip
    hours = np.array([[[5.0], [5.0]], [[20.0], [20.0]]])
    world = World(state=at, today=FIRST + timedelta(days=8), root_c=hours)
    walk = world.walk((1, 7, 13), (1, 13, 27))
    assert walk.through[0].tolist() == [12, 12]


def test_heat_is_off_once_the_plan_has_it_off() -> None:
    """
    Off 10 °C, on 20 °C.  On for one week, 7 to 13 November: 126 of 180 °C·d; the
    other 54 take 7 days at 8 over the base; all of it under heat would take 10.
    """
    box = make_space(
        id="box", kind="propagator", area_m2=0.5,
        heat=Heat(set_c=20, w_per_m2=150, when="by-week"),
    )  # fmt: skip
    hours = np.array([[[10.0], [10.0]], [[20.0], [20.0]]])
    world = World(needs(sum_c_d=180.0), spaces=(box,), root_c=hours)
    weeks = [period.first for period in world.problem.periods]
    assert weeks[:3] == [0, SAT, SAT + 7]
    modes = tuple(int(day == SAT) for day in weeks)
    walk = world.walk((1, SAT, SAT + 14), modes=modes)
    assert walk.through[0].tolist() == [SAT + 14, SAT + 14]


def test_a_cover_stays_on_as_long_as_the_stay() -> None:
    """Bare 10 °C, under fleece 20 °C."""
    frame = make_space(id="frame", kind="cold-frame", area_m2=1.0, covers=("fleece",))
    hours = np.array([[[10.0], [10.0]], [[20.0], [20.0]]])
    world = World(needs(), spaces=(frame,), root_c=hours)
    assert world.walk((0, SAT, SAT + 14)).through[0].tolist() == [SAT + 13] * 2
    assert world.walk((1, SAT, SAT + 7)).through[0].tolist() == [SAT + 6] * 2


def test_nothing_comes_to_a_bed_before_it_is_made_up() -> None:
    """Done on 13 November, the bed made up on the 21st, a Saturday."""
    bed = make_space(id="bed", kind="hotbed", area_m2=1.0, make_up=date(2026, 11, 21))
    world = World(spaces=(FRAME, bed), root_c=WARM)
    walk = world.walk((0, SAT, SAT + 15), (1, SAT + 15, SAT + 22), at_once=True)
    assert walk.leaves[0].tolist() == [SAT + 15, SAT + 15]


def test_the_rank_stands_for_its_share() -> None:
    """Of 25 winters the 21st: 21 of 26 like them are no later, 81 %."""
    assert rank_of(0.8, 25) == 20
    assert rank_of(0.5, 25) == 12
    assert rank_of(0.8, 1) == 0
