"""The daybook into where every batch stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from propsched.advice.dormant import stage_after_move
from propsched.advice.tally import BEGINS, Tally, begun
from propsched.domain.batch import Event
from propsched.domain.crop import DORMANT, Crop
from propsched.domain.season import Season
from propsched.domain.space import Space

__all__ = [
    "BEGINS", "BatchState", "Stay", "beds_made_up", "covers_noted", "heat_noted",
    "standing",
]  # fmt: skip

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
    """Seeds, cuttings or plants left, of a batch that is done those planted out;
    None: not known."""
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
    sown: Mapping[str, int] | None = None,
    wanted: Mapping[str, int] | None = None,
) -> dict[str, BatchState]:
    """
    Where every batch that was ever started stands, by batch.

    Events after ``today`` are left out, those of batches without a crop too, and
    a space that the season does not have counts as not said.

    Parameters
    ----------
    sown : mapping, optional
        Seeds, cuttings or pieces to start, by batch: what a start without a number
        is taken to have started.
    wanted : mapping, optional
        Plants wanted, by batch: what is taken to be kept of those that came up
        uncounted, once losses of them are counted.
    """
    spaces = {space.id: space for space in season.spaces}
    states: dict[str, BatchState] = {}
    tallies: dict[str, Tally] = {}
    for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None)):
        name, before = event.batch, states.get(event.batch)
        crop = crops_by_batch.get(name)
        if crop is None or (today is not None and event.time.date() > today):
            continue
        known = event if event.space in spaces else replace(event, space="")
        state = _after(known, before, crop, spaces.get(event.space))
        if state is None:
            continue
        number = (sown or {}).get(name)
        if event.event in BEGINS and not _dormant(before, crop):
            tally = begun(event, number)
        else:
            tally = tallies.get(name, Tally(most=number))
            tally = tally.after(event, (wanted or {}).get(name))
        tallies[name] = tally
        states[name] = _told(state, event, tally)
    return states


def _told(state: BatchState, event: Event, tally: Tally) -> BatchState:
    """The state with what the tally says of it."""
    ends = event.event in ("lost", "planted-out") and tally.count == 0
    done = state.done or (ends and (event.event == "planted-out" or tally.out > 0))
    lost = state.lost or (ends and not done)
    left = tally.count
    if done:
        left = tally.out or left
    elif left == 0 and not lost:  # it cannot stand and be none
        left = None
    return replace(state, count=left, done=done, lost=lost)


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


def heat_noted(
    daybook: Sequence[Event], *, today: date | None = None
) -> dict[str, bool]:
    """Whether the heat of a space is on, by space; only of those the daybook tells."""
    return {
        event.space: event.event == "heat-on"
        for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None))
        if event.event in ("heat-on", "heat-off")
        and (today is None or event.time.date() <= today)
    }


def covers_noted(
    daybook: Sequence[Event], *, today: date | None = None
) -> dict[str, tuple[bool, date]]:
    """Whether a space is covered, and since when; only of those the daybook tells."""
    return {
        event.space: (event.event == "cover-on", event.time.date())
        for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None))
        if event.event in ("cover-on", "cover-off")
        and (today is None or event.time.date() <= today)
    }


def _after(
    event: Event, state: BatchState | None, crop: Crop, space: Space | None
) -> BatchState | None:
    """The state once the event has happened; None if it says nothing."""
    name = event.event
    if name in BEGINS:
        return _begin(event, state, crop)
    if state is None:
        if name == "lost":
            return None
        # A daybook may begin in the middle: pots bought in, or a late start to it.
        state = _enter(event, None, crop, 0)
    if name in ("lost", "planted-out"):
        return state
    if name in THROUGH:
        return _through(event, state, crop)
    if name in STAGE_OF:
        index = _index_after(crop, STAGE_OF[name], state)
        return _enter(event, state, crop, index)
    return _move_on(event, state, crop, space) if name == "moved" else None


def _begin(event: Event, state: BatchState | None, crop: Crop) -> BatchState:
    """A start; another one brings seed out of its warmth, or its cold."""
    if state is not None and _dormant(state, crop):
        return _enter(event, state, crop, state.stage_index + 1)
    return _enter(event, None, crop, 0)


def _dormant(state: BatchState | None, crop: Crop) -> bool:
    """Whether it lies warm or cold, to be brought out of it by another start."""
    dormant = state is not None and state.standing and state.stage in DORMANT
    return dormant and any(needs.stage == "start" for needs in crop.stages)


def _through(event: Event, state: BatchState, crop: Crop) -> BatchState:
    """Emerged, rooted or established: on to the stage after the start."""
    names = [needs.stage for needs in crop.stages]
    after = names.index("start") + 1 if "start" in names else 1
    if state.stage_index >= after:  # noted late: it has been moved on already
        return _move(event, state)
    if after >= len(names):
        return replace(
            _move(event, state),
            stage=names[-1],
            stage_index=len(names) - 1,
            done=True,
        )
    return _enter(event, state, crop, after)


def _index_after(crop: Crop, stage: str, state: BatchState) -> int:
    """The stage of that name; the present one where the crop has none."""
    names: list[str] = [needs.stage for needs in crop.stages]
    return names.index(stage) if stage in names else state.stage_index


def _move_on(
    event: Event, state: BatchState, crop: Crop, space: Space | None
) -> BatchState:
    """A move; of seed that lies warm or cold, into its next stage too."""
    day = event.time.date()
    k = stage_after_move(crop, state.stage_index, state.since, space, day)
    if k == state.stage_index or not state.standing:
        return _move(event, state)
    return _enter(event, state, crop, k)


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
