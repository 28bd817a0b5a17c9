"""Pages that are read out: batches, jobs and nights as plain lines."""

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from propsched.advice.job import DUTIES, Job
from propsched.report.words import clean, day_text, route_text
from propsched.service.halves_named import plans_named, ways_named
from propsched.tui.desk import Desk
from propsched.tui.views.frame import day_in_words

if TYPE_CHECKING:
    from propsched.advice.state import BatchState
    from propsched.domain.plan import Plan

NO_PLAN = "There is no plan yet: p makes one."


def job_rows(desk: Desk) -> tuple[Job, ...]:
    """The jobs in the order of their numbers."""
    return () if desk.jobs is None else desk.jobs.rows


def job_lines(desk: Desk) -> tuple[str, ...]:
    """Jobs with a number to tick them off by, those of one day together."""
    if desk.jobs is None:
        return (NO_PLAN,)
    return tuple(_jobs(desk)) or ("Nothing to do in the next fortnight.",)


def _jobs(desk: Desk) -> Iterator[str]:
    day: date | None = None
    for number, job in enumerate(job_rows(desk), 1):
        if job.date != day:
            day = job.date
            yield f"{day_in_words(day)}:"
        duty = ", a standing duty" if job.kind in DUTIES else ""
        yield f"  {number}. {clean(job.what)}{duty}"
        if job.caution:
            yield f"     Take care: {clean(job.caution)}"
    if desk.jobs is not None:
        yield from (f"Take care: {clean(one)}" for one in desk.jobs.cautions)
        yield from (f"To know: {clean(one)}" for one in desk.jobs.notes)


def batch_lines(desk: Desk, name: str = "") -> tuple[str, ...]:
    """Every batch, or one of them with its reason."""
    if desk.opened is None:
        return ()
    names = [one.batch.id for one in desk.opened.whole]
    if not names:
        return ("No batches yet: write what is to be raised into batches.csv.",)
    if name and name not in names:
        return (f"There is no batch {clean(name)}.",)
    found: list[str] = []
    for one in [name] if name else names:
        found += _batch(desk, one, reasons=bool(name))
    return tuple(found)


def _batch(desk: Desk, name: str, *, reasons: bool) -> Iterator[str]:
    assert desk.opened is not None
    plan = desk.opened.plan
    yield f"{clean(name)}: {_state(desk.opened.states.get(name))}."
    if plan is None:
        return
    own = plans_named(desk.opened).get(name)
    for way in ways_named(desk.opened).get(name, ()):
        yield f"  {route_text(way)}"
    if own is not None:
        ready = (
            "it stands over" if own.ready is None else f"ready {day_text(own.ready)}"
        )
        wanted = f", wanted by {day_text(own.wanted_by)}" if own.wanted_by else ""
        plants = f"{own.plants_expected:.0f} of {own.wanted} plants expected"
        yield f"  {ready}{wanted}, {plants}"
        if reasons and own.reason:
            yield f"  {clean(own.reason)}"
    yield from _left_out(plan, name)


def _left_out(plan: "Plan", name: str) -> Iterator[str]:
    for one in plan.not_placed:
        if one.batch == name:
            yield f"  not placed: {clean(one.reason)}"


def _state(state: "BatchState | None") -> str:
    if state is None:
        return "not begun"
    if state.lost:
        return "lost"
    if state.done:
        return "out"
    where = f" in {clean(state.space)}" if state.space else ""
    number = "" if state.count is None else f", {state.count} of them"
    return f"at {state.stage}{where} since {day_text(state.since)}{number}"
