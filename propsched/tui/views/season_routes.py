"""The way of every batch through its spaces: as planned, put right by the daybook."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import nan
from typing import TYPE_CHECKING, Literal

from propsched.domain.plan import Placement
from propsched.domain.space import told
from propsched.service.halves_named import ways_named

if TYPE_CHECKING:
    from propsched.advice.state import BatchState
    from propsched.service.opened import Opened

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


def routes_of(opened: "Opened") -> dict[str, tuple[tuple[Spell, ...], ...]]:
    """The plan's ways, put right by the daybook, and what the plan does not know of."""
    found = {
        batch: tuple(_way(opened, way) for way in own)
        for batch, own in ways_named(opened).items()
    }
    for batch, state in opened.states.items():
        if not (state.standing and state.space) or batch not in opened.crops:
            continue
        own = found.get(batch, ((),))
        if not any(spell.by == "daybook" for way in own for spell in way):
            found[batch] = (_with_noted(opened, state, own[0]), *own[1:])
    return {batch: own for batch, own in found.items() if any(own)}


def _with_noted(
    opened: "Opened", state: "BatchState", way: tuple[Spell, ...]
) -> tuple[Spell, ...]:
    """Where it stands by the daybook, until the plan has it elsewhere."""
    tomorrow = opened.today + timedelta(days=1)
    noted = _noted(opened, state)
    before = [
        replace(spell, by="over", end=min(spell.end, noted.start))
        for spell in way
        if spell.start < opened.today
    ]
    after = [spell for spell in way if spell.start >= opened.today]
    if after:
        noted = replace(noted, end=max(after[0].start, tomorrow))
    later = [replace(s, start=max(s.start, noted.end)) for s in after]
    return (*_left(before), noted, *_left(later))


def _way(opened: "Opened", stops: Sequence[Placement]) -> tuple[Spell, ...]:
    """One way of a batch: what is past, where it stands, what is to come."""
    state, today = opened.states.get(stops[0].batch), opened.today
    spells = tuple(_spell(opened, stop) for stop in stops)
    if state is None:
        return tuple(replace(s, by="over") if s.end <= today else s for s in spells)
    if not state.standing:
        return tuple(
            replace(s, by="over", end=min(s.end, today))
            for s in spells
            if s.start < today
        )
    alike = [s for s in spells if (s.space, s.stage) == (state.space, state.stage)]
    if not alike:
        return spells
    here = min(alike, key=lambda s: abs((s.start - state.here_since).days))
    at = spells.index(here)
    began = max(state.since, state.here_since)
    past = [replace(s, by="over", end=min(s.end, began)) for s in spells[:at]]
    noted = replace(
        here,
        by="daybook",
        start=began,
        end=max(here.end, today + timedelta(days=1)),
    )
    later = [replace(s, start=max(s.start, noted.end)) for s in spells[at + 1 :]]
    return (*_left(past), noted, *_left(later))


def _left(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    """Those of which a day is left."""
    return tuple(spell for spell in spells if spell.end > spell.start)


def _spell(opened: "Opened", stop: Placement) -> Spell:
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
        least_c=_least_c(opened, stop.batch, stop.stage),
    )


def _noted(opened: "Opened", state: "BatchState") -> Spell:
    """What stands by the daybook alone; how long is not known."""
    raised = next(one for one in opened.whole if one.batch.id == state.batch)
    needs = raised.crop.stages[state.stage_index]
    plants = state.count or raised.plants(state.stage_index)
    number, kind = needs.container.number(plants), needs.container.name
    end, began = (
        opened.season.end + timedelta(days=1),
        max(state.since, state.here_since),
    )
    return Spell(
        batch=state.batch,
        crop=raised.crop.name,
        method=raised.crop.method,
        stage=state.stage,
        space=state.space,
        start=began,
        end=max(end, began + timedelta(days=1)),
        area_m2=needs.container.area_m2(plants),
        container=f"{number} in the row" if kind == "row" else f"{number} × {kind}",
        by="daybook",
        least_c=_least_c(opened, state.batch, state.stage),
    )


def _least_c(opened: "Opened", batch: str, stage: str) -> float:
    crop = opened.crops.get(batch)
    needs = next((n for n in crop.stages if n.stage == stage), None) if crop else None
    if needs is None or stage in ("warm", "chill", "harden"):
        return nan
    return needs.base_c
