"""What looks odd in something that happened, by what the daybook had before it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from propsched.advice.by_itself import ends_with
from propsched.advice.state import BEGINS, STAGE_OF, THROUGH, BatchState
from propsched.domain.batch import Event, EventName
from propsched.domain.crop import DORMANT, UNSTARTED, Crop, Method
from propsched.domain.space import Space

BEGUN_BY: dict[Method, EventName] = {
    "seed": "sown",
    "hardwood": "struck",
    "evergreen": "struck",
    "tip": "struck",
    "basal": "struck",
    "root": "struck",
    "division": "divided",
    "tuber": "started",
}
"""How each method begins; ``started`` will do for any."""


def odd(
    event: Event,
    book: Sequence[Event],
    spaces: Mapping[str, Space],
    crop: Crop | None,
    state: BatchState | None,
) -> Iterator[str]:
    """
    What somebody may want to look at again.

    Parameters
    ----------
    book : sequence of Event
        What stands in the daybook, of any day.
    crop, state
        Of the event's batch, the state on the event's day; None: not begun by then.
    """
    plain = replace(event, note="")
    same = (
        replace(one, note="", time=event.time) == plain
        for one in book
        if one.time.date() == event.time.date()
    )
    if any(same):
        yield "the daybook had the same event on that day already"
    if event.space:
        yield from _odd_space(event, spaces[event.space])
    if crop is None:
        return
    if event.event in BEGINS:
        yield from _odd_start(event, book, crop, state)
    else:
        yield from _odd_batch(event, crop, state)


def _odd_space(event: Event, space: Space) -> Iterator[str]:
    if event.event in ("heat-on", "heat-off") and space.heat is None:
        yield f"{space.id} has no heater in season.toml"
    if event.event == "bed-made-up" and space.kind not in ("hotbed", "heap"):
        yield f"{space.id} is no hotbed or heap (kind {space.kind})"
    if event.batch and not space.stands:
        yield f"nothing can stand in {space.id}: it has no area_m2"


def _odd_start(
    event: Event, book: Sequence[Event], crop: Crop, state: BatchState | None
) -> Iterator[str]:
    name, batch = event.event, event.batch
    usual = BEGUN_BY[crop.method]
    if name not in (usual, "started"):
        yield f"{batch} is raised from {crop.method}: usual is {usual}"
    if not event.space:
        yield f"where {batch} stands is not said: add --space"
    lies: list[str] = [
        needs.stage for needs in crop.stages[:-1] if needs.stage in DORMANT
    ]
    brought_on = state is not None and state.stage in lies
    if state is not None:
        if state.done:
            yield f"{batch} was through by the daybook: it begins again"
        elif state.lost:
            yield f"nothing was left of {batch} by the daybook: it begins again"
        elif not brought_on:
            yield f"{batch} has been started before ({_where(state)}): it begins again"
        elif name != "started":
            place = "cold" if state.stage == "chill" else "warmth"
            yield (
                f"{batch} lies in the {place} ({_where(state)}): this brings it out; "
                "started says so too"
            )
    later = [
        one
        for one in book
        if one.batch == batch and one.event in BEGINS and one.time > event.time
    ]
    left = lies[lies.index(state.stage) + 1 :] if state and brought_on else ()
    if len(later) > len(lies if state is None else left):
        one = later[-1]
        day = when_day(one.time.date())
        yield f"{batch} is noted as {one.event} on {day} too, and begins again then"


def _odd_batch(event: Event, crop: Crop, state: BatchState | None) -> Iterator[str]:
    name, batch = event.event, event.batch
    if state is None:
        yield f"{batch} has not been {BEGUN_BY[crop.method]} by the daybook yet"
        return
    if state.lost:
        yield f"nothing is left of {batch} by the daybook"
    elif state.done and name != "planted-out":
        yield f"{batch} was through by the daybook"
    elif state.done:
        yield f"{batch} was through already (since {when_day(state.since)})"
    yield from _odd_stage(event, crop, state)
    if (
        event.count is not None
        and state.count is not None
        and event.count > state.count
    ):
        yield f"{event.count} are more than the {state.count} that there were"


def _odd_stage(event: Event, crop: Crop, state: BatchState) -> Iterator[str]:
    names: list[str] = [needs.stage for needs in crop.stages]
    if event.event in STAGE_OF:
        stage = STAGE_OF[event.event]
        if stage not in names:
            way = ", ".join(names)
            yield f"{crop.name} has no stage {stage} (its way is {way})"
        elif names.index(stage) < state.stage_index:
            yield f"{event.batch} was past that: it is in {state.stage}"
        elif state.stage in UNSTARTED and names[state.stage_index + 1] != stage:
            # what is potted right after its start is seen to have rooted
            yield f"{event.batch} is not noted as {ends_with(crop)} yet"
    elif event.event in THROUGH and state.stage not in UNSTARTED:
        yield f"{event.batch} was past that: it is in {state.stage}"


def _where(state: BatchState) -> str:
    place = f" in {state.space}" if state.space else ""
    return f"{state.stage} since {when_day(state.since)}{place}"


def when_day(day: date) -> str:
    return f"{day.day} {day:%b}"
