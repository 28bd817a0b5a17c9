"""What one plan brings against another of the same season, batch by batch."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from propsched.domain.plan import BatchPlan, Plan
from propsched.service.differences import FEWER, SOON_D, of_spaces
from propsched.service.reasons import spoken

EffectKind = Literal[
    "comes in", "drops out", "more plants", "fewer plants", "sooner", "later",
    "stands over", "otherwise", "bed", "heat",
]  # fmt: skip
LEAST_WORTH = 0.01
"""A batch that comes to the same within this is not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What becomes of one batch, or how one space is run."""

    kind: EffectKind
    batch: str = ""
    """Blank for what concerns a space."""
    space: str = ""
    what: str
    worth: float | None = None
    """What it brings more, or less; None: told with the heat."""
    plants: float = 0.0
    """Plants expected more, or fewer."""
    ready: date | None = None
    """As supposed, as booked."""


def effects(
    before: Plan,
    after: Plan,
    worth_before: Mapping[str, float],
    worth_after: Mapping[str, float],
    today: date,
) -> tuple[Effect, ...]:
    """
    Batches that fare otherwise, the greatest difference first, then beds and heat.

    Parameters
    ----------
    before, after : Plan
        As it is, as supposed.
    worth_before, worth_after : mapping
        What each batch brings, by batch; those that are not raised bring nothing.
    """
    old = {one.batch: one for one in before.batches}
    new = {one.batch: one for one in after.batches}
    over = [{s.batch for s in plan.standing_over} for plan in (before, after)]
    found = []
    for name in dict.fromkeys((*old, *new)):
        more = worth_after.get(name, 0.0) - worth_before.get(name, 0.0)
        was, now = old.get(name), new.get(name)
        one = _effect(name, was, now, more, (name in over[0], name in over[1]))
        if one is not None:
            found.append(one)
    found.sort(key=lambda e: (-abs(e.worth or 0.0), e.batch))
    runs = (
        Effect(
            kind="bed" if row.kind == "bed" else "heat",
            space=row.to_space,
            what=row.what,
        )
        for row in of_spaces(before, after, today)
    )
    return (*found, *runs)


def _effect(
    name: str,
    was: BatchPlan | None,
    now: BatchPlan | None,
    more: float,
    over: tuple[bool, bool],
) -> Effect | None:
    if was is None and now is not None:
        return Effect(
            kind="comes in",
            batch=name,
            what=f"{now.plants_expected:.0f} plants{_when(now)}",
            worth=more,
            plants=now.plants_expected,
            ready=now.ready_latest,
        )
    if now is None and was is not None:
        return Effect(
            kind="drops out",
            batch=name,
            what=f"{was.plants_expected:.0f} plants fewer",
            worth=more,
            plants=-was.plants_expected,
        )
    if was is None or now is None:
        return None
    kinds: list[EffectKind] = []
    told = []
    plants = now.plants_expected - was.plants_expected
    if abs(plants) > FEWER * max(1, now.wanted):
        kinds.append("more plants" if plants > 0 else "fewer plants")
        told.append(
            f"{now.plants_expected:.0f} plants instead of {was.plants_expected:.0f}"
        )
    if over[0] != over[1]:
        kinds.append("stands over" if over[1] else "sooner")
        told.append(
            "stands over instead of getting ready"
            if over[1]
            else f"ready{_when(now)} instead of standing over"
        )
    elif was.ready_latest and now.ready_latest:
        days = (now.ready_latest - was.ready_latest).days
        if abs(days) >= SOON_D:
            kinds.append("sooner" if days < 0 else "later")
            told.append(
                f"ready by {spoken(now.ready_latest)} instead of "
                f"{spoken(was.ready_latest)}"
            )
    if abs(more) < LEAST_WORTH and "more plants" not in kinds:
        return None  # as good: the plan had its choice
    return Effect(
        kind=kinds[0] if kinds else "otherwise",
        batch=name,
        what="; ".join(told) or "goes another way: fewer moves, or a plan kept to",
        worth=more,
        plants=plants,
        ready=now.ready_latest,
    )


def _when(one: BatchPlan) -> str:
    if one.ready_latest is None:
        return ", standing over"
    return f" by {spoken(one.ready_latest)}"
