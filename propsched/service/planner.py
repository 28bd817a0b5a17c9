"""One planning run: prepare, solve, check, write out."""

import threading
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from propsched.advice.cautions import cautions
from propsched.advice.jobs import jobs_between
from propsched.advice.state import beds_made_up, covers_noted, heat_noted
from propsched.domain.plan import NotPlaced, Plan, gap
from propsched.errors import NothingFoundError
from propsched.files.write import write_plan
from propsched.optimise.check import check
from propsched.optimise.must import MustConflictError
from propsched.optimise.solution import Solution
from propsched.optimise.solve import Progress, solve
from propsched.service import chosen, written
from propsched.service.change import told
from propsched.service.events import Finished, Improved, Outcome, Step
from propsched.service.pins_told import pins_told
from propsched.service.prepare import Emit, Prepared, prepare
from propsched.service.reasons import why_here, why_not_placed
from propsched.service.rehearse import rehearse
from propsched.service.request import Request
from propsched.service.stands import leave_standing
from propsched.service.trouble import warnings
from propsched.service.uncovered import without_idle_covers

JOB_DAYS = 14
LEAST_LIMIT_S, LIMIT_S_PER_BATCH = 8.0, 0.1
"""Solver's time where none is asked for: a garden waits seconds, a nursery minutes."""


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
    ready = prepare(request, emit, cancel)
    solution, ready = solved(request, ready, emit, cancel)
    outcome = write_out(request, ready, solution)
    if request.save:
        write_plan(request.folder, outcome.plan)
    emit(Finished(outcome))
    return outcome


def solved(
    request: Request,
    ready: Prepared,
    emit: Emit,
    cancel: threading.Event,
    *,
    least_limit_s: float = LEAST_LIMIT_S,
) -> tuple[Solution, Prepared]:
    """
    Solve and check; parameters, errors as for ``make_plan``.

    Returns
    -------
    solution, and what it solves: the same, but for batches left standing.
    """
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

    limit_s = request.time_limit_s
    if limit_s is None:
        limit_s = max(least_limit_s, LIMIT_S_PER_BATCH * len(ready.problem.tasks))
    solution, ready = _solved(request, ready, limit_s, report, cancel)
    if solution.status == "stopped" and not solution.routes:
        raise NothingFoundError("stopped before there was a plan")
    solution = without_idle_covers(ready.problem, solution)
    emit(Step("Checking"))
    faults = check(ready.problem, solution)
    if faults:
        raise RuntimeError("the plan failed its check: " + "; ".join(faults))
    return solution, ready


def _solved(
    request: Request,
    ready: Prepared,
    limit_s: float,
    report: Callable[[Progress], None],
    cancel: threading.Event,
) -> tuple[Solution, Prepared]:
    """
    Solve; what stands and finds no way on is left standing rather than given up.

    Returns
    -------
    solution, and what it solves: the same, but for batches left standing.
    """
    batches = len(ready.problem.tasks)
    for _ in range(batches + 1):
        try:
            solution = solve(
                ready.problem,
                seed=request.seed,
                time_limit_s=limit_s,
                gap=request.gap,
                workers=1 if request.reproducible else 2,
                reproducible=request.reproducible,
                emit=report,
                cancel=cancel,
            )
        except MustConflictError as error:
            stuck = [
                b
                for b in error.clash.tasks
                if ready.problem.tasks[b].name in ready.states
            ]
            first = ready.loaded.season.start
            if not stuck:
                raise pins_told(error, ready.problem, first) from error
            left = leave_standing(ready.problem, stuck)
            if left is ready.problem:
                raise pins_told(error, ready.problem, first) from error
            ready = replace(ready, problem=left)
        else:
            return solution, ready
    raise RuntimeError("what stands in the way of a plan does not come to an end")


def write_out(request: Request, ready: Prepared, solution: Solution) -> Outcome:
    """The solver's answer as a plan in dates, plants and money."""
    season, ground = ready.loaded.season, ready.ground
    walks = rehearse(ground, ready.problem, solution, ready.raised, ready.states)
    out = written.Written(
        ground=ground,
        problem=ready.problem,
        solution=solution,
        raised=ready.raised,
        growths=ready.growths,
        states=ready.states,
        walks={walk.route.task: walk for walk in walks},
    )
    used = written.used(out)
    states = chosen.chosen_states(ground, ready.problem, solution)
    plan = Plan(
        season=season.name,
        today=ready.loaded.today,
        status=solution.status,
        worth=written.whole(solution.worth),
        bound=written.whole(solution.bound),
        gap=gap(written.whole(solution.worth), written.whole(solution.bound)),
        terms=written.terms(out),
        placements=written.placements(out),
        batches=written.batches(
            out, {r.task: why_here(out, r) for r in solution.routes}
        ),
        not_placed=_not_placed(out),
        standing_over=written.standing_over(out),
        heat=chosen.heat(ground, states),
        hotbeds=chosen.hotbeds(ground, states),
        scarce=written.scarce(out),
        cautions=(),
        warnings=warnings(ready, solution, used, states),
        seed=request.seed,
        versions=written.versions(),
        inputs=dict(ready.loaded.files.digests),
        noted=len(ready.loaded.files.noted),
        assumed=told(ready.change),
    )
    whole = [one for one in ready.raised if not one.part]
    batches = tuple(one.batch for one in whole)
    crops = {one.batch.id: one.crop for one in whole}
    plan = replace(plan, cautions=cautions(season, batches, crops, plan=plan))
    book = ready.loaded.files.daybook
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
            states=ready.noted,
            sown={one.batch.id: one.sown for one in whole},
            beds=beds_made_up(book, today=ready.loaded.today),
            heated=heat_noted(book, today=ready.loaded.today),
            covered=covers_noted(book, today=ready.loaded.today),
            noted=bool(book),
        ),
        notes=_notes(ready),
        fill={
            s.id: tuple(fill[i].tolist())
            for i, s in enumerate(season.spaces)
            if s.stands
        },
        warmth=chosen.daily_medians(ground, states),
    )


def _notes(ready: Prepared) -> tuple[str, ...]:
    """What to know of the files, and of a clock that is not in the season."""
    loaded = ready.loaded
    outside = (loaded.outside,) if loaded.clock is not None else ()
    return (*loaded.files.notes, *outside)


def _not_placed(out: written.Written) -> tuple[NotPlaced, ...]:
    """Batches left out, and halves of which only the other one is raised."""
    placed = {out.raised[r.task].name for r in out.solution.routes}
    ids = {out.raised[r.task].batch.id for r in out.solution.routes}
    found = []
    for task, one in enumerate(out.raised):
        name = one.batch.id
        if one.part and name in ids and name not in placed and one.name not in placed:
            why = f"half of it, {one.batch.wanted} plants: {why_not_placed(out, task)}"
            found.append(NotPlaced(batch=name, reason=why))
        elif not one.part and name not in ids:
            found.append(NotPlaced(batch=name, reason=why_not_placed(out, task)))
    return tuple(found)
