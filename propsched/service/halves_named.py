"""A plan's batches under the names that the files have for them now."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from propsched.domain.batch import part_name
from propsched.domain.halves import half_of
from propsched.domain.plan import BatchPlan, Placement, ways

if TYPE_CHECKING:
    from propsched.service.opened import Opened

Ways = dict[str, list[list[Placement]]]


def ways_named(opened: "Opened") -> Ways:
    """
    The plan's ways by batch.

    A batch of which the daybook has named a half since the plan was made is two
    batches now, and each way is that of a half: else it would be shown once by the
    plan and again by the daybook.
    """
    known = opened.crops
    found: Ways = {}
    stops = () if opened.plan is None else opened.plan.placements
    for batch, own in ways(stops).items():
        if batch in known:
            found.setdefault(batch, []).extend(own)
        elif all(name in known for name in _halves(batch)):
            for part, name in enumerate(_halves(batch), 1):
                whole = len(own) == 1
                way = own[min(part, len(own)) - 1]
                found[name] = [[_half(p, name, part, whole=whole) for p in way]]
        else:
            whole_name = _whole(batch)
            renamed = [[replace(p, batch=whole_name) for p in way] for way in own]
            found.setdefault(whole_name, []).extend(renamed)
    return found


def plans_named(opened: "Opened") -> dict[str, BatchPlan]:
    """What becomes of each batch by the plan, a half of a whole having its share."""
    known, plan = {one.batch.id: one for one in opened.whole}, opened.plan
    found: dict[str, BatchPlan] = {}
    for one in () if plan is None else plan.batches:
        names = (one.batch,) if one.batch in known else _halves(one.batch)
        if names[0] not in known:  # of a half of what is whole again, or of nothing
            found.setdefault(_whole(one.batch), one)
            continue
        for name in names:
            share = known[name].batch.portion if len(names) > 1 else 1.0
            found[name] = replace(
                one,
                batch=name,
                plants_expected=one.plants_expected * share,
                wanted=known[name].batch.wanted if len(names) > 1 else one.wanted,
                cost=one.cost * share,
            )
    return found


def _halves(batch: str) -> Sequence[str]:
    return part_name(batch, 1), part_name(batch, 2)


def _whole(name: str) -> str:
    """The batch that a half is of; what is no half is itself."""
    return next(_wholes(name), name)


def _wholes(name: str) -> Iterator[str]:
    for part in (1, 2):
        ending = part_name("", part)
        if name.endswith(ending):
            yield name.removesuffix(ending)


def _half(one: Placement, name: str, part: int, *, whole: bool) -> Placement:
    """Of a way that is for both, one half's."""
    if not whole:
        return replace(one, batch=name)
    number = half_of(one.containers, part)
    return replace(one, batch=name, containers=number, area_m2=one.area_m2 / 2)
