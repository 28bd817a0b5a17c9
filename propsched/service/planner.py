"""One planning run: read, simulate, grow, solve, write out."""

import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from propsched.advice.cautions import cautions
from propsched.advice.jobs import jobs_between
from propsched.advice.state import BatchState, beds_made_up, standing
from propsched.biology.climate import Climate
from propsched.biology.development import grow
from propsched.biology.gate import planting_out_gate
from propsched.biology.growth import StageGrowth
from propsched.domain.crop import Crop
from propsched.domain.plan import NotPlaced, Plan, Status, gap
from propsched.domain.repeats import expand
from propsched.errors import NothingFoundError
from propsched.files.write import write_plan
from propsched.optimise.check import check
from propsched.optimise.must import MustConflictError
from propsched.optimise.problem import NEVER, Pinned, Problem, Solution
from propsched.optimise.solve import Progress, solve
from propsched.service import written
from propsched.service.assemble import build_problem
from propsched.service.climate import Loaded, Warmth, load, warmth
from propsched.service.events import Event, Finished, Improved, Outcome, Step
from propsched.service.ground import Ground
from propsched.service.raised import Raised, raised
from propsched.service.reasons import pins_told, why_here, why_not_placed
from propsched.service.request import Request

Emit = Callable[[Event], None]
JOB_DAYS = 14


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
    seconds: Mapping[str, float]


def prepare(request: Request, emit: Emit) -> Prepared:
    """Everything up to the solver; raises PropschedError on input faults."""
    clock = _Clock()
    emit(Step("Reading"))
    loaded = load(request.folder, request.today)
    season = loaded.season
    batches = tuple(
        raised(batch, loaded.files.crops.get(batch.crop, batch.method))
        for batch in expand(loaded.files.batches)
    )
    states = standing(
        loaded.files.daybook,
        season,
        {b.batch.id: b.crop for b in batches},
        today=loaded.today,
    )
    clock.lap("read")
    emit(Step("Simulating"))
    warm = warmth(loaded, winters=request.winters, seed=request.seed)
    clock.lap("simulate")
    emit(Step("Growing"))
    offset = warm.horizon.day(season.start)
    ground = Ground(season=season, zone=warm.zone, offset=offset, today=loaded.today)
    climate = Climate(warm.zone)
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
    gates = {
        one.batch.id: max(0, planting_out_gate(one.crop, climate) - offset)
        for one in batches
    }
    clock.lap("grow")
    problem = build_problem(
        batches, states, pinned(loaded, batches, ground), growths, ground, gates
    )
    names = {task.name for task in problem.tasks}
    clock.lap("assemble")
    return Prepared(
        loaded=loaded,
        warm=warm,
        ground=ground,
        raised=tuple(b for b in batches if b.batch.id in names),
        growths=growths,
        problem=problem,
        states=states,
        seconds=clock.laps,
    )


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


def make_plan(request: Request, emit: Emit, cancel: threading.Event) -> Outcome:
    """
    Plan a season and, unless asked not to, replace its plan.json.

    Raises
    ------
    PropschedError
        On faults of the input or pins that cannot be met.
    NothingFoundError
        If it is stopped before the first plan.
    RuntimeError
        If the plan fails the independent check: a bug, never the user's fault.
    """
    ready = prepare(request, emit)
    emit(Step("Solving"))
    began = time.monotonic()

    def report(progress: Progress) -> None:
        emit(
            Improved(
                written.whole(progress.worth),
                written.whole(progress.bound),
                time.monotonic() - began,
            )
        )

    try:
        solution = solve(
            ready.problem,
            seed=request.seed,
            time_limit_s=request.time_limit_s,
            gap=request.gap,
            workers=1 if request.reproducible else 2,
            reproducible=request.reproducible,
            emit=report,
            cancel=cancel,
        )
    except MustConflictError as error:
        raise pins_told(error, ready.problem, ready.loaded.season.start) from error
    if solution.status == "stopped" and not solution.routes:
        raise NothingFoundError("stopped before there was a plan")
    emit(Step("Checking"))
    faults = check(ready.problem, solution)
    if faults:
        raise RuntimeError("the plan failed its check: " + "; ".join(faults))
    outcome = write_out(request, ready, solution)
    if request.save:
        write_plan(request.folder, outcome.plan)
    emit(Finished(outcome))
    return outcome


