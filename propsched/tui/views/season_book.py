"""A season as its page reads it: every space by day, and every stay in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isnan, nan
from typing import TYPE_CHECKING

from propsched.domain.plan import BatchPlan, NotPlaced
from propsched.domain.space import Space
from propsched.report.words import clean
from propsched.service.halves_named import plans_named
from propsched.tui.views.season_routes import Spell, routes_of

if TYPE_CHECKING:
    from propsched.service.answers import TempsAnswer, TempsRow
    from propsched.service.opened import Opened
    from propsched.tui.desk import Desk


@dataclass(frozen=True, slots=True)
class Track:
    """The spells of one batch, or of one half of it, in one space."""

    batch: str
    part: int
    """Which way of the batch, from 0; a batch in halves has two."""
    spells: tuple[Spell, ...]

    @property
    def start(self) -> date:
        return self.spells[0].start

    @property
    def end(self) -> date:
        return max(spell.end for spell in self.spells)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceBook:
    """One space over the season; tuples have a value for each day from its start."""

    space: Space
    free_m2: tuple[float, ...]
    """Standing area that is not taken by something else."""
    used_m2: tuple[float, ...]
    root_c: tuple[float, ...]
    """Daily mean of the root zone; NaN: not known."""
    simulated: bool
    """Whether ``root_c`` is simulated; else it is what the plan reckoned with."""
    temps: Mapping[date, "TempsRow"]
    tracks: tuple[Track, ...]
    heat: tuple[tuple[date, date], ...] = ()
    """First and last day of each run of its heat."""
    make_up: date | None = None
    """Day the bed is made up, if it is one."""
    made: bool = False
    """Whether the daybook says that it was."""
    worth: Mapping[date, float] = field(default_factory=dict)
    """What one more tray would be worth, by Monday."""

    def heated(self, day: date) -> bool:
        return any(first <= day <= last for first, last in self.heat)

    def standing(self, first: date, last: date) -> list[Spell]:
        """What stands here on any of these days."""
        return [
            spell
            for track in self.tracks
            for spell in track.spells
            if spell.start <= last and spell.end > first
        ]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonBook:
    """All that the page of the season shows."""

    name: str
    first: date
    last: date
    today: date
    spaces: tuple[SpaceBook, ...]
    routes: Mapping[str, tuple[tuple[Spell, ...], ...]]
    """Every way of every batch, whole."""
    batches: Mapping[str, BatchPlan]
    left_out: tuple[NotPlaced, ...]
    nowhere: tuple[str, ...]
    """Batches under way of which the daybook does not say where they stand."""
    planned: bool
    warm: bool
    """Whether the spaces are simulated."""

    def of(self, space: str) -> SpaceBook | None:
        return next((one for one in self.spaces if one.space.id == space), None)

    def day(self, when: date) -> int:
        return (when - self.first).days

    def within(self, when: date) -> date:
        """The day, or the nearest one of the season."""
        return min(max(when, self.first), self.last)


_kept: "list[tuple[Opened, TempsAnswer | None, SeasonBook]]" = []
"""The one made last: several pages read the same one."""


def season_book(desk: "Desk") -> SeasonBook | None:
    """What is known of the season, made once a desk; None: it was not read."""
    opened = desk.opened
    if opened is None:
        return None
    for of, temps, book in _kept:
        if of is opened and temps is desk.temps:
            return book
    made = _made(desk, opened)
    _kept[:] = [(opened, desk.temps, made)]
    return made


def _made(desk: "Desk", opened: "Opened") -> SeasonBook:
    season, plan = opened.season, opened.plan
    routes = routes_of(opened)
    temps = temps_by_space(desk.temps)
    return SeasonBook(
        name=clean(season.name),
        first=season.start,
        last=season.end,
        today=opened.today,
        spaces=tuple(
            _space(opened, space, routes, temps.get(space.id, {}))
            for space in season.spaces
        ),
        routes=routes,
        batches=plans_named(opened),
        left_out=() if plan is None else plan.not_placed,
        nowhere=tuple(
            clean(name)
            for name, state in opened.states.items()
            if state.standing and not state.space
        ),
        planned=plan is not None,
        warm=desk.temps is not None,
    )


def temps_by_space(
    answer: "TempsAnswer | None",
) -> dict[str, dict[date, "TempsRow"]]:
    found: dict[str, dict[date, TempsRow]] = {}
    for row in () if answer is None else answer.rows:
        found.setdefault(row.space, {})[row.date] = row
    return found


def _space(
    opened: "Opened",
    space: Space,
    routes: Mapping[str, tuple[tuple[Spell, ...], ...]],
    temps: Mapping[date, "TempsRow"],
) -> SpaceBook:
    from propsched.service.opened import free_m2

    season, plan = opened.season, opened.plan
    tracks = [
        Track(batch, part, own)
        for batch, own_ways in routes.items()
        for part, way in enumerate(own_ways)
        if (own := tuple(spell for spell in way if spell.space == space.id))
    ]
    days = season.horizon.days
    used, warm, weight = [0.0] * days, [0.0] * days, [0.0] * days
    for spell in (spell for track in tracks for spell in track.spells):
        first, end = season.horizon.day(spell.start), season.horizon.day(spell.end)
        for day in range(max(0, first), min(days, end)):
            used[day] += spell.area_m2
            if not isnan(spell.root_c):
                warm[day] += spell.root_c * spell.area_m2
                weight[day] += spell.area_m2
    planned = [w / m if m > 0 else nan for w, m in zip(warm, weight, strict=True)]
    known = [temps[day].root_mean_c if day in temps else nan for day in season.horizon]
    make_up, made = opened.bed_day(space)
    return SpaceBook(
        space=space,
        free_m2=tuple(free_m2(space, season)),
        used_m2=tuple(used),
        root_c=tuple(known if temps else planned),
        simulated=bool(temps),
        temps=temps,
        tracks=tuple(sorted(tracks, key=lambda t: (t.start, t.batch, t.part))),
        heat=_heat(opened, space),
        make_up=make_up,
        made=made,
        worth={}
        if plan is None
        else {s.week: s.worth_per_tray for s in plan.scarce if s.space == space.id},
    )


def _heat(opened: "Opened", space: Space) -> tuple[tuple[date, date], ...]:
    """As the plan has it; without one as the file does."""
    heat = space.heat
    if heat is None or heat.when == "never":
        return ()
    if opened.plan is not None:
        runs = opened.plan.heat
        return tuple((run.start, run.end) for run in runs if run.space == space.id)
    if heat.when == "by-week":
        return ()
    season = opened.season
    return ((heat.start or season.start, heat.end or season.end),)
