"""Why a batch stands where it stands, and why another found no room, in sentences."""

from datetime import date, timedelta
from math import ceil

from propsched.domain.container import TRAY_M2
from propsched.errors import PinsImpossibleError
from propsched.optimise.explain import Reason, best_elsewhere, why_not
from propsched.optimise.must import MustConflictError
from propsched.optimise.problem import AREA_SCALE, WORTH_SCALE, Problem, Route, loss
from propsched.service.written import Written, share

FEW = 0.9
"""Share of the plants wanted below which a batch's losses are explained."""
SMALL_WORTH = 0.01
"""A difference below this is none, in worth."""


def pins_told(
    error: MustConflictError, problem: Problem, first: date
) -> PinsImpossibleError:
    """The same trouble in dates: what is pinned or under way and cannot all be met."""
    clash = error.clash
    names = ", ".join(f'"{problem.tasks[b].name}"' for b in clash.tasks)
    if clash.first_day is None or clash.last_day is None:
        return PinsImpossibleError(
            f"{names}: pinned or under way, and no way through its stages from there "
            "even with every space to itself – look at its pins and daybook rows"
        )
    days = (
        f"from {spoken(first + timedelta(clash.first_day))} "
        f"to {spoken(first + timedelta(clash.last_day))}"
    )
    if clash.space is None:
        lack = f"{clash.short} minutes of work are lacking {days}"
    else:
        lack = (
            f"{problem.space_names[clash.space]} is short of "
            f"{clash.short / AREA_SCALE:.2f} m² {days}"
        )
    found = "cannot all be met" if clash.proven else "could not all be met in the time"
    return PinsImpossibleError(f"{names}: what is pinned or under way {found}: {lack}")


def spoken(day: date) -> str:
    """``12 February``; all days of a season lie within one winter."""
    return f"{day.day} {day:%B}"


def why_here(out: Written, route: Route) -> str:
    """
    Why a batch stands where it does, and where it loses plants if it loses many.

    The stage for which another space would cost most, and what it would cost.
    """
    return "; ".join(
        part for part in (_best_elsewhere(out, route), where_lost(out, route)) if part
    )


def _best_elsewhere(out: Written, route: Route) -> str:
    task = out.problem.tasks[route.task]
    own = {pin.stage for pin in task.pins}
    others = [
        (other, stop)
        for other, stop in zip(
            best_elsewhere(out.problem, out.solution, route), route.stops, strict=True
        )
        if stop.stage not in own
    ]
    if not others:
        return "where it is by your own decision"
    other, stop = max(others, key=lambda pair: pair[0].loss)
    here = f"{out.place(stop.variant)} to {_verb(out, route, stop.stage)}"
    if other.route is None:
        return f"{here}: no other space with room would do"
    worth = other.loss / WORTH_SCALE
    there = next((s for s in other.route.stops if s.stage == stop.stage), None)
    if there is None:
        where = out.space(other.route.stops[-1].variant)
        return f"{here}: else it would stand over in {where}, {worth:.2f} of worth less"
    instead = f"{out.place(there.variant)} from {spoken(out.date(there.start))} instead"
    if worth < SMALL_WORTH:
        return f"{here}: {instead} would do as well"
    ends = ""
    if not route.over and not other.route.over:
        later = other.route.stops[-1].end - route.stops[-1].end
        if later > 0:
            ends = f", {later} days later"
    return f"{here}: {instead} would cost {worth:.2f} of worth{ends}"


def where_lost(out: Written, route: Route) -> str:
    """The stage that loses most, of a batch that expects clearly less than wanted."""
    task = out.problem.tasks[route.task]
    tables = out.problem.stages(task)
    part = share(out.problem, route)
    if part >= FEW:
        return ""
    lost = {}
    for stop in route.stops:
        table, at = tables[stop.stage], (stop.variant, stop.start)
        last = route.over and stop is route.stops[-1]
        through = table.over_success[at] if last else table.success[at]
        lost[stop] = int(loss(task, stop.stage, through))
    worst = max(route.stops, key=lambda stop: lost[stop])
    wanted = out.raised[route.task].batch.wanted
    return (
        f"{wanted * part:.0f} of {wanted} plants are expected; most are lost while "
        f"they {_verb(out, route, worst.stage)} in {out.place(worst.variant)}"
    )


