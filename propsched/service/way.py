"""A batch in the plan in force and in a new one, and how the one differs, in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from propsched.advice.state import BatchState
from propsched.domain.batch import part_name
from propsched.domain.plan import Placement, Plan, ways
from propsched.service.raised import Raised
from propsched.service.reasons import spoken


@dataclass(frozen=True, slots=True)
class Way:
    """
    What is still to begin of one batch, or half of one.

    By index of the stage; what is moved in the middle of its stage counts as the
    index after, as the planner has it.
    """

    name: str
    raised: Raised
    old: Mapping[int, Placement]
    new: Mapping[int, Placement]
    state: BatchState | None = None
    """Where it stands; None: it has not been begun."""

    @property
    def changed(self) -> tuple[int, ...]:
        """Stages that go elsewhere, begin on another day, or are in one alone."""
        return tuple(
            k
            for k in sorted({*self.old, *self.new})
            if k not in self.old
            or k not in self.new
            or _at(self.old[k]) != _at(self.new[k])
        )


def _at(placement: Placement) -> tuple[str, date]:
    return placement.space, placement.start


def ways_of(
    before: Plan,
    after: Plan,
    raised: Iterable[Raised],
    states: Mapping[str, BatchState],
) -> tuple[Way, ...]:
    """What is still to begin in either plan, batch by batch, halves apart."""
    old, new = ways(before.placements), ways(after.placements)
    found = []
    for one in raised:
        name, state = one.batch.id, states.get(one.batch.id)
        if one.part or (state is not None and not state.standing):
            continue
        olds, news = old.get(name, [[]]), new.get(name, [[]])
        several = max(len(olds), len(news))
        for i in range(several):
            found.append(
                Way(
                    name=name if several == 1 else part_name(name, i + 1),
                    raised=one,
                    old=_to_come(one, olds[min(i, len(olds) - 1)], state),
                    new=_to_come(one, news[min(i, len(news) - 1)], state),
                    state=state,
                )
            )
    return tuple(found)


def _to_come(
    one: Raised, own: Iterable[Placement], state: BatchState | None
) -> dict[int, Placement]:
    names = [str(needs.stage) for needs in one.crop.stages]
    found = {}
    for p in own:
        if p.stage not in names:
            continue
        k = names.index(p.stage)
        if state is None or k > state.stage_index:
            found[k] = p
        elif p.moved and k == state.stage_index and p.space != state.space:
            found[k + 1] = p
    return found


def count(found: Sequence[Way]) -> tuple[int, int]:
    """Placements still to begin that differ between the plans, and those kept."""
    changed = sum(len(way.changed) for way in found)
    return changed, sum(len({*way.old, *way.new}) for way in found) - changed


def moves(way: Way, k: int) -> bool:
    """Whether a stage goes elsewhere, or is in one plan alone."""
    a, b = way.old.get(k), way.new.get(k)
    return a is None or b is None or a.space != b.space


def stage_told(way: Way, k: int) -> str:
    """What is done at the beginning of a stage, and what was to be done."""
    a, b = way.old.get(k), way.new.get(k)
    if a is None or b is None:
        p = a or b
        assert p is not None
        if p.moved:
            still = "leave it where it stands, not " if b is None else ""
            return f"{still}move to {p.space} on {spoken(p.start)}"
        never = "no longer " if b is None else ""
        return f"{never}{verb(p)} in {p.space} on {spoken(p.start)}"
    if a.space == b.space:
        days = f"{spoken(b.start)} instead of {spoken(a.start)}"
        return f"{verb(b)} on {days} (in {b.space})"
    if a.start == b.start:
        return f"{verb(b)} in {b.space} instead of {a.space} on {spoken(b.start)}"
    return (
        f"{verb(b)} in {b.space} on {spoken(b.start)} instead of {a.space} on "
        f"{spoken(a.start)}"
    )


def ends_told(
    old: date | None, new: date | None, *, over: bool, was_over: bool
) -> list[str]:
    """When it is ready as booked, where that differs."""
    if over and not was_over:
        return ["stands over at the season's end"]
    if was_over and not over and new is not None:
        return [f"ready by {spoken(new)} instead of standing over"]
    if old is None or new is None or old == new:
        return []
    days = abs((new - old).days)
    word = "later" if new > old else "earlier"
    return [f"ready by {spoken(new)}, {days} {'day' if days == 1 else 'days'} {word}"]


def verb(placement: Placement) -> str:
    """What is done at the beginning of a stage."""
    if placement.stage == "start":
        return {"seed": "sow", "division": "divide", "tuber": "set up"}.get(
            placement.method, "strike"
        )
    return {
        "warm": "put in the warmth",
        "chill": "put in the cold",
        "seedling": "move to the light",
        "prick-out": "prick out",
        "pot-up": "pot up",
        "pot-on": "pot on",
        "harden": "harden off",
    }.get(placement.stage, "move on to grow")
