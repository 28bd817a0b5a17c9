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

SAME_COVER_DAYS = 7
"""A cover noted within so many days of its planned day is that one. Judgement."""

ROUNDING_KWH = 0.1
"""More than a run's energy is rounded by."""


def of_spaces(ground: Basis) -> Iterator[Job]:
    for bed in ground.plan.hotbeds:
        made = ground.beds.get(bed.space)
        if made is not None and abs((made - bed.make_up).days) <= SAME_BED_DAYS:
            continue
        if ground.named(bed.make_up):
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
        for day, way, wanted in (
            (on, "on", begins_here), (off, "off", off != season.end)
        ):  # fmt: skip
            is_on = ground.heated.get(run.space)
            done = day <= ground.today and is_on == (way == "on")
            if ground.named(day) and wanted and not done:
                yield _switch(ground, run.space, day, way)


def _switched(ground: Basis, space: Space) -> Iterator[Job]:
    """Heat by the week: on for a run of weeks, off on the day after it."""
    switches: list[tuple[date, str]] = []
    for run in ground.plan.heat:
        if run.space == space.id and heats(space, run):
            switches += [(run.start, "on"), (run.end + timedelta(days=1), "off")]
    # of those that were due by now only the last matters, and not if it is noted
    is_on = ground.heated.get(space.id, False)
    due = [one for one in switches if one[0] <= ground.today][-1:]
    due = [(day, way) for day, way in due if is_on != (way == "on")]
    later = [one for one in switches if one[0] > ground.today]
    for day, way in (*due, *later):
        if ground.named(day) and day <= ground.season.end:
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
            lay = begins and _to_cover(ground, here, here.start, on=True)
            if lay and here.end > ground.today:
                what = f"Lay fleece over {where}"
                yield _cover(ground, here, "cover on", here.start, what)
            ends = then is None or not _goes_on(here, then)
            off = ends and _to_cover(ground, here, here.end, on=False)
            if off and here.end <= ground.season.end:
                what = f"Take the fleece off {where}"
                yield _cover(ground, here, "cover off", here.end, what)


def _to_cover(ground: Basis, here: Placement, day: date, *, on: bool) -> bool:
    """Whether the daybook does not have it so since about that day."""
    is_on, since = ground.covered.get(here.space, (False, date.min))
    if is_on == on and abs((since - day).days) <= SAME_COVER_DAYS:
        return False
    if day < ground.first and not on and not is_on:  # it was never noted as laid
        return False
    return ground.named(day)


def _goes_on(one: Placement, other: Placement) -> bool:
    same_cover = cover_of(one.variant) == cover_of(other.variant)
    return one.space == other.space and same_cover


def _cover(ground: Basis, here: Placement, kind: JobKind, day: date, what: str) -> Job:
    return Job(
        date=day,
        kind=kind,
        batch=here.batch,
        crop=here.crop,
        what=what + ground.was_due(day),
        space=here.space,
    )
