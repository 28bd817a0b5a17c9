"""A start that is over where it stands: nobody lifts a hand, and nobody notes it."""

from collections.abc import Iterable, Mapping
from datetime import date

from propsched.advice.state import BatchState
from propsched.domain.batch import EventName
from propsched.domain.crop import Crop, Method, StageName
from propsched.domain.plan import Placement

ENDS: Mapping[Method, EventName] = {
    "seed": "emerged",
    "division": "established",
    "tuber": "established",
}
"""What the start of a method ends with; that of others with ``rooted``."""
SAID: Mapping[EventName, str] = {
    "emerged": "up",
    "rooted": "rooted",
    "established": "established",
}
_BY_ITSELF: frozenset[StageName] = frozenset({"seedling", "grow"})
"""Stages that begin without work where a batch stays in its place."""


def ends_with(crop: Crop) -> EventName:
    """The event that says that the start of a crop is over."""
    return ENDS.get(crop.method, "rooted")


def goes_on(crop: Crop, state: BatchState) -> bool:
    """Whether its next stage begins by itself if it stays where it stands."""
    after = crop.stages[state.stage_index + 1 : state.stage_index + 2]
    return (
        state.standing
        and state.stage == "start"
        and any(needs.stage in _BY_ITSELF for needs in after)
    )


def in_place(
    crop: Crop, state: BatchState, way: Iterable[Placement]
) -> Placement | None:
    """
    The next stage of a batch, where a plan has it begin where the batch stands.

    None: it begins elsewhere or takes work, so that there is a job for it.
    """
    if not goes_on(crop, state):
        return None
    name = crop.stages[state.stage_index + 1].stage
    there = next((p for p in way if p.stage == name and not p.moved), None)
    return there if there is not None and there.space == state.space else None


def to_note(
    batch: str, event: EventName, day: date | None = None, *, space: str = ""
) -> str:
    """The command that notes it, as of a day, in a space."""
    name = f'"{batch}"' if " " in batch else batch
    where = f" --space {space}" if space else ""
    on = "" if day is None else f" --date {day}"
    return f"propsched note SEASON {event} {name}{where}{on}"
