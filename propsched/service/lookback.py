"""
What a season was to be and what became of it, for the next one.

Everything follows from the files alone: the daybook says what happened, and what was
to be expected is reckoned anew, so that it does not depend on which plan happens to be
in force.  It is reckoned twice.  *Usual*: in the winters of this place, with nothing of
this season's weather and no reading, as could be told before it began.  *Reckoned*:
with the weather that came and the readings that were taken.  The days between the two
are the weather's; the days between reckoned and come are the figures'.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from statistics import median

from pandas import Timedelta, Timestamp

from propsched.advice.passages import Passage, passages
from propsched.advice.state import BatchState
from propsched.biology.climate import Climate
from propsched.domain.crop import UNSTARTED
from propsched.service.climate import Warmth, warmth
from propsched.service.ground import Ground
from propsched.service.loaded import Loaded, only
from propsched.service.lookback_came import came_of
from propsched.service.lookback_lost import losses_of
from propsched.service.lookback_rows import crop_rows
from propsched.service.lookback_spaces import space_warmth
from propsched.service.looked_back import Came, Group, LookBack, Outcome
from propsched.service.opened import Opened, open_season
from propsched.service.raised import Raised

USUAL_WINTERS = 25
SEEN_WINTERS = 5
"""They are one and the same up to today; what has not come by then needs some."""


def look_back(folder: Path, today: date | None = None, *, seed: int = 0) -> LookBack:
    """
    Predicted against happened, by batch, crop and space.

    Parameters
    ----------
    today : date, optional
        Up to which day; None takes the clock, held inside the season.

    Returns
    -------
    LookBack
        Nothing is written; ``crop_rows`` may be put into crops.csv.

    Raises
    ------
    InvalidInputError
        With every fault of the files.
    """
    opened = open_season(folder, today=today)
    return look_back_on(opened, seed=seed)


def look_back_on(opened: Opened, *, seed: int = 0) -> LookBack:
    """The same of a season that is open."""
    past = _Past(opened, seed)
    came = tuple(past.came())
    lost = tuple(
        losses_of(past.stages, past.whole, past.seen.ground) if past.stages else ()
    )
    spaces = space_warmth(past.loaded, past.read) if past.read else ()
    stood = {p.state.space for p in past.stages} & past.known
    season = opened.season
    return LookBack(
        season=season.name or opened.folder.name,
        start=season.start,
        end=season.end,
        today=opened.today,
        came=came,
        silent=tuple(_silent(past.stages)),
        losses=lost,
        outcomes=tuple(_outcomes(opened, past.stages)),
        spaces=spaces,
        unread=tuple(s.id for s in season.spaces if s.id in stood - past.read),
        by_crop=tuple(_groups(came, lambda one: (one.crop, one.method))),
        by_space=tuple(_groups(came, lambda one: (one.space, ""))),
        crop_rows=crop_rows(came, lost, past.evidence, past.whole),
        notes=tuple(_notes(opened)),
    )


@dataclass(frozen=True)
class Reckoned:
    """Warmth of the season in one way of reckoning it."""

    warm: Warmth
    ground: Ground


class _Past:
    """What the daybook tells, and the season reckoned in both ways once needed."""

    def __init__(self, opened: Opened, seed: int) -> None:
        self.opened, self.seed = opened, seed
        self.whole = {one.batch.id: one for one in opened.whole}
        self.stages = passages(
            opened.files.daybook,
            opened.season,
            opened.crops,
            today=opened.today,
            sown=opened.sown,
            wanted={one.batch.id: one.batch.wanted for one in opened.whole},
        )
        self.known = {space.id for space in opened.season.spaces}
        rows = opened.files.readings
        until = rows[rows["time"] < Timestamp(opened.today) + Timedelta(days=1)]
        self.read = set(until["space"]) & self.known
        self.evidence: dict[str, float] = {}
        """Standard error of the warmth where each batch began, mean of its days. [K]"""

    @cached_property
    def loaded(self) -> Loaded:
        """With the spaces alone that the daybook or a reading names."""
        stood = {s.space for p in self.stages for s in p.state.stays}
        return only(self.opened.loaded, (stood | self.read) & self.known)

    @cached_property
    def seen(self) -> Reckoned:
        return self._reckoned(self.loaded, SEEN_WINTERS, by_readings=True)

    @cached_property
    def usual(self) -> Reckoned:
        files = self.loaded.files
        before = files.weather["date"] < Timestamp(files.season.start)
        unseen = replace(files, weather=files.weather[before])
        loaded = replace(self.loaded, files=unseen)
        return self._reckoned(loaded, USUAL_WINTERS, by_readings=False)

    def _reckoned(self, loaded: Loaded, winters: int, *, by_readings: bool) -> Reckoned:
        warm = warmth(loaded, winters=winters, seed=self.seed, by_readings=by_readings)
        ground = Ground(
            season=loaded.season,
            zone=warm.zone,
            offset=warm.horizon.day(loaded.season.start),
            today=loaded.today,
            climate=Climate(warm.zone),
            states=warm.states,
        )
        return Reckoned(warm, ground)

    def came(self) -> Iterator[Came]:
        for stage in self.stages:
            one = self.whole[stage.state.batch]
            if not stage.seen_through or stage.state.stage != "start":
                continue
            if any(stay.space not in self.known for stay in stage.state.stays):
                continue
            found = came_of(stage, one, self.usual.ground, self.seen.ground)
            if found is not None:
                self.evidence[one.batch.id] = self._error_c(stage)
                yield found

    def _error_c(self, stage: Passage) -> float:
        """What stays unknown of the warmth where it began, over its days. [K]"""
        assert stage.ended is not None
        warm = self.seen.warm
        own = warm.corrected[warm.zone.of(stage.state.stays[0].space)]
        first = warm.horizon.day(stage.state.since)
        last = warm.horizon.day(stage.ended)
        return float(own.offset.sd_c[max(0, first) : last + 1].mean())


def _silent(stages: Iterable[Passage]) -> Iterator[str]:
    """Batches that went on without a day on which they were seen to be through."""
    for stage in stages:
        over = stage.by not in (None, "lost") and not stage.seen_through
        if over and stage.state.stage == "start":
            yield stage.state.batch


def _outcomes(opened: Opened, stages: Sequence[Passage]) -> Iterator[Outcome]:
    last = {stage.state.batch: stage for stage in stages}
    for one in opened.whole:
        state, stage = opened.states.get(one.batch.id), last.get(one.batch.id)
        done = state is not None and state.done
        yield Outcome(
            batch=one.batch.id,
            crop=one.crop.name,
            method=one.crop.method,
            wanted=one.batch.wanted,
            wanted_by=one.batch.wanted_by,
            state=_state_word(one, state),
            out=state.count if done and state is not None else None,
            out_on=stage.ended if done and stage is not None else None,
        )


def _state_word(one: Raised, state: BatchState | None) -> str:
    if state is None:
        return "not begun"
    if state.lost:
        return "lost"
    if state.done:
        return "planted out"
    if state.stage in UNSTARTED:
        return "not up yet" if one.crop.method == "seed" else "not rooted yet"
    return "growing on"


def _groups(
    came: Sequence[Came], of: Callable[[Came], tuple[str, str]]
) -> Iterator[Group]:
    own: dict[tuple[str, str], list[Came]] = {}
    for one in came:
        own.setdefault(of(one), []).append(one)
    for (name, method), some in sorted(own.items()):
        errors = [one.error_d for one in some if one.error_d is not None]
        yield Group(
            name=name,
            method=method,
            batches=len(some),
            held=sum(one.held for one in some),
            error_d=median(errors) if errors else 0.0,
            worst_d=max(errors, key=abs) if errors else 0,
        )


def _notes(opened: Opened) -> Iterator[str]:
    yield from opened.files.notes
    if opened.today < opened.season.end:
        yield f"the season goes on until {opened.season.end}: this is what is noted yet"
