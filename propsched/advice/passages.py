"""The daybook into stages that batches went through, with how many began and ended."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from propsched.advice.state import THROUGH, BatchState, standing
from propsched.advice.tally import BEGINS
from propsched.domain.batch import Event, EventName
from propsched.domain.crop import Crop
from propsched.domain.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One stage of one batch, from the day it began to what ended it."""

    state: BatchState
    """As it last was in this stage: spaces and days, when it began."""
    began: int | None
    """Seeds, cuttings or plants at its beginning; None: not known."""
    lost: int
    """Noted as lost in it."""
    all_lost: bool = False
    ended: date | None = None
    """None: it goes on, or its end was never noted."""
    by: EventName | None = None
    """What ended it."""
    left: int | None = None
    """Plants counted with what ended it; None: not counted."""

    @property
    def seen_through(self) -> bool:
        """Whether it was seen to be over, as no work can tell: up, rooted, taken."""
        return self.by in THROUGH


def passages(
    daybook: Sequence[Event],
    season: Season,
    crops_by_batch: Mapping[str, Crop],
    *,
    today: date,
    sown: Mapping[str, int],
    wanted: Mapping[str, int],
) -> tuple[Passage, ...]:
    """
    Every stage that the daybook tells of, batch by batch, in order.

    A batch begun a second time (sown again) begins anew, and what was before it has
    no end.

    Parameters
    ----------
    daybook : sequence of Event
        Without what was taken back.
    sown, wanted : mapping
        As for ``standing``.
    """
    own: dict[str, list[Event]] = {}
    for event in sorted(daybook, key=lambda e: e.time.replace(tzinfo=None)):
        if event.batch in crops_by_batch and event.time.date() <= today:
            own.setdefault(event.batch, []).append(event)
    found: list[Passage] = []
    for name, events in own.items():
        states = [
            standing(
                events[: n + 1],
                season,
                {name: crops_by_batch[name]},
                sown=sown,
                wanted=wanted,
            ).get(name)
            for n in range(len(events))
        ]
        found.extend(_of_batch(events, states))
    return tuple(found)


def _of_batch(
    events: Sequence[Event], states: Sequence[BatchState | None]
) -> Iterator[Passage]:
    before: BatchState | None = None
    began: int | None = None
    lost = 0
    for event, state in zip(events, states, strict=True):
        if state is None:
            continue
        if before is None:
            began = state.count
        elif not before.standing:
            return  # out or lost: what is noted later says nothing of a stage
        elif state.lost or state.done:
            if event.event == "lost":
                lost += event.count or 0
            yield Passage(
                state=before,
                began=began,
                lost=lost,
                all_lost=state.lost,
                ended=event.time.date(),
                by=event.event,
                left=None if state.lost else state.count,
            )
        elif _another_stage(event, before, state):
            again = event.event in BEGINS and state.stage_index <= before.stage_index
            yield Passage(
                state=before,
                began=began,
                lost=lost,
                ended=None if again else event.time.date(),
                by=None if again else event.event,
                left=event.count,
            )
            began, lost = state.count, 0
        elif event.event == "lost":
            lost += event.count or 0
        before = state
    if before is not None and before.standing:
        yield Passage(state=before, began=began, lost=lost)


def _another_stage(event: Event, before: BatchState, state: BatchState) -> bool:
    if state.stage_index != before.stage_index:
        return True
    return event.event in BEGINS and state.since != before.since
