"""The daybook into where every batch stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from propsched.domain.batch import Event
from propsched.domain.crop import Crop
from propsched.domain.season import Season

BEGINS = frozenset({"sown", "struck", "divided", "started"})
THROUGH = frozenset({"emerged", "rooted", "established"})
STAGE_OF = {
    "pricked-out": "prick-out",
    "potted-up": "pot-up",
    "potted-on": "pot-on",
    "hardening": "harden",
}


@dataclass(frozen=True, slots=True)
class Stay:
    """Time in one space."""

    space: str
    """Blank: the daybook does not say."""
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchState:
    """One batch as the daybook leaves it."""

    batch: str
    stage: str
    stage_index: int
    """Of the stage among the crop's stages."""
    space: str
    """Blank: the daybook does not say."""
    since: date
    """Day the stage began."""
    here_since: date
    """Day it came to this space."""
    stays: tuple[Stay, ...] = ()
    """Spaces of the present stage, in order; the first from the stage's start."""
    count: int | None = None
    """Seeds, cuttings or plants left; None: never counted."""
    done: bool = False
    """Planted out, or through its last stage."""
    lost: bool = False
    """Nothing is left."""

    @property
    def standing(self) -> bool:
        """Whether it still takes room."""
        return not (self.done or self.lost)


def standing(
    daybook: Sequence[Event],
    season: Season,
    crops_by_batch: Mapping[str, Crop],
    *,
    today: date | None = None,
) -> dict[str, BatchState]:
    """
    Where every batch that was ever started stands, by batch.

    Events after ``today`` are left out, those of batches without a crop too, and
    a space that the season does not have counts as not said.
    """
    spaces = {space.id for space in season.spaces}
    states: dict[str, BatchState] = {}
    for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None)):
        crop = crops_by_batch.get(event.batch)
        if crop is None or (today is not None and event.time.date() > today):
            continue
        known = event if event.space in spaces else replace(event, space="")
        state = _after(known, states.get(event.batch), crop)
        if state is not None:
            states[event.batch] = state
    return states


def beds_made_up(
    daybook: Sequence[Event], *, today: date | None = None
) -> dict[str, date]:
    """Day on which a hotbed or heap was last made up, by space."""
    made = {}
    for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None)):
        day = event.time.date()
        if event.event == "bed-made-up" and (today is None or day <= today):
            made[event.space] = day
    return made


def _after(event: Event, state: BatchState | None, crop: Crop) -> BatchState | None:
    """The state once the event has happened; None if it says nothing."""
    name = event.event
    if name in BEGINS:
        return _begin(event, state, crop)
    if name == "lost":
        return state and _lost(event, state)
    if state is None:
        # A daybook may begin in the middle: pots bought in, or a late start to it.
        state = _enter(event, None, crop, 0)
    if name == "planted-out":
        return replace(state, done=True, count=_counted(event, state))
    if name in THROUGH:
        return _through(event, state, crop)
    if name in STAGE_OF:
        index = _index_after(crop, STAGE_OF[name], state)
        return _enter(event, state, crop, index)
    return _move(event, state) if name == "moved" else None


def _begin(event: Event, state: BatchState | None, crop: Crop) -> BatchState:
    """A start; the second one of a chilled batch brings it out of the cold."""
    names = [needs.stage for needs in crop.stages]
    if "start" not in names:
        return _enter(event, None, crop, 0)
    chilled = state is not None and state.standing and state.stage == "chill"
    if "chill" in names and not chilled:
        return _enter(event, None, crop, names.index("chill"))
    return _enter(event, state if chilled else None, crop, names.index("start"))


def _through(event: Event, state: BatchState, crop: Crop) -> BatchState:
    """Emerged, rooted or established: on to the stage after the start."""
    names = [needs.stage for needs in crop.stages]
    after = names.index("start") + 1 if "start" in names else 1
    if state.stage_index >= after:  # noted late: it has been moved on already
        return replace(_move(event, state), count=_counted(event, state))
    if after >= len(names):
        return replace(
            _move(event, state),
            stage=names[-1],
            stage_index=len(names) - 1,
            count=_counted(event, state),
            done=True,
        )
    return _enter(event, state, crop, after)


def _index_after(crop: Crop, stage: str, state: BatchState) -> int:
    """The stage of that name; the present one where the crop has none."""
    names: list[str] = [needs.stage for needs in crop.stages]
    return names.index(stage) if stage in names else state.stage_index


def _enter(
    event: Event, state: BatchState | None, crop: Crop, index: int
) -> BatchState:
    """Into a stage; into the present one again, it is at most moved."""
    day = event.time.date()
    space = event.space or (state.space if state else "")
    same_space = state is not None and state.space == space
    stays: tuple[Stay, ...] = ()
    since = day
    if state is not None and state.stage_index == index:
        stays, since = state.stays, state.since
    return BatchState(
        batch=event.batch,
        stage=crop.stages[index].stage,
        stage_index=index,
        space=space,
        since=since,
        here_since=state.here_since if state and same_space else day,
        stays=_stayed(stays, space, day),
        count=_counted(event, state),
    )


def _move(event: Event, state: BatchState) -> BatchState:
    if not event.space or event.space == state.space:
        return state
    day = event.time.date()
    return replace(
        state,
        space=event.space,
        here_since=day,
        stays=_stayed(state.stays, event.space, day),
    )


def _stayed(stays: tuple[Stay, ...], space: str, day: date) -> tuple[Stay, ...]:
    """The stays with one more, unless it is still there; no stay of no days."""
    if stays and stays[-1].space == space:
        return stays
    if stays and stays[-1].since == day:
        return _stayed(stays[:-1], space, day)
    return (*stays, Stay(space, day))


def _counted(event: Event, state: BatchState | None) -> int | None:
    if event.count is not None:
        return event.count
    return state.count if state else None


def _lost(event: Event, state: BatchState) -> BatchState:
    """``lost`` without a number is all of it; of an uncounted batch, some of it."""
    if event.count is None:
        return replace(state, count=0, lost=True)
    if state.count is None:
        return state
    left = max(0, state.count - event.count)
    return replace(state, count=left, lost=left == 0)
