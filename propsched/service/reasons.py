"""Why a batch stands where it stands, and why another found no room, in sentences."""

from datetime import date
from itertools import pairwise
from math import ceil

import numpy as np

from propsched.domain.container import TRAY_M2
from propsched.domain.space import MADE_UP
from propsched.optimise.explain import Reason, best_elsewhere, why_not
from propsched.optimise.problem import (
    AREA_SCALE,
    NEVER,
    WORTH_SCALE,
    Route,
    Stop,
    loss,
)
from propsched.service.elsewhere import crowded
from propsched.service.written import Written, share

FEW = 0.9
"""Share of the plants wanted below which a batch's losses are explained."""
STARTS = {
    "seed": "germinate", "division": "establish", "tuber": "start", "root": "shoot",
}  # fmt: skip
"""What the start of a method is called; of cuttings: to root."""
SMALL_WORTH = 0.01
"""A difference below this is none, in worth."""


def spoken(day: date) -> str:
    """``12 February``; all days of a season lie within one winter."""
    return f"{day.day} {day:%B}"


def why_here(out: Written, route: Route) -> str:
    """
    Why a batch stands where it does, and where it loses plants if it loses many.

    The stage for which another space would cost most, and what it would cost.
    """
    parts = (_stuck(out, route) or _best_elsewhere(out, route), where_lost(out, route))
    return "; ".join(part for part in parts if part)


def _stuck(out: Written, route: Route) -> str:
    """What stands already, may not stand over, and has nowhere to go on."""
    one, task = out.raised[route.task], out.problem.tasks[route.task]
    last = route.stops[-1]
    if not (route.over and task.under_way) or one.crop.stands_over:
        return ""
    place = out.place(last.variant)
    if last.stage + 1 < len(one.crop.stages) and _in_time(out, route):
        then = f"no room is left for it to {_verb(out, route, last.stage + 1)}"
    else:
        then = "it is not through before the season ends"
    return f"it stands in {place} already, and {then}"


def _in_time(out: Written, route: Route) -> bool:
    """Whether what is left of its way would end in the season, given all the room."""
    problem, last = out.problem, route.stops[-1]
    tables = problem.stages(problem.tasks[route.task])
    day, wait = out.ground.today_day, tables[last.stage].wait
    for table in tables[last.stage + 1 :]:
        days = np.arange(day, min(day + wait + 1, problem.days))
        length = table.length[:, days]
        done = np.where(length < NEVER, days + length, NEVER)
        day, wait = int(done.min(initial=NEVER)), table.wait
        if day >= problem.days:
            return False
    return True


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
        if all(task.begun(stop.stage) for stop in route.stops):
            return f"it stands in {out.place(route.stops[0].variant)} already"
        return "where you have pinned it"
    other, stop = max(others, key=lambda pair: pair[0].loss)
    here = f"{out.place(stop.variant)} to {_verb(out, route, stop.stage)}"
    if other.route is None:
        return f"{here}: {_without_room(out, route, stop)}"
    worth = other.loss / WORTH_SCALE
    there = next((s for s in other.route.stops if s.stage == stop.stage), None)
    if there is None:
        where = out.space(other.route.stops[-1].variant)
        return f"{here}: else it would stand over in {where}, {worth:.2f} of worth less"
    instead = f"{out.place(there.variant)} from {spoken(out.date(there.start))} instead"
    if worth < SMALL_WORTH:
        return f"{here}: {instead} would do as well"
    cost = f"would cost {worth:.2f} of worth{_namely(out, route, other.route)}"
    return f"{here}: {instead} {cost}"


def _without_room(out: Written, route: Route, stop: Stop) -> str:
    """No other space will do: none suits it, or those that do are full."""
    other = crowded(out.problem, out.solution, route, stop)
    if other is None:
        return "no other space would do"
    name, worth = out.problem.space_names[other.space], other.loss / WORTH_SCALE
    then = "is too small for it" if other.too_small else "is full then"
    if worth < SMALL_WORTH:
        return f"no other space has room; {name} would do as well, but {then}"
    return (
        f"no other space has room; {name}, which {then}, would cost {worth:.2f} of "
        "worth"
    )


