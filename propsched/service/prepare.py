"""Everything up to the solver: read, simulate, grow, put into tables."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from threading import Event as Flag

from propsched.advice.state import BatchState, standing
from propsched.biology.climate import Climate
from propsched.biology.development import grow
from propsched.biology.gate import planting_out_gate
from propsched.biology.growth import StageGrowth
from propsched.domain.crop import Crop
from propsched.domain.plan import Plan
from propsched.domain.repeats import expand
from propsched.domain.season import Season
from propsched.errors import NothingFoundError, PropschedError
from propsched.files.disk import must_be_writable
from propsched.optimise.problem import Pinned, Problem
from propsched.service.assemble import build_problem
from propsched.service.change import NOTHING, Change, changed_batches, supposed
from propsched.service.climate import Warmth, warmth
from propsched.service.come_through import Counted, come_through
from propsched.service.events import Event, Step
from propsched.service.ground import Ground
from propsched.service.linked import begun_on, with_halves
from propsched.service.loaded import Loaded, load, season_over
from propsched.service.near import keep_to
from propsched.service.onward import closed_days, moving_on
from propsched.service.opened import plan_of
from propsched.service.raised import Raised, raised
from propsched.service.request import Request
from propsched.service.stands import keep_room, make_room

Emit = Callable[[Event], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A season ready for the solver."""

    loaded: Loaded
    warm: Warmth
    ground: Ground
    raised: tuple[Raised, ...]
    """One for each task of the problem."""
    growths: Mapping[tuple[str, str, str], tuple[StageGrowth, ...]]
    problem: Problem
    states: Mapping[str, BatchState]
    """Where all stands, starts that went on by themselves counted as over."""
    noted: Mapping[str, BatchState]
    """Where all stands as the daybook alone has it."""
    counted: tuple[Counted, ...]
    """Starts that count as over without being noted."""
    force: Plan | None
    """The plan in force, if it is to be kept near and there is one."""
    stray: str
    """A sentence if plan.json is of another season."""
    gates: Mapping[str, int]
    """First day of the season a batch may stand out at night."""
    overfull: tuple[str, ...]
    """Spaces that hold more than their area as things stand, in sentences."""
    change: Change
    """What is supposed beyond the files."""
    seconds: Mapping[str, float]


