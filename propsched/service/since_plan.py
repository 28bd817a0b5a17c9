"""What was noted since the plan in force was made: as planned, or otherwise."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from propsched.advice.by_itself import in_place
from propsched.domain.batch import SPACE_EVENTS, Event
from propsched.domain.halves import half_names
from propsched.domain.undone import key_of, named_by, without_undone
from propsched.service.halves_named import ways_named

if TYPE_CHECKING:
    from propsched.advice.state import BatchState
    from propsched.domain.plan import Placement
    from propsched.service.opened import Opened

DAYBOOK = "daybook.csv"
NOT = "not as planned"
ABOUT_D = 3
"""Days to either side on which what is done was done on about its day; the weekend
meant for Saturday may last until Tuesday, and the next one is another (common
practice)."""


@dataclass(frozen=True, slots=True)
class SincePlan:
    """What was noted since, and what of it asks for another plan."""

    rows: int = 0
    """Rows of the daybook that the plan does not know of."""
    otherwise: tuple[str, ...] = ()
    """What is not as planned, in words: ``leek: 40 lost``."""


def since_plan(opened: "Opened") -> SincePlan:
    """
    Compare what was noted since the plan in force was made with that plan.

    A job ticked off as planned and on about its day changes nothing; a loss, another
    space or stage, a day far off, or a row taken back does.
    """
    plan, files = opened.plan, opened.files
    if plan is None or plan.inputs.get(DAYBOOK) == files.digests.get(DAYBOOK):
        return SincePlan()
    rows = files.noted
    known = plan.noted
    if known is None:  # by a version that did not tell
        known = sum(row.time.date() < plan.today for row in rows)
        rows = tuple(sorted(rows, key=lambda row: row.time.replace(tzinfo=None)))
    if len(rows) < known:
        return SincePlan(0, (f"{DAYBOOK} has fewer rows than it had",))
    stands = set(without_undone(rows).stands)
    late = range(known, len(rows))
    news = [rows[i] for i in late if i in stands]
    told = [
        *_taken_back(rows[:known], [rows[i] for i in late]),
        *_lost(news),
        *(text for row in news if (text := _of_space(opened, row))),
        *(text for name in _batches(opened, news) if (text := _of_batch(opened, name))),
    ]
    return SincePlan(len(late), tuple(dict.fromkeys(told)))


def _taken_back(before: Iterable[Event], late: Iterable[Event]) -> Iterator[str]:
    """Rows that the plan was made with, and that stand no more."""
    known = {key_of(row) for row in before}
    for row in late:
        if row.event == "undone" and named_by(row) in known:
            event = row.note.partition(" of ")[0]
            yield f"{row.batch or row.space}: {event} was taken back"


def _lost(news: Iterable[Event]) -> Iterator[str]:
    lost: dict[str, int] = {}
    for row in news:
        if row.event == "lost":
            lost[row.batch] = lost.get(row.batch, 0) + (row.count or 0)
    for name, count in lost.items():
        yield f"{name}: {count} lost"


def _of_space(opened: "Opened", row: Event) -> str:
    """What is otherwise in a space; covers are laid as the nights ask for."""
    plan, day = opened.plan, row.time.date()
    assert plan is not None
    if row.event not in SPACE_EVENTS or row.event.startswith("cover"):
        return ""
    if row.event == "bed-made-up":
        days = [bed.make_up for bed in plan.hotbeds if bed.space == row.space]
        own = next((s for s in opened.season.spaces if s.id == row.space), None)
        if not days and own is not None and own.make_up is not None:
            days = [own.make_up]
        near = any(abs((day - one).days) <= ABOUT_D for one in days)
        word = "made up"
        return "" if near else f"{row.space}: {word} on {day.day} {day:%B}, {NOT}"
    about = timedelta(days=ABOUT_D)
    runs = [run for run in plan.heat if run.space == row.space]
    word = row.event.replace("-", " ")
    if row.event == "heat-on":
        near = any(run.start - about <= day <= run.end for run in runs)
    else:
        near = not any(run.start <= day < run.end - about for run in runs)
    return "" if near else f"{row.space}: {word} on {day.day} {day:%B}, {NOT}"


def _batches(opened: "Opened", news: Iterable[Event]) -> list[str]:
    """Batches of which something was noted; of a row in halves both."""
    named = {row.batch for row in news if row.batch and row.event != "lost"}
    for batch in opened.files.batches:
        if batch.id in named:
            named |= set(half_names(batch))
    return [name for name in opened.crops if name in named]


def _of_batch(opened: "Opened", name: str) -> str:
    """What is otherwise with a batch as it stands; blank: it is as planned."""
    state, ways = opened.states.get(name), ways_named(opened).get(name, [])
    if state is None or state.lost:
        return ""  # taken back, or told as lost
    if not ways:
        return f"{name}: the plan has no place for it"
    return _out(opened, name, ways) or _standing(opened, state, ways)


def _standing(
    opened: "Opened", state: "BatchState", ways: "list[list[Placement]]"
) -> str:
    """Another stage or space than planned, or not about its day."""
    name = state.batch
    if state.done or not state.space:
        return ""
    stage = [(p, w) for w in ways for p in w if p.stage == state.stage]
    here = [(p, w) for p, w in stage if p.space == state.space]
    if here:
        off, most = min(
            ((_off(p, state), _slack(p, way)) for p, way in here),
            key=lambda one: abs(one[0]),
        )
        when = "later" if off > 0 else "sooner"
        late = f"{name}: {state.stage} {abs(off)} days {when}"
        return late if abs(off) > most else ""
    if any(in_place(opened.crops[name], state, way) for way in ways):
        return ""  # its start was taken to be over, though it was not noted
    if stage:
        return f"{name}: in {state.space}, not in {stage[0][0].space}"
    return f"{name}: no {state.stage} is planned for it"


def _off(planned: "Placement", state: "BatchState") -> int:
    """Days from the planned day to the one on which it came there."""
    days = [(when - planned.start).days for when in (state.since, state.here_since)]
    return min(days, key=abs)


def _slack(planned: "Placement", way: "Iterable[Placement]") -> int:
    """Days off that are still about its day; what comes by itself comes in a range."""
    before = [p for p in way if p.end <= planned.start]
    if planned.stage not in ("seedling", "grow") or not before:
        return ABOUT_D
    last = max(before, key=lambda p: p.end)
    return ABOUT_D + max(0, (last.end_latest - last.end).days)


def _out(opened: "Opened", name: str, ways: "list[list[Placement]]") -> str:
    """Out long before its time it leaves room; after it, nothing is changed by it."""
    out = [
        row.time.date()
        for row in opened.files.daybook
        if row.batch == name and row.event == "planted-out"
    ]
    last = max((way[-1].end for way in ways if way), default=date.min)
    early = (last - out[-1]).days if out else 0
    return "" if early <= ABOUT_D else f"{name}: out {early} days sooner"


def changed_beside(opened: "Opened") -> tuple[str, ...]:
    """Files that changed since the plan was made, daybook and readings aside."""
    return tuple(name for name in opened.changed if name != DAYBOOK)


def older_plan(opened: "Opened") -> Iterator[str]:
    """Why the plan in force may no longer be the best, a sentence each."""
    files, plan = changed_beside(opened), opened.plan
    again = "propsched replan plans again, near it"
    if plan is not None and files:
        told = f"{', '.join(files)} changed since the plan of {plan.today} was made"
        yield f"{told}: {again}"
    otherwise = since_plan(opened).otherwise
    if otherwise:
        yield f"noted otherwise than planned – {'; '.join(otherwise)}: {again}"