def _verb(out: Written, route: Route, stage: int) -> str:
    one = out.raised[route.task]
    return {
        "chill": "be chilled",
        "start": {"seed": "germinate", "division": "establish", "tuber": "start"}.get(
            one.crop.method, "root"
        ),
        "harden": "harden off",
    }.get(one.crop.stages[stage].stage, "grow on")


def why_not_placed(out: Written, task: int) -> str:
    """The limit that would have to give least, with its days and its size."""
    reason = why_not(out.problem, out.solution, task, today=out.ground.today_day)
    if reason.kind == "tables":
        return _tables(out, task, reason)
    return {
        "area": _area,
        "work": _work,
        "availability": _availability,
        "late": _late,
        "size": _size,
        "gate": _gate,
        "mode": _mode,
    }.get(reason.kind, _plain)(out, reason)


def _mode(out: Written, reason: Reason) -> str:
    assert reason.space is not None
    space = out.problem.space_names[reason.space]
    return (
        f"it would need {space} with {reason.text}{_span(out, reason)}, which costs "
        f"{reason.short / WORTH_SCALE:.2f} of worth for the "
        f"{reason.gain / WORTH_SCALE:.2f} it would bring"
    )


def _span(out: Written, reason: Reason) -> str:
    if reason.first_day is None or reason.last_day is None:
        return ""
    first, last = out.date(reason.first_day), out.date(reason.last_day)
    return (
        f" on {spoken(first)}"
        if first == last
        else f" from {spoken(first)} to {spoken(last)}"
    )


def _area(out: Written, reason: Reason) -> str:
    name = "" if reason.space is None else out.problem.space_names[reason.space]
    kinds = {space.id: space.kind for space in out.ground.season.spaces}
    if kinds.get(name) == "open-ground":
        more = f"{ceil(reason.short / AREA_SCALE * 10) / 10:g} m² more"
    else:
        trays = ceil(reason.short / (TRAY_M2 * AREA_SCALE) * 10) / 10
        more = f"{trays:g} more tray places"
    return f"no room: it would fit if {name} had {more}{_span(out, reason)}"


def _work(out: Written, reason: Reason) -> str:
    return (
        f"no time: it would fit with {reason.short} more minutes of work"
        f"{_span(out, reason)}"
    )


def _availability(out: Written, reason: Reason) -> str:
    first = "" if reason.first_day is None else spoken(out.date(reason.first_day))
    if reason.side == "begins late":
        return (
            f"its material is to be had {reason.short} days too late: it would fit if "
            f"started on {first}"
        )
    return (
        f"its material ends {reason.short} days too soon: it would fit if started on "
        f"{first}"
    )


def _late(out: Written, reason: Reason) -> str:
    ends = spoken(out.ground.season.end)
    return (
        f"too late to start now: there is no room for a way that is through by {ends}; "
        f"it is {reason.short} days behind"
    )


def _size(out: Written, reason: Reason) -> str:
    where = "" if reason.space is None else f", {out.problem.space_names[reason.space]}"
    return (
        f"the batch is too large: it needs {reason.needed / AREA_SCALE:.1f} m², the "
        f"largest space that would do{where} has {reason.largest / AREA_SCALE:.1f} – "
        "make it several batches"
    )


def _gate(out: Written, reason: Reason) -> str:
    return (
        f"it may be planted out {reason.short} days too late: it could be ready on "
        f"{spoken(out.date(reason.last_day or 0))} and cannot wait"
    )


def _tables(out: Written, task: int, reason: Reason) -> str:
    one = out.raised[task]
    why = ", ".join(reason.why[:2]) or "nothing in this season suits it"
    if reason.stage is None:
        return f"never finds its way through its stages in time: {why}"
    return f"nowhere to {_stage_verb(one.crop.stages[reason.stage].stage)}: {why}"


def _stage_verb(stage: str) -> str:
    return {"chill": "be chilled", "start": "start", "harden": "harden off"}.get(
        stage, "grow on"
    )


def _plain(out: Written, reason: Reason) -> str:
    if reason.kind == "search":
        return "it would fit: let the planner look for longer"
    if reason.kind == "worth":
        return reason.text
    return f"it would fit given {reason.text}{_span(out, reason)}"