def prepare(
    request: Request,
    emit: Emit,
    cancel: Flag | None = None,
    *,
    change: Change = NOTHING,
    staying: frozenset[str] = frozenset(),
    near_force: bool = False,
) -> Prepared:
    """
    Read, simulate and grow a season, as it would be if a change came about.

    Batches that are ``staying`` may stand on in a space that is out of use.  With
    ``near_force`` the plan in force is read too: it says what goes on by itself where
    it stands, see ``come_through``, and what is to be kept.

    Raises
    ------
    NothingFoundError
        If ``cancel`` is set on the way.
    PropschedError
        On faults of the input, a season that is over, or a folder that a plan to be
        saved could not be written to.
    """
    clock = _Clock()

    def step(name: str) -> None:
        if cancel is not None and cancel.is_set():
            raise NothingFoundError("stopped before there was a plan")
        emit(Step(name))

    if request.save:
        must_be_writable(request.folder / "plan.json")
    step("Reading")
    loaded = load(request.folder, request.today)
    season = loaded.season
    if loaded.today > season.end:
        raise PropschedError(season_over(season))
    batches = tuple(
        raised(batch, loaded.files.crops.get(batch.crop, batch.method))
        for batch in expand(loaded.files.batches)
    )
    states = states_of(loaded, batches)
    if change:
        loaded = supposed(loaded, change, states)
        batches = changed_batches(batches, change, states, loaded.today)
        season, states = loaded.season, states_of(loaded, batches)
    clock.lap("read")
    step("Simulating")
    warm = warmth(loaded, winters=request.winters, seed=request.seed)
    clock.lap("simulate")
    step("Growing")
    offset = warm.horizon.day(season.start)
    climate = Climate(warm.zone)
    ground = Ground(
        season=season,
        zone=warm.zone,
        offset=offset,
        today=loaded.today,
        climate=climate,
        states=warm.states,
    )
    growths = {}
    for one in batches:
        if one.profile not in growths:
            growths[one.profile] = grow(
                one.crop,
                None,
                climate,
                end_day=offset + ground.days,
                quantile=season.weights.quantile,
            )
    gates = {one.batch.id: _gate(one.crop, climate, season) for one in batches}
    noted = states
    force, stray = plan_of(loaded.files) if near_force else (None, "")
    states, counted = come_through(batches, noted, growths, ground, force)
    batches, own = moving_on(
        batches,
        states,
        growths,
        ground,
        loaded.files.pins,
        change,
        staying=staying,
    )
    growths |= own
    clock.lap("grow")
    pins = pinned(loaded, batches, ground)
    batches = with_halves(batches, loaded.files.batches, states, pins)
    problem = build_problem(
        batches,
        states,
        pins,
        growths,
        ground,
        gates,
        rows=loaded.files.batches,
        begun=begun_on(loaded.files.daybook, loaded.today),
    )
    problem, overfull = make_room(problem, season, today=ground.today_day)
    problem, nowhere = keep_room(problem, season, closed_days(ground, change), staying)
    names = {task.name for task in problem.tasks}
    clock.lap("assemble")
    return Prepared(
        loaded=loaded,
        warm=warm,
        ground=ground,
        raised=tuple(b for b in batches if b.name in names),
        growths=growths,
        problem=problem,
        states=states,
        noted=noted,
        counted=counted,
        force=force,
        stray=stray,
        gates=gates,
        overfull=(*overfull, *nowhere),
        change=change,
        seconds=clock.laps,
    )


def states_of(loaded: Loaded, batches: tuple[Raised, ...]) -> dict[str, BatchState]:
    """Where every batch that was begun stands, by batch."""
    return standing(
        loaded.files.daybook,
        loaded.season,
        {b.batch.id: b.crop for b in batches},
        today=loaded.today,
        sown={b.batch.id: b.sown for b in batches},
        wanted={b.batch.id: b.batch.wanted for b in batches},
    )


def _gate(crop: Crop, climate: Climate, season: Season) -> int:
    """Day of the season from which the crop may be planted out."""
    gate = planting_out_gate(
        crop,
        climate,
        season_start=season.start,
        south=season.site.latitude < 0,
    )
    return max(0, gate - climate.zone.horizon.day(season.start))


def near(ready: Prepared) -> Prepared:
    """The same, to be planned near the plan in force if there is one, ``keep_to``."""
    if ready.force is None:
        return ready
    loaded = ready.loaded
    problem = keep_to(
        ready.problem, ready.force, ready.raised, loaded.season, today=loaded.today
    )
    return replace(ready, problem=problem)


def pinned(
    loaded: Loaded, batches: tuple[Raised, ...], ground: Ground
) -> dict[str, tuple[Pinned, ...]]:
    """The grower's decisions by batch, as stage indices, variants and days."""
    crops: dict[str, Crop] = {one.batch.id: one.crop for one in batches}
    found: dict[str, tuple[Pinned, ...]] = {}
    for pin in loaded.files.pins:
        stages = [needs.stage for needs in crops[pin.batch].stages]
        one = Pinned(
            stage=stages.index(pin.stage),
            variants=ground.variants_of(pin.space) if pin.space else (),
            start=None if pin.start is None else ground.season.horizon.day(pin.start),
        )
        found[pin.batch] = (*found.get(pin.batch, ()), one)
    return found


class _Clock:
    """Seconds of each part of the work, one after another."""

    def __init__(self) -> None:
        self.laps: dict[str, float] = {}
        self._last = time.perf_counter()

    def lap(self, name: str) -> None:
        now = time.perf_counter()
        self.laps[name] = now - self._last
        self._last = now