def write_out(request: Request, ready: Prepared, solution: Solution) -> Outcome:
    """The solver's answer as a plan in dates, plants and money."""
    season, ground = ready.loaded.season, ready.ground
    out = written.Written(
        ground=ground,
        problem=ready.problem,
        solution=solution,
        raised=ready.raised,
        growths=ready.growths,
    )
    placed = {route.task for route in solution.routes}
    plan = Plan(
        season=season.name,
        today=ready.loaded.today,
        status=_status(solution.status),
        worth=written.whole(solution.worth),
        bound=written.whole(solution.bound),
        gap=gap(written.whole(solution.worth), written.whole(solution.bound)),
        terms=written.terms(out),
        placements=written.placements(out),
        batches=written.batches(
            out, {r.task: why_here(out, r) for r in solution.routes}
        ),
        not_placed=tuple(
            NotPlaced(batch=one.batch.id, reason=why_not_placed(out, task))
            for task, one in enumerate(ready.raised)
            if task not in placed
        ),
        standing_over=written.standing_over(out),
        heat=written.heat(ground),
        hotbeds=written.hotbeds(ground),
        scarce=written.scarce(out),
        cautions=(),
        warnings=warnings(ready, solution),
        seed=request.seed,
        versions=written.versions(),
        inputs=dict(ready.loaded.files.digests),
    )
    batches = tuple(one.batch for one in ready.raised)
    crops = {one.batch.id: one.crop for one in ready.raised}
    plan = replace(plan, cautions=cautions(season, batches, crops, plan=plan))
    used = written.used(out)
    free = ready.problem.capacity
    fill = np.where(free > 0, used / np.maximum(free, 1), np.nan)
    return Outcome(
        plan=plan,
        season=season,
        jobs=jobs_between(
            plan,
            season,
            crops,
            first=ready.loaded.today,
            days=JOB_DAYS,
            batches=batches,
            states=ready.states,
            sown={one.batch.id: one.sown for one in ready.raised},
            beds=beds_made_up(ready.loaded.files.daybook, today=ready.loaded.today),
        ),
        notes=ready.loaded.files.notes,
        fill={
            s.id: tuple(fill[i].tolist())
            for i, s in enumerate(season.spaces)
            if s.stands
        },
        warmth=daily_medians(ground),
    )


def daily_medians(ground: Ground) -> dict[str, tuple[float, ...]]:
    """Daily mean root-zone temperature of each space, median of the winters."""
    zone, cut = ground.zone, slice(ground.offset, ground.offset + ground.days)
    shape = (*zone.root_c.shape[:2], zone.horizon.days, 24)
    daily = zone.root_c.reshape(shape).mean(axis=3)[:, :, cut]
    median = np.median(daily, axis=1).round(2)
    return {v.space.id: tuple(median[i].tolist()) for i, v in enumerate(zone.variants)}


def warnings(ready: Prepared, solution: Solution) -> tuple[str, ...]:
    """What the grower should look at: batches in trouble where they stand."""
    found = []
    for route in solution.routes:
        task = ready.problem.tasks[route.task]
        if not task.pins or not route.over:
            continue
        last = route.stops[-1]
        table = ready.problem.stages(task)[last.stage]
        at = (last.variant, last.start)
        if table.over_success[at] == 0 and table.length[at] == NEVER:
            space = ready.ground.zone.variants[last.variant].space.id
            found.append(
                f"{task.name} will not come through where it stands ({space}): "
                "move it, or count it as lost"
            )
    return tuple(found)


def _status(status: str) -> Status:
    known: dict[str, Status] = {
        "optimal": "optimal",
        "within gap": "within gap",
        "time limit": "time limit",
        "stopped": "stopped",
        "nothing to plan": "nothing to plan",
    }
    return known[status]


class _Clock:
    """Seconds of each part of the work, one after another."""

    def __init__(self) -> None:
        self.laps: dict[str, float] = {}
        self._last = time.perf_counter()

    def lap(self, name: str) -> None:
        now = time.perf_counter()
        self.laps[name] = now - self._last
        self._last = now
