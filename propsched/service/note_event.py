"""One thing that happened, into ``daybook.csv``; odd ones with a warning."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from propsched.advice.state import BEGINS, STAGE_OF, THROUGH, BatchState, standing
from propsched.domain.batch import Event, EventName
from propsched.domain.crop import Crop, Method
from propsched.domain.halves import half_names, noted_in_halves
from propsched.domain.repeats import expand, expanded_ids
from propsched.domain.space import Space
from propsched.errors import PropschedError
from propsched.files.batch_rules import Names, event_faults
from propsched.files.contents import SeasonFiles
from propsched.files.read import read_season
from propsched.files.write import append_event
from propsched.service.noted import (
    NOW,
    NoteAnswer,
    When,
    moment_of,
    named_space,
    when_text,
)

OF_SPACE = frozenset({"bed-made-up", "heat-on", "heat-off", "cover-on", "cover-off"})
"""Events that happen to a space, not to a batch."""
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


def note_event(
    folder: Path,
    name: EventName,
    words: Sequence[str],
    *,
    space: str = "",
    at: When = NOW,
    note: str = "",
    today: date | None = None,
) -> NoteAnswer:
    """
    Store what happened.

    Parameters
    ----------
    words : sequence of str
        The batch and perhaps a count or a space; for a space's event the space.
    at : When
        A day will do.

    Raises
    ------
    PropschedError
        When there is no such batch or space, or the time has not come. What only
        looks odd is stored and told in the notes.
    """
    read = frozenset({"season", "batches", "daybook", "crops"})
    files = read_season(folder, need=frozenset(), only=read)
    when = moment_of(files.season, at, today)
    event = _event(files, name, words, space, when, note)
    faults = event_faults([(0, event)], files.batches, _names(files), _spaces(files))
    for _, what, right in faults:
        raise PropschedError(f"{what} – {right}" if right else what)
    rows, book, _ = noted_in_halves(files.batches, (*files.daybook, event), ())
    crops = {
        batch.id: files.crops.get(batch.crop, batch.method)
        for batch in (*expand(files.batches), *expand(rows))
    }
    book = tuple(one for one in book if one is not event)
    before = standing(book, files.season, crops, today=when.date())
    notes = list(_odd(event, files, crops, before.get(event.batch)))
    append_event(folder, event)
    return NoteAnswer(lines=(_said(event, crops),), notes=tuple(notes))


def _event(
    files: SeasonFiles,
    name: EventName,
    words: Sequence[str],
    space: str,
    when: datetime,
    note: str,
) -> Event:
    """Words in any order that can be told apart: batch, count, space."""
    first, *rest = words or ("",)
    batch, count = first, None
    if name in OF_SPACE:
        batch, space = "", space or first
    for word in rest:
        if word.isdecimal() and count is None:
            count = int(word)
        elif not space:
            space = word
        else:
            raise PropschedError(f'"{word}" is one word too many')
    if space:
        space = named_space(files.season, space).id
    return Event(
        time=when, batch=batch, event=name, space=space, count=count, note=note
    )


def _names(files: SeasonFiles) -> Names:
    ids = {
        name
        for batch in files.batches
        for name in (*expanded_ids(batch), *half_names(batch))
    }
    return Names(ids, set())


def _spaces(files: SeasonFiles) -> set[str]:
    return {space.id for space in files.season.spaces}


def _odd(
    event: Event,
    files: SeasonFiles,
    crops: Mapping[str, Crop],
    state: BatchState | None,
) -> Iterator[str]:
    """What somebody may want to look at again."""
    same = [
        one
        for one in files.daybook
        if replace(one, note="", time=event.time) == replace(event, note="")
        and one.time.date() == event.time.date()
    ]
    if same:
        yield "the daybook had the same event on that day already"
    spaces = {space.id: space for space in files.season.spaces}
    if event.space:
        yield from _odd_space(event, spaces[event.space])
    if event.batch:
        yield from _odd_batch(event, crops[event.batch], state)


def _odd_space(event: Event, space: Space) -> Iterator[str]:
    if event.event in ("heat-on", "heat-off") and space.heat is None:
        yield f"{space.id} has no heater in season.toml"
    if event.event == "bed-made-up" and space.kind not in ("hotbed", "heap"):
        yield f"{space.id} is no hotbed or heap (kind {space.kind})"
    if event.batch and not space.stands:
        yield f"nothing can stand in {space.id}: it has no area_m2"


def _odd_batch(event: Event, crop: Crop, state: BatchState | None) -> Iterator[str]:
    name, batch = event.event, event.batch
    if name in BEGINS:
        usual = BEGUN_BY[crop.method]
        if name not in (usual, "started"):
            yield f"{batch} is raised from {crop.method}: usual is {usual}"
        if not event.space:
            yield f"where {batch} stands is not said: add --space"
        if state and state.standing and state.stage != "chill":
            yield f"{batch} has been started before ({_where(state)})"
        return
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
        elif state.stage in ("chill", "start"):
            yield f"{event.batch} is not noted as {_through(crop)} yet"
    elif event.event in THROUGH and state.stage not in ("chill", "start"):
        yield f"{event.batch} was past that: it is in {state.stage}"


def _through(crop: Crop) -> str:
    if crop.method == "seed":
        return "emerged"
    return "established" if crop.method in ("division", "tuber") else "rooted"


def _where(state: BatchState) -> str:
    place = f" in {state.space}" if state.space else ""
    return f"{state.stage} since {when_day(state.since)}{place}"


def when_day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _said(event: Event, crops: Mapping[str, Crop]) -> str:
    """One line: what was understood and stored."""
    parts = [event.batch or event.space, event.event]
    if event.batch in crops:
        crop = crops[event.batch]
        parts[0] += f" ({crop.name}, {crop.method})"
    if event.count is not None:
        parts.append(str(event.count))
    if event.batch and event.space:
        parts.append(f"in {event.space}")
    return f"Noted: {' '.join(parts)}, {when_text(event.time)}."
