"""Jobs that concern a space: its heat switched, its bed made up, covers laid."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from propsched.advice.basis import Basis
from propsched.advice.job import Job, JobKind
from propsched.domain.plan import HeatRun, Placement
from propsched.domain.space import Space, cover_of
from propsched.thermal.materials import LAMP_HOURS

SAME_BED_DAYS = 60
"""A bed made up within so many days of its planned day is that bed, early or late:
one bed serves some eight weeks (Bailey, "Manual of Gardening"), then another is due.
"""

ROUNDING_KWH = 0.1
"""More than a run's energy is rounded by."""


def of_spaces(ground: Basis) -> Iterator[Job]:
    for bed in ground.plan.hotbeds:
        made = ground.beds.get(bed.space)
        if made is not None and abs((made - bed.make_up).days) <= SAME_BED_DAYS:
            continue
        if ground.in_time(bed.make_up) or ground.overdue(bed.make_up):
            yield Job(
                date=bed.make_up,
                kind="make up bed",
                what=f"Make up {bed.space}" + ground.was_due(bed.make_up),
                space=bed.space,
                caution="wash hands after manure, cover cuts, do not breathe the dust",
            )
    yield from _of_heat(ground)


def _of_heat(ground: Basis) -> Iterator[Job]:
    season = ground.season
    heaters = {s.id: s.heat for s in season.spaces if s.heat and s.heat.when != "never"}
    lit = {s.id for s in season.spaces if s.lamp is not None}
    by_week = {space.id for space in season.spaces if space.by_week}
    for space in season.spaces:
        if space.by_week:
            yield from _switched(ground, space)
    for run in ground.plan.heat:
        heater = heaters.get(run.space)
        if run.space in by_week:
            continue
        if heater is None:  # only a lamp draws current there
            continue
        on, off = run.start, run.end
        if run.space in lit:  # the run is the lamp's as well
            on, off = heater.start or season.start, heater.end or season.end
        begins_here = on != season.start or ground.first == on
        if ground.in_time(on) and begins_here:
            yield _switch(ground, run.space, on, "on")
        if ground.in_time(off) and off != season.end:
            yield _switch(ground, run.space, off, "off")


def _switched(ground: Basis, space: Space) -> Iterator[Job]:
    """Heat by the week: on for a run of weeks, off on the day after it."""
    switches: list[tuple[date, str]] = []
    for run in ground.plan.heat:
        if run.space == space.id and heats(space, run):
            switches += [(run.start, "on"), (run.end + timedelta(days=1), "off")]
    # of those that were due by now only the last matters, and not if it is noted
    is_on = ground.heated.get(space.id, False)
    due = [one for one in switches if one[0] <= ground.first][-1:]
    due = [(day, way) for day, way in due if is_on != (way == "on")]
    later = [one for one in switches if one[0] > ground.first]
    for day, way in (*due, *later):
        wanted = ground.in_time(day) or ground.overdue(day)
        if wanted and day <= ground.season.end:
            yield _switch(ground, space.id, day, way)


def heats(space: Space, run: HeatRun) -> bool:
    """Whether the heat of a space is on in a run, and not its lamp alone."""
    if space.lamp is None:
        return True
    days = (run.end - run.start).days + 1
    of_lamp = space.lamp.w * (LAMP_HOURS[1] - LAMP_HOURS[0]) / 1000 * days
    return run.kwh > of_lamp + ROUNDING_KWH


def _switch(ground: Basis, space: str, day: date, way: str) -> Job:
    what = f"Switch {way} the heat of {space}{ground.was_due(day)}"
    return Job(
        date=day, kind="heat on" if way == "on" else "heat off", what=what, space=space
    )


def of_covers(ground: Basis, ways: Iterable[Sequence[Placement]]) -> Iterator[Job]:
    """Fleece to lay over a stay and take off after it; mats are a daily duty."""
    for way in ways:
        before = (None, *way)
        after = (*way[1:], None)
        for last, here, then in zip(before, way, after, strict=False):
            if cover_of(here.variant) != "fleece":
                continue
            where = f"{ground.name(here)} in {here.space}"
            begins = last is None or not _goes_on(last, here)
            if begins and ground.in_time(here.start):
                yield _cover(here, "cover on", here.start, f"Lay fleece over {where}")
            ends = then is None or not _goes_on(here, then)
            if ends and ground.in_time(here.end) and here.end <= ground.season.end:
                what = f"Take the fleece off {where}"
                yield _cover(here, "cover off", here.end, what)


def _goes_on(one: Placement, other: Placement) -> bool:
    same_cover = cover_of(one.variant) == cover_of(other.variant)
    return one.space == other.space and same_cover


def _cover(here: Placement, kind: JobKind, day: date, what: str) -> Job:
    return Job(
        date=day,
        kind=kind,
        batch=here.batch,
        crop=here.crop,
        what=what,
        space=here.space,
    )