def _namely(out: Written, route: Route, other: Route) -> str:
    """What another way would cost, in plants, days and moves."""
    wanted = out.raised[route.task].batch.wanted
    plants = wanted * (share(out.problem, route) - share(out.problem, other))
    told = []
    if round(plants) >= 1:
        told.append(counted_of(round(plants), "plant fewer", "plants fewer"))
    if not route.over and not other.over:
        days = other.stops[-1].end - route.stops[-1].end
        if days > 0:
            told.append(counted_of(days, "day later", "days later"))
    more = _moves(out, other) - _moves(out, route)
    if more > 0:
        told.append(counted_of(more, "more move", "more moves"))
    return f": {', '.join(told)}" if told else ""


def _moves(out: Written, route: Route) -> int:
    spaces = [int(out.problem.space_of[stop.variant]) for stop in route.stops]
    return sum(a != b for a, b in pairwise(spaces))


def counted_of(number: int, one: str, several: str) -> str:
    """``1 day later``, ``2 days later``."""
    return f"{number} {one if number == 1 else several}"


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
    left = round(wanted * part)
    told = f"{left} of {wanted} plants are expected" if left else "none will be left"
    return (
        f"{told}, most losses while they {_verb(out, route, worst.stage)} in "
        f"{out.place(worst.variant)}"
    )


def _verb(out: Written, route: Route, stage: int) -> str:
    crop = out.raised[route.task].crop
    needs = crop.stages[stage]
    if needs.stage == "start":
        chitted = needs.container.name == "chitting-tray"
        return "chit" if chitted else STARTS.get(crop.method, "root")
    return _stage_verb(needs.stage)


def why_not_placed(out: Written, task: int) -> str:
    """The limit that would have to give least, with its days and its size."""
    reason = why_not(out.problem, out.solution, task, today=out.ground.today_day)
    if reason.kind == "tables":
        return _tables(out, task, reason)
    return {
        "area": _area,
        "areas": _areas,
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
    run = f"{space} {'' if reason.text.startswith(MADE_UP) else 'with '}{reason.text}"
    span = "" if reason.text.startswith(MADE_UP) else _span(out, reason)
    return (
        f"it would need {run}{span}, which costs {reason.short / WORTH_SCALE:.2f} of "
        f"worth for the {reason.gain / WORTH_SCALE:.2f} it would bring"
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


def _areas(out: Written, reason: Reason) -> str:
    *most, last = reason.why
    names = f"{', '.join(most)} and {last}" if most else last
    return f"no room: it would fit if {names} had more{_span(out, reason)}"


def _work(out: Written, reason: Reason) -> str:
    return (
        f"no time: it would fit with {reason.short} more minutes of work"
        f"{_span(out, reason)}"
    )


def _availability(out: Written, reason: Reason) -> str:
    first = "" if reason.first_day is None else spoken(out.date(reason.first_day))
    if reason.side == "begins late":
        return (
            f"its material is to be had {_days(reason)} too late: it would fit if "
            f"started on {first}"
        )
    return (
        f"its material ends {_days(reason)} too soon: it would fit if started on "
        f"{first}"
    )


def _days(reason: Reason) -> str:
    return counted_of(reason.short, "day", "days")


def _late(out: Written, reason: Reason) -> str:
    ends = spoken(out.ground.season.end)
    return (
        f"too late to start now: there is no room for a way that is through by {ends}; "
        f"it is {_days(reason)} behind"
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
        f"it may be planted out {_days(reason)} too late: it could be ready on "
        f"{spoken(out.date(reason.last_day or 0))} and cannot wait"
    )


def _tables(out: Written, task: int, reason: Reason) -> str:
    one = out.raised[task]
    why = ", ".join(reason.why[:2]) or "nothing in this season suits it"
    if reason.stage is None:
        return f"never finds its way through its stages in time: {why}"
    return f"nowhere to {_stage_verb(one.crop.stages[reason.stage].stage)}: {why}"


def _stage_verb(stage: str) -> str:
    return {
        "warm": "lie warm",
        "chill": "be chilled",
        "start": "start",
        "harden": "harden off",
    }.get(stage, "grow on")


def _plain(out: Written, reason: Reason) -> str:
    span = _span(out, reason)
    return {
        "search": "it would fit: let the planner look for longer (--time-limit)",
        "worth": "there is room, but it would come too late or too weak to be worth it",
        "link": (
            "no room on the days that its row asks for: it would fit if started nearer "
            "to the sowing before or after it"
        ),
        "work day": f"no work day when it has to be moved: it would fit with one{span}",
        "away": f"nobody is there when it has to be moved{span}",
        "waiting": f"it would have to wait in between for longer than it can{span}",
        "pins": f"what you have pinned leaves no room for it: without, it fits{span}",
    }.get(reason.kind, f"it would fit given {reason.text}{span}")
