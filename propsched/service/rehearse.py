"""A plan carried out in every winter: when batches are through, move, are ready."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from propsched.advice.state import BatchState
from propsched.biology.climate import Climate
from propsched.biology.development import ends
from propsched.biology.moved import each_winter
from propsched.domain.crop import DORMANT, Needs
from propsched.domain.space import HEAT_ON, cover_of
from propsched.optimise.problem import Problem, Route, Stop, Task
from propsched.optimise.solution import Solution
from propsched.service.chosen import NOT_THERE, chosen_states
from propsched.service.ground import Ground
from propsched.service.raised import Raised
from propsched.service.underway import stays_of
from propsched.thermal.rootzone import along

NOT_YET = 32_767
"""Day of what does not come about within the days simulated."""

Days = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """
    One route as it is gone in each of K winters.

    Days are those of the season; NOT_YET beyond what is simulated.
    """

    route: Route
    comes: Days
    """To each stop. (stops, K)"""
    through: Days
    """With the stage of each stop. (stops, K)"""
    leaves: Days
    """Each stop; what stands over does not. (stops, K)"""
    ready: Days
    """Through with all of it and the time of planting out come. (K,)"""


def rehearse(
    ground: Ground,
    problem: Problem,
    solution: Solution,
    raised: Sequence[Raised],
    states: Mapping[str, BatchState],
    *,
    at_once: bool = False,
) -> tuple[Walk, ...]:
    """
    Carry out a plan in each winter of a ground, by the rule of the garden.

    A batch is begun on its day.  It moves on the first work day on which its stage is
    done, or on the first day somebody is there where that is a daily duty, into the
    space that the plan has for the next stage, once that is there; until then it
    stays.  What the plan keeps for longer than it needs, until there is room for it
    or the season has come, is kept until then in every winter.  It is planted out
    when the time for that has come.  Spaces are heated, covered and made up as the
    plan has them.

    Parameters
    ----------
    ground : Ground
        Of the winters to go through, with their climate; its variants are those of
        the problem.
    raised : sequence of Raised
        One for each task of the problem.
    states : mapping
        Batches under way.
    at_once : bool
        Move all that is done on, room or not, whatever the plan keeps.

    Returns
    -------
    tuple of Walk
        One for each route.
    """
    garden = _Garden(ground, problem, solution, at_once=at_once)
    return tuple(
        _walk(garden, route, raised[route.task], states) for route in solution.routes
    )


def standing_area(walks: Sequence[Walk], problem: Problem) -> Days:
    """Area in use in each winter. [10 cm²] (K, S, D)"""
    winters = walks[0].ready.size if walks else 0
    spaces, days = problem.capacity.shape
    change = np.zeros((winters, spaces, days + 1), dtype=np.int64)
    every = np.arange(winters)
    for walk in walks:
        area = problem.tasks[walk.route.task].area
        for k, stop in enumerate(walk.route.stops):
            space = problem.space_of[stop.variant]
            for edge, sign in ((walk.comes[k], 1), (walk.leaves[k], -1)):
                day = np.clip(edge, 0, days)
                change[every, space, day] += sign * area[stop.stage]
    return change.cumsum(axis=2)[..., :days]


class _Garden:
    """Warmth along each stay, and the days on which plants are moved."""

    def __init__(
        self, ground: Ground, problem: Problem, solution: Solution, *, at_once: bool
    ) -> None:
        assert ground.climate is not None
        self.at_once = at_once
        self.ground, self.problem, self.climate = ground, problem, ground.climate
        self.winters = self.climate.shape[1]
        self.known = self.climate.days - ground.offset
        """Days of the season and after it that are simulated."""
        self.today = ground.today_day
        self._states = chosen_states(ground, problem, solution)
        self._along: dict[tuple[int, ...], Climate] = {}
        season = ground.season
        days = [season.start + timedelta(days=n) for n in range(self.known)]
        self._work = _next(np.array([season.is_work_day(day) for day in days]))
        self._there = _next(np.array([not season.is_away(day) for day in days]))

    def moves(self, from_day: Days, *, any_day: bool) -> Days:
        """First day from then on that plants are moved on."""
        free = self._there if any_day else self._work
        return np.asarray(free[np.clip(from_day, 0, self.known)])

    def through(self, needs: Needs, variant: int, comes: Days) -> Days:
        """Day on which a stage is through that begins on a day of each winter."""
        climate, offset = self._climate(variant), self.ground.offset
        begun = comes < self.known
        end = ends(climate, needs, climate.days)[0]
        at = np.where(begun, comes, 0) + offset
        found = end[np.arange(self.winters), at]
        late = ~begun | (found > climate.days)
        return np.where(late, NOT_YET, found - offset)

    def _climate(self, variant: int) -> Climate:
        """Along the states its space is run in, under the cover of the stay."""
        rows = self._rows(variant)
        key = tuple(rows[:1] if (rows == rows[0]).all() else rows)
        if key not in self._along:
            self._along[key] = Climate(along(self.climate.zone, rows))
        return self._along[key]

    def _rows(self, variant: int) -> Days:
        zone, ground = self.climate.zone, self.ground
        states = self._states[self.problem.space_of[variant]].copy()
        states[states == NOT_THERE] = variant
        if cover_of(zone.variants[variant].name):
            heated = [v.name == HEAT_ON for v in zone.variants]
            states = np.where(np.array(heated)[states], states, variant)
        rows = np.full(zone.horizon.days, variant, dtype=np.int64)
        first, end = ground.offset, ground.offset + ground.days
        rows[first:end], rows[end:] = states, states[-1]
        return rows


def _next(free: Bools) -> Days:
    """First free day from each day on, NOT_YET after the last; one longer."""
    found = np.full(free.size + 1, NOT_YET, dtype=np.int64)
    for day in range(free.size - 1, -1, -1):
        found[day] = day if free[day] else found[day + 1]
    return found


def _walk(
    garden: _Garden, route: Route, one: Raised, states: Mapping[str, BatchState]
) -> Walk:
    problem, stops = garden.problem, route.stops
    task = problem.tasks[route.task]
    state = states.get(one.batch.id)
    shape = (len(stops), garden.winters)
    comes, through, leaves = (np.full(shape, NOT_YET, np.int64) for _ in range(3))
    ready = np.full(garden.winters, NOT_YET, np.int64)
    for k, stop in enumerate(stops):
        comes[k] = leaves[k - 1] if k else stop.start
        parted = one.moves_on is not None and k == 0
        if state is not None and (k == 0 or (k == 1 and one.moves_on is not None)):
            through[k] = _goes_on(garden, one, state, stops[: k + 1])
        else:
            needs = one.crop.stages[stop.stage]
            through[k] = garden.through(needs, stop.variant, comes[k])
        done = np.maximum(through[k], np.maximum(comes[k] + 1, garden.today))
        if stop is stops[-1]:
            if route.over:
                break
            done = ready = np.minimum(np.maximum(done, task.gate), NOT_YET)
        elif parted:
            done = np.full_like(done, stop.end)  # in the middle of its stage
        else:
            done = np.maximum(done, _opens(garden, task, stops[k + 1]))
        if not garden.at_once:
            done = np.maximum(done, _kept_until(garden, route, k))
        any_day = problem.stages(task)[stop.stage].any_day
        leaves[k] = garden.moves(done, any_day=any_day)
    return Walk(route=route, comes=comes, through=through, leaves=leaves, ready=ready)


def _kept_until(garden: _Garden, route: Route, k: int) -> int:
    """Day until which the plan keeps it though as booked it could go; else 0."""
    problem, stop = garden.problem, route.stops[k]
    task = problem.tasks[route.task]
    table = problem.stages(task)[stop.stage]
    length = int(table.length[stop.variant, stop.start])
    for pin in task.pins:
        if pin.stage == stop.stage and pin.start == stop.start and pin.length:
            length = pin.length
    booked = stop.start + length
    if k == len(route.stops) - 1:
        booked = max(booked, task.gate)
    could = garden.moves(np.array([booked]), any_day=table.any_day)
    return stop.end if could[0] < stop.end else 0


def _opens(garden: _Garden, task: Task, stop: Stop) -> int:
    """First day of the season on which it may come to a stop."""
    days = [pin.start for pin in task.pins if pin.stage == stop.stage]
    return max([_made_up(garden, stop.variant), *(day for day in days if day)])


def _made_up(garden: _Garden, variant: int) -> int:
    """First day of the season on which a space is there: beds."""
    space = garden.climate.zone.variants[variant].space
    if space.kind != "hotbed" or space.make_up is None:
        return 0
    return garden.ground.season.horizon.day(space.make_up) + 1


def _goes_on(
    garden: _Garden, one: Raised, state: BatchState, stops: Sequence[Stop]
) -> Days:
    """Day on which the stage under way is through, with what it has behind it."""
    ground, stop = garden.ground, stops[-1]
    needs = one.crop.stages[stop.stage]
    everywhere = np.ones(garden.winters, dtype=np.int64)
    if not ground.variants_of(state.space):
        return garden.through(needs, stop.variant, stops[0].start * everywhere)
    stays = stays_of(state, ground)
    moved = [(stop.variant, ground.offset + stop.start)] if len(stops) > 1 else []
    if not moved and stays and stays[-1][0] != stop.variant:
        moved = [(stop.variant, ground.offset + ground.today_day)]
    stays += moved
    if len(stays) < 2 or needs.stage in DORMANT:
        since = ground.season.horizon.day(state.since)
        return garden.through(needs, stop.variant, since * everywhere)
    found = each_winter(garden.climate, needs, stays)
    return np.where(found > garden.climate.days, NOT_YET, found - ground.offset)
