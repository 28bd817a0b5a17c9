"""What is supposed of a season that its files do not say: cold, losses, delays."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from difflib import get_close_matches

from propsched.advice.state import BatchState
from propsched.domain.batch import Event
from propsched.domain.repeats import expand
from propsched.domain.season import Season
from propsched.domain.space import Reserved, Space
from propsched.errors import PropschedError, UnknownNameError
from propsched.service.garden import Rebuilt, rebuilt, rebuilt_told
from propsched.service.loaded import Loaded
from propsched.service.raised import Raised
from propsched.service.reasons import spoken
from propsched.thermal.snap import Spell


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Plants of a batch that are no more."""

    batch: str
    count: int | None = None
    """None: all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """Material that is to be had later than the batch list says."""

    batch: str
    first: date
    """First day it is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Without:
    """A space out of use, both days included."""

    space: str
    first: date | None = None
    """None: from today."""
    last: date | None = None
    """None: to the season's end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """All that is supposed together."""

    cold: tuple[Spell, ...] = ()
    lost: tuple[Lost, ...] = ()
    late: tuple[Late, ...] = ()
    without: tuple[Without, ...] = ()
    garden: tuple[Rebuilt, ...] = ()
    """What of the garden is otherwise: room, beds, set points."""

    def __bool__(self) -> bool:
        return bool(self.cold or self.lost or self.late or self.without or self.garden)


NOTHING = Change()


def supposed(
    loaded: Loaded, change: Change, states: Mapping[str, BatchState]
) -> Loaded:
    """
    The season as it would be read if all that is supposed were so.

    ``states`` are those of the batches as the daybook has them.

    Raises
    ------
    UnknownNameError
        If it names a batch or a space that the season does not have.
    PropschedError
        If it cannot be: days that are over, more lost than there are.
    """
    today = loaded.today
    season = rebuilt(loaded.season, change.garden, today)
    names = [batch.id for batch in expand(loaded.files.batches)]
    named = [one.batch for one in change.lost] + [one.batch for one in change.late]
    for name in named:
        if name not in names:
            near = get_close_matches(name, names)
            hint = f" – did you mean {' or '.join(near)}?" if near else ""
            raise UnknownNameError(f"no batch {name!r} in batches.csv{hint}")
    for one in change.lost:
        _check_loss(one, states.get(one.batch))
    for spell in change.cold:
        _check_days("the cold", spell.first, spell.last, season, today)
    for late in change.late:
        if late.first > season.end:
            raise PropschedError(
                f"{late.batch} would come on {late.first}, after the season's end on "
                f"{season.end}"
            )
    spaces = season.spaces
    for out in change.without:
        first, last = _days_out(out, season, today)
        spaces = tuple(
            _closed(s, first, last) if s.id == out.space else s for s in spaces
        )
    files = replace(
        loaded.files,
        season=replace(season, spaces=spaces),
        daybook=(*loaded.files.daybook, *_losses(change.lost, today)),
    )
    return replace(loaded, files=files, cold=change.cold)


def _check_loss(one: Lost, state: BatchState | None) -> None:
    if state is None:
        return
    if not state.standing:
        raise PropschedError(f"nothing is left of {one.batch} that could be lost")
    if one.count is not None and state.count is not None and one.count > state.count:
        raise PropschedError(
            f"{one.batch}: {one.count} lost of {state.count} that are left"
        )


def _check_days(
    what: str, first: date, last: date, season: Season, today: date
) -> None:
    if last < first:
        raise PropschedError(f"{what} would end on {last}, before it begins on {first}")
    if first < today:
        raise PropschedError(
            f"{what} would begin on {first}: what was before today, {today}, is told "
            "by weather.csv and daybook.csv"
        )
    if first > season.end:
        raise PropschedError(
            f"{what} would begin on {first}, after the season's end on {season.end}"
        )


def _days_out(one: Without, season: Season, today: date) -> tuple[date, date]:
    if one.space not in [space.id for space in season.spaces]:
        known = ", ".join(space.id for space in season.spaces if space.stands)
        raise UnknownNameError(f"no space {one.space!r} – the season has {known}")
    first, last = one.first or today, one.last or season.end
    _check_days(f"{one.space} out of use", first, last, season, today)
    return first, last


def _closed(space: Space, first: date, last: date) -> Space:
    if not space.stands:
        raise PropschedError(f"nothing stands in {space.id} that it could be out of")
    taken = Reserved(area_m2=space.area_m2, start=first, end=last)
    return replace(space, reserved=(*space.reserved, taken))


def _losses(lost: Iterable[Lost], today: date) -> Iterable[Event]:
    """As they would be noted; of batches not begun they say nothing."""
    night = datetime.combine(today, time(23, 59))
    return (
        Event(time=night, batch=one.batch, event="lost", count=one.count)
        for one in lost
    )


def changed_batches(
    batches: Iterable[Raised],
    change: Change,
    states: Mapping[str, BatchState],
    today: date,
) -> tuple[Raised, ...]:
    """
    The batches with what is supposed of those that have not begun.

    Raises
    ------
    PropschedError
        If what stands already, or is there by then, is said to come later, or more is
        lost than there is.
    """
    found = []
    lost = {one.batch: one for one in change.lost}
    late = {one.batch: one for one in change.late}
    for one in batches:
        name, state = one.batch.id, states.get(one.batch.id)
        changed = _later(one, late[name], state, today) if name in late else one
        if name in lost and state is None:
            count = lost[name].count
            if count is not None and count > one.sown:
                raise PropschedError(
                    f"{name}: {count} lost of {one.sown} that there are to start"
                )
            if count is None or count == one.sown:
                continue
            changed = _fewer(changed, count)
        found.append(changed)
    return tuple(found)


def _later(one: Raised, late: Late, state: BatchState | None, today: date) -> Raised:
    if state is not None:
        raise PropschedError(
            f"{one.batch.id} was begun by {spoken(state.since)}: its material is there"
        )
    batch = one.batch
    if batch.available_from is not None and late.first <= batch.available_from:
        raise PropschedError(
            f"{batch.id} is to be had from {spoken(batch.available_from)} as it is: "
            "late is a day after that"
        )
    if late.first <= today:
        raise PropschedError(
            f"{batch.id} on {spoken(late.first)}: late is a day after today, {today}"
        )
    ends = batch.available_to
    if ends is not None and ends < late.first:  # it keeps as long as it would have
        ends = late.first + (ends - (batch.available_from or ends))
    return replace(
        one, batch=replace(batch, available_from=late.first, available_to=ends)
    )


def _fewer(one: Raised, count: int) -> Raised:
    left = one.sown - count
    batch = replace(one.batch, sown=left)
    return replace(one, batch=batch, sown=left, spare=one.spare * left / one.sown)


def told(change: Change) -> tuple[str, ...]:
    """Each thing supposed, in words."""
    said = []
    for spell in change.cold:
        word = "colder" if spell.drop_k > 0 else "warmer"
        said.append(
            f"{abs(spell.drop_k):g} °C {word} from {spoken(spell.first)} to "
            f"{spoken(spell.last)}"
        )
    said += [
        f"{one.batch} lost" if one.count is None else f"{one.count} of {one.batch} lost"
        for one in change.lost
    ]
    said += [
        f"{one.batch} not to be had before {spoken(one.first)}" for one in change.late
    ]
    for out in change.without:
        since = "" if out.first is None else f" from {spoken(out.first)}"
        until = "" if out.last is None else f" to {spoken(out.last)}"
        said.append(f"{out.space} out of use{since}{until}")
    return (*said, *rebuilt_told(change.garden))


def to_note(
    change: Change, states: Mapping[str, BatchState], folder: str
) -> tuple[str, ...]:
    """What to write into which file, so that the next plan knows of it too."""
    said = []
    for one in change.lost:
        count = "" if one.count is None else f" {one.count}"
        if one.batch in states:
            said.append(f"propsched note {folder} lost {one.batch}{count}")
        elif one.count is None:
            said.append(f"batches.csv: take {one.batch} out")
        else:
            said.append(f"batches.csv: {one.count} fewer in column sown of {one.batch}")
    said += [
        f"batches.csv: available_from {one.first} for {one.batch}"
        for one in change.late
    ]
    for out in change.without:
        since, until = out.first or "today", out.last or "the season's end"
        said.append(
            f"season.toml: reserved for the whole area of {out.space}, from {since} to "
            f"{until}"
        )
    return tuple(said)
