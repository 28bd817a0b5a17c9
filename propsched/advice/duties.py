"""Small standing duties of a span of days: look, cover, vent, measure."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from propsched.advice.by_itself import SAID, ends_with, in_place, to_note
from propsched.advice.job import Job
from propsched.advice.state import BatchState
from propsched.domain.crop import UNSTARTED, Crop
from propsched.domain.plan import Placement, Plan, ways
from propsched.domain.season import Season
from propsched.domain.space import Space, cover_of

_GLASS = ("cold-frame", "glasshouse", "polytunnel")


def duties(
    plan: Plan,
    season: Season,
    crops: Mapping[str, Crop],
    states: Mapping[str, BatchState],
    first: date,
    end: date,
) -> tuple[Job, ...]:
    """Duties that the plan calls for from ``first`` to before ``end``."""
    here: dict[str, list[Placement]] = defaultdict(list)
    for p in plan.placements:
        state = states.get(p.batch)
        gone = state is not None and not state.standing
        if p.start < end and p.end > first and not gone:
            here[p.space].append(p)
    found: list[Job] = []
    for space in season.spaces:
        stand = here.get(space.id, [])
        if stand:
            found += _look(space, stand, crops, states, first, end)
            found += _air(space, stand, first, end)
    found += _readings(season, set(here), first, end)
    return tuple(found)


def _span(stand: list[Placement], first: date, end: date) -> tuple[date, date]:
    """First and last day on which any of them stands, within the span."""
    day = timedelta(days=1)
    begins = max(first, min(p.start for p in stand))
    return begins, min(end, max(p.end for p in stand)) - day


def _look(
    space: Space,
    stand: list[Placement],
    crops: Mapping[str, Crop],
    states: Mapping[str, BatchState],
    first: date,
    end: date,
) -> Iterator[Job]:
    """Seedlings want air and light the day they show."""
    coming = [
        p
        for p in stand
        if p.method == "seed" and p.stage == "start" and not _past_start(p, states)
    ]
    if not coming:
        return
    begins, until = _span(coming, first, end)
    names = ", ".join(sorted({p.crop for p in coming}))
    closed = any(
        n.air == "close"
        for p in coming
        if p.batch in crops
        for n in crops[p.batch].stages
        if n.stage == "start"
    )
    lid = "; lift the lid as they show" if closed or space.lid else ""
    yield Job(
        date=begins,
        kind="look daily",
        what=f"Look daily for seedlings in {space.id}: {names}{lid}",
        space=space.id,
        until=until,
    )


def _past_start(p: Placement, states: Mapping[str, BatchState]) -> bool:
    state = states.get(p.batch)
    return state is not None and state.stage not in UNSTARTED


def not_noted(
    plan: Plan, crops: Mapping[str, Crop], states: Mapping[str, BatchState], today: date
) -> Iterator[Job]:
    """What should have come up, rooted or taken where it stands, and is not noted."""
    for batch, (way, *_) in ways(plan.placements).items():
        state, crop = states.get(batch), crops.get(batch)
        if state is None or crop is None:
            continue
        due = in_place(crop, state, way)
        if due is None or due.start >= today:
            continue
        event = ends_with(crop)
        yield Job(
            date=today,
            kind="note",
            batch=batch,
            crop=due.crop,
            what=(
                f"Look whether {due.crop} in {due.space} is {SAID[event]} (due "
                f"{due.start.day} {due.start:%B}) and note it with its day: "
                f"{to_note(batch, event, due.start)}"
            ),
            space=due.space,
        )


def _air(space: Space, stand: list[Placement], first: date, end: date) -> Iterator[Job]:
    matted = [p for p in stand if space.night_mat or cover_of(p.variant) == "mat"]
    if matted:
        begins, until = _span(matted, first, end)
        over = space.id
        if not space.night_mat and len(matted) < len(stand):
            over = ", ".join(sorted({p.crop for p in matted})) + f" in {space.id}"
        yield Job(
            date=begins,
            kind="night mat",
            what=f"Mat on {over} every evening, off in the morning",
            space=space.id,
            until=until,
        )
    begins, until = _span(stand, first, end)
    by_hand = space.vent == "daily" or (space.vent is None and space.kind in _GLASS)
    if by_hand:
        yield Job(
            date=begins,
            kind="ventilate",
            what=f"Open {space.id} when the sun warms it, shut it in the afternoon",
            space=space.id,
            until=until,
        )


def _readings(
    season: Season, in_use: set[str], first: date, end: date
) -> Iterator[Job]:
    """Once a week, on the first work day or else the first day."""
    ids = [s.id for s in season.spaces if s.id in in_use or s.kind == "check-point"]
    week = first
    while ids and week < end:
        days = [week + timedelta(days=n) for n in range(min(7, (end - week).days))]
        day = next((d for d in days if season.is_work_day(d)), None)
        if day is not None:
            yield Job(
                date=day,
                kind="take readings",
                what="Take a probe reading at rooting depth in " + ", ".join(ids),
            )
        week += timedelta(days=7)
