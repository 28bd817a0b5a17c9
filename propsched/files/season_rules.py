"""What has to hold between the keys of ``season.toml``."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from functools import cache
from zoneinfo import available_timezones

from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.files.source import did_you_mean, name_fault, one_of

Key = tuple[str | int, ...]
Rule = tuple[Key, str, str]
"""Key, what is wrong, what would be right."""

LONGEST_D = 400
"""A season is one winter; longer ones are mistyped years."""


def season_faults(season: Season) -> Iterator[Rule]:
    """Yield every fault between values that are right one by one."""
    yield from _dates(season)
    yield from _site(season)
    yield from _work(season)
    yield from _doubled("probe", [probe.id for probe in season.probes])
    yield from _doubled("space", [space.id for space in season.spaces])
    if not season.spaces:
        yield ("space",), "is missing", "at least one [[space]] is needed"
    inside = {space.id: space.inside for space in season.spaces}
    for at, space in enumerate(season.spaces):
        key: Key = ("space", at)
        yield from _inside(space, inside, key)
        yield from _equipment(space, key)
        yield from _make_up(space, season, key)
        yield from _covers(space, key)
        if space.by_week and space.kind in ("hotbed", "heap", "check-point"):
            right = f"a {space.kind} has no heater that is reckoned with; leave it out"
            yield (*key, "heat", "when"), 'is "by-week"', right
        yield from _reserved(space, key)
        heat = space.heat
        if heat and heat.start and heat.end and heat.end < heat.start:
            right = f"must be from {heat.start} on"
            yield (*key, "heat", "to"), f"is {heat.end}", right


def _dates(season: Season) -> Iterator[Rule]:
    days = season.horizon.days
    if not season.name.strip():
        yield ("season", "name"), "is blank", "give the season a name"
    if days < 1:
        right = f"must come after start, {season.start}"
        yield ("season", "end"), f"is {season.end}", right
    elif days > LONGEST_D:
        right = f"the season would have {days} days, at most {LONGEST_D}"
        yield ("season", "end"), f"is {season.end}", right


@cache
def _zones() -> set[str]:
    """Every zone there is; looking them up takes longer than all other rules."""
    return available_timezones()


def _site(season: Season) -> Iterator[Rule]:
    site = season.site
    if site.timezone not in _zones():
        near = did_you_mean(site.timezone, _zones())
        right = near or "must be a zone name such as Europe/London"
        yield ("site", "timezone"), f'is "{site.timezone}"', right
    low, high = site.normals_tmin_c, site.normals_tmax_c
    if (low is None) != (high is None):
        given, missing = "normals_tmin_c", "normals_tmax_c"
        if low is None:
            given, missing = missing, given
        yield ("site", given), f"is given without {missing}", "give both or neither"
    for month, (least, most) in enumerate(zip(low or (), high or (), strict=False), 1):
        if least > most:
            what = f"of month {month} is {least:g}, above normals_tmax_c, {most:g}"
            yield ("site", "normals_tmin_c", month - 1), what, "minimum below maximum"


def _work(season: Season) -> Iterator[Rule]:
    work = season.work
    if not work.days:
        yield ("work", "days"), "names no day", 'must be such as ["sat", "sun"]'
    if work.round_minutes > work.minutes_per_day:
        right = f"must be at most minutes_per_day, {work.minutes_per_day}"
        yield ("work", "round_minutes"), f"is {work.round_minutes}", right
    for at, away in enumerate(work.away):
        if away.end < away.start:
            right = f"must be from {away.start} on"
            yield ("work", "away", at, "to"), f"is {away.end}", right


def _doubled(table: str, names: list[str]) -> Iterator[Rule]:
    counts: Counter[str] = Counter()
    for at, name in enumerate(names):
        counts[name] += 1
        fault = name_fault(name)
        if fault:
            yield (table, at, "id"), *fault
        elif counts[name] > 1:
            yield (table, at, "id"), "is there twice", "every id must be its own"


def _inside(space: Space, inside: dict[str, str | None], key: Key) -> Iterator[Rule]:
    if space.inside is None:
        return
    if space.inside not in inside:
        others = [name for name in inside if name != space.id]
        right = one_of(space.inside, others)
        yield (*key, "inside"), f'is "{space.inside}", no space', right
        return
    way = [space.id]
    outer: str | None = space.inside
    while outer is not None and outer not in way:
        way.append(outer)
        outer = inside.get(outer)
    if outer == space.id:
        what = f"leads round in a circle: {' inside '.join([*way, space.id])}"
        yield (*key, "inside"), what, "the outermost space must be outdoors"


def _equipment(space: Space, key: Key) -> Iterator[Rule]:
    """Yield what this kind of space cannot work without."""
    kind = space.kind
    if kind in ("heated-bench", "propagator") and space.heat is None:
        right = f"a {kind} needs heat = {{ set_c = 18, w_per_m2 = 150 }}"
        yield (*key, "heat"), "is missing", right
    if kind == "warm-cupboard" and space.room_c is None and space.heat is None:
        yield (*key, "room_c"), "is missing", "a warm-cupboard needs its temperature"
    if kind == "hotbed" and space.make_up is None and not _open(space):
        right = "a hotbed needs the day it is made up: make_up = 2027-02-01"
        yield (*key, "make_up"), "is missing", right


def _open(space: Space) -> bool:
    return space.make_up_open or space.make_up_to is not None


def _make_up(space: Space, season: Season, key: Key) -> Iterator[Rule]:
    """Yield what is wrong with days of making up among which the plan may choose."""
    first, last = space.make_up_from, space.make_up_to
    if not _open(space):
        return
    if space.kind != "hotbed":
        right = "only for a hotbed; give one day, make_up = 2027-02-01"
        name = "make_up" if space.make_up_days else "make_up_from"
        yield (*key, name), f"is given for kind {space.kind}", right
        return
    given = (space.make_up is not None, bool(space.make_up_days), first or last)
    if sum(map(bool, given)) > 1:
        right = "give one of them: a day, a list of days, or make_up_from and _to"
        yield (*key, "make_up"), "is given twice", right
    if (first is None) != (last is None):
        name, other = "make_up_from", "make_up_to"
        if first is None:
            name, other = other, name
        yield (*key, name), f"is given without {other}", "give both"
    elif first and last and last < first:
        yield (*key, "make_up_to"), f"is {last}", f"must be from {first} on"
    days = (*space.make_up_days, *(day for day in (first, last) if day))
    for day in days:
        if not season.start <= day <= season.end:
            name = "make_up" if space.make_up_days else "make_up_from"
            right = f"must be in the season, {season.start} to {season.end}"
            yield (*key, name), f"is {day}", right
            return


def _covers(space: Space, key: Key) -> Iterator[Rule]:
    for at, name in enumerate(space.covers):
        if name in space.covers[:at]:
            yield (*key, "covers"), f'has "{name}" twice', "name each once"
            return
    if space.covers and space.cover not in ("none", "turf"):
        right = 'must be "none": what lies there always is not laid for a stay'
        yield (*key, "cover"), f'is "{space.cover}" beside covers', right
    if "mat" in space.covers and space.night_mat:
        right = 'leave one out: night_mat is a mat every night, "mat" one for a stay'
        yield (*key, "covers"), 'has "mat" beside night_mat', right


def _reserved(space: Space, key: Key) -> Iterator[Rule]:
    taken: list[tuple[date, date, float]] = []
    for at, reserved in enumerate(space.reserved):
        here = (*key, "reserved", at)
        if reserved.end < reserved.start:
            right = f"must be from {reserved.start} on"
            yield (*here, "to"), f"is {reserved.end}", right
            continue
        taken.append((reserved.start, reserved.end, reserved.area_m2))
        # the sum can only be highest on a day on which one of them begins
        most = max(
            sum(area for first, last, area in taken if first <= day <= last)
            for day in (first for first, _, _ in taken)
        )
        if most > space.area_m2 + 1e-9:
            what = f"adds up to {most:g} m²"
            right = f"must be at most area_m2, {space.area_m2:g}"
            yield (*here, "area_m2"), what, right
