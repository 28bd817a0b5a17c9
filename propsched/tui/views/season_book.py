"""A season as its page reads it: every space by day, and every stay in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import isnan, nan
from typing import TYPE_CHECKING, Literal

from propsched.domain.plan import BatchPlan, NotPlaced, Placement, ways
from propsched.domain.space import Space, told
from propsched.report.words import clean

if TYPE_CHECKING:
    from propsched.advice.state import BatchState
    from propsched.service.answers import TempsAnswer, TempsRow
    from propsched.service.opened import Opened
    from propsched.tui.desk import Desk

By = Literal["daybook", "plan", "over"]
"""``daybook``: it stands there; ``plan``: it is to; ``over``: it has stood there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """One stage of one batch in one space."""

    batch: str
    crop: str
    method: str
    stage: str
    space: str
    start: date
    end: date
    """First day the space is free again."""
    area_m2: float
    container: str
    """``2 × half-tray``."""
    root_c: float = nan
    """As the plan reckons with. [°C]"""
    state: str = ""
    """What is to be told of the space meanwhile: heat on, a fleece on."""
    by: By = "plan"
    least_c: float = nan
    """No growth at or below; NaN: not bound to warmth. [°C]"""

    def on(self, day: date) -> bool:
        return self.start <= day < self.end


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


def season_book(desk: "Desk") -> SeasonBook | None:
    """What is known of the season; None: it was not read."""
    opened = desk.opened
    if opened is None:
        return None
    season, plan = opened.season, opened.plan
    routes = _routes(opened)
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
        batches={} if plan is None else {one.batch: one for one in plan.batches},
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


def _routes(opened: "Opened") -> dict[str, tuple[tuple[Spell, ...], ...]]:
    """The plan's ways, and by the daybook what the plan does not know of."""
    found: dict[str, tuple[tuple[Spell, ...], ...]] = {}
    stops = () if opened.plan is None else opened.plan.placements
    for batch, own in ways(stops).items():
        found[batch] = tuple(tuple(_spell(opened, stop) for stop in way) for way in own)
    for batch, state in opened.states.items():
        if not (state.standing and state.space) or batch not in opened.crops:
            continue
        known = [s for way in found.get(batch, ()) for s in way]
        if not any(s.by == "daybook" for s in known):
            found[batch] = (*found.get(batch, ()), (_noted(opened, state),))
    return found


def _spell(opened: "Opened", stop: Placement) -> Spell:
    state, today = opened.states.get(stop.batch), opened.today
    stands = (
        state is not None
        and state.standing
        and (state.space, state.stage) == (stop.space, stop.stage)
        and stop.start <= today < max(stop.end, stop.end_latest)
    )
    past = stop.end <= today or (state is not None and not state.standing)
    containers = (
        f"{stop.containers} in the row"
        if stop.container == "row"
        else f"{stop.containers} × {stop.container}"
    )
    return Spell(
        batch=stop.batch,
        crop=stop.crop,
        method=stop.method,
        stage=stop.stage,
        space=stop.space,
        start=stop.start,
        end=stop.end,
        area_m2=stop.area_m2,
        container=containers,
        root_c=stop.root_mean_c,
        state=told(stop.variant),
        by="daybook" if stands else "over" if past else "plan",
        least_c=_least_c(opened, stop.batch, stop.stage),
    )


def _noted(opened: "Opened", state: "BatchState") -> Spell:
    """What stands by the daybook alone; how long is not known."""
    raised = next(one for one in opened.whole if one.batch.id == state.batch)
    needs = raised.crop.stages[state.stage_index]
    plants = state.count or raised.plants(state.stage_index)
    number, kind = needs.container.number(plants), needs.container.name
    end = opened.season.end + timedelta(days=1)
    return Spell(
        batch=state.batch,
        crop=raised.crop.name,
        method=raised.crop.method,
        stage=state.stage,
        space=state.space,
        start=state.here_since,
        end=max(end, state.here_since + timedelta(days=1)),
        area_m2=needs.container.area_m2(plants),
        container=f"{number} in the row" if kind == "row" else f"{number} × {kind}",
        by="daybook",
        least_c=_least_c(opened, state.batch, state.stage),
    )


def _least_c(opened: "Opened", batch: str, stage: str) -> float:
    crop = opened.crops.get(batch)
    needs = next((n for n in crop.stages if n.stage == stage), None) if crop else None
    if needs is None or stage in ("chill", "harden"):
        return nan
    return needs.base_c


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
    made = opened.beds.get(space.id)
    beds = {} if plan is None else {bed.space: bed.make_up for bed in plan.hotbeds}
    return SpaceBook(
        space=space,
        free_m2=tuple(free_m2(space, season)),
        used_m2=tuple(used),
        root_c=tuple(known if temps else planned),
        simulated=bool(temps),
        temps=temps,
        tracks=tuple(sorted(tracks, key=lambda t: (t.start, t.batch, t.part))),
        heat=_heat(opened, space),
        make_up=made or beds.get(space.id) or space.make_up,
        made=made is not None,
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
