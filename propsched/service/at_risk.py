"""Which of what stands somewhere is at risk on a night, and what would help."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np

from propsched.biology.climate import Climate
from propsched.biology.exposure import Harm, Limit, limits_of
from propsched.biology.pots import WIDTH_CM, in_pots, stands_out
from propsched.biology.standing import can_stand
from propsched.domain.crop import UNSTARTED
from propsched.domain.season import Season
from propsched.service.climate import Warmth
from propsched.service.remedies import Remedy, remedies
from propsched.service.stands_on import OnNight
from propsched.thermal.lowest import Lowest, lowest_air, lowest_root

POT_DAYS = 3
"""After so many days a pot has forgotten how warm it was (derived: the heart of the
widest is 3 hours behind the air, ``pots.delay_h``)."""
LIKELY: Mapping[Harm, float] = {"frost": 0.05, "roots": 0.05, "chill": 0.5}
"""From these probabilities on it is told; judgement."""
FRIDGE_C = 5.0
"""A store colder than this is a refrigerator, and the last place to bring plants
(common practice: one is kept at 2 to 5 °C, a frost-free shed above)."""
SAFE = 0.05
"""Where the risk is below, something may be brought in to; judgement, as for
``LIKELY``: there no frost would be told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One thing that helps, and how likely harm is with it."""

    what: str
    gain_k: float | None
    """Rounded down; None: brought elsewhere."""
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """One stage of one batch on one night."""

    night: date
    """The evening's day."""
    space: str
    batch: str
    crop: str
    stage: str
    harm: Harm
    limit_c: float
    """Harm begins below. [°C]"""
    low_c: float
    """Coldest hour, of the air or the root zone that the limit is of: 80 % range."""
    expected_c: float
    high_c: float
    probability: float
    """That harm begins. 0..1"""
    loss: float
    """Share of the plants to be expected lost, or set back. 0..1"""
    where: str
    """``air`` or ``root zone``."""
    planned: bool = False
    """Stands there only if the plan is followed until then."""
    helps: tuple[Help, ...] = field(default=())

    @property
    def margin_k(self) -> float:
        """How far the limit lies below what is expected. [K]"""
        return self.expected_c - self.limit_c


class Nights:
    """The coldest hours of every space, looked up once."""

    def __init__(
        self, warm: Warmth, season: Season, climate: Climate | None = None
    ) -> None:
        self.warm, self.season = warm, season
        self._climate = climate or Climate(warm.zone)
        self._known: dict[tuple[int, str, date], Lowest] = {}

    def row(self, space: str, variant: str, night: date) -> int | None:
        """The state of a space on a night; None where the season has it no more."""
        if space not in self.warm.states:
            return None
        if variant:
            for i, one in enumerate(self.warm.zone.variants):
                if (one.space.id, one.name) == (space, variant):
                    return i
        return int(self.warm.states[space][self.warm.horizon.day(night)])

    def limits(self, one: OnNight, row: int, night: date) -> tuple[Limit, ...]:
        """Its limits there, hardened as far as plants in that air are by then."""
        state = self._climate.hardiness[row, :, self.warm.horizon.day(night) + 1]
        return limits_of(
            one.crop,
            one.needs,
            hardiness=float(np.median(state)),
            days_there=(night - one.since).days,
        )

    def lowest(self, row: int, where: str, night: date, container: str = "") -> Lowest:
        """Of the air or the root zone, or of roots in pots out in the air."""
        zone = self.warm.zone
        potted = where != "air" and stands_out(zone.variants[row].space, container)
        key = row, container if potted else where, night
        if key not in self._known:
            day = self.warm.horizon.day(night)
            if where == "air":
                self._known[key] = lowest_air(zone, row, day)
            elif potted:
                hours = slice(24 * max(0, day - POT_DAYS), 24 * (day + 2))
                pots = in_pots(zone.air_c[row, :, hours], WIDTH_CM[container])
                self._known[key] = lowest_air(zone, row, day, pots[:, -48:])
            else:
                sd = float(self.warm.corrected[row].offset.sd_c[day + 1])
                self._known[key] = lowest_root(zone, row, day, sd)
        return self._known[key]


def risks_of(
    stands: Sequence[OnNight], nights: Nights, night: date
) -> tuple[Risk, ...]:
    """
    The risk of everything that stands on a night, likely or not; greatest first.

    One a batch: that by which most is to be lost. What has no limit has no risk.
    """
    found = []
    for one in stands:
        row = nights.row(one.space, one.variant, night)
        if row is None:
            continue
        pot = _pot(one)
        own = [
            _risk(one, limit, nights.lowest(row, limit.where, night, pot), night)
            for limit in nights.limits(one, row, night)
        ]
        if own:
            found.append(max(own, key=_grave))
    return tuple(sorted(found, key=_grave, reverse=True))


def _pot(one: OnNight) -> str:
    """Its container, if roots in it can be colder than the ground it stands on."""
    early = one.needs.stage in UNSTARTED
    return "" if early else one.needs.container.name


def _grave(risk: Risk) -> tuple[float, float, float]:
    return risk.loss, risk.probability, -risk.margin_k


def _risk(one: OnNight, limit: Limit, lowest: Lowest, night: date) -> Risk:
    return Risk(
        night=night,
        space=one.space,
        batch=one.batch,
        crop=one.crop.name,
        stage=one.needs.stage,
        harm=limit.harm,
        limit_c=limit.begins_c,
        low_c=round(lowest.low_c, 1),
        expected_c=round(lowest.mid_c, 1),
        high_c=round(lowest.high_c, 1),
        probability=round(lowest.below(limit.begins_c), 3),
        loss=round(float(limit.lost(lowest.spread()).mean()), 3),
        where=limit.where,
        planned=one.planned,
    )


def with_helps(
    risks: Iterable[Risk],
    stands: Mapping[str, OnNight],
    nights: Nights,
    first: date,
) -> tuple[Risk, ...]:
    """
    Risks of one night with what helps: covers and heat as modelled, or another space.

    Parameters
    ----------
    stands : mapping
        All that stands on that night, by batch.
    first : date
        Evening from which on something is done.
    """
    risks = tuple(risks)
    if not risks:
        return ()
    night = risks[0].night
    rows = {
        risk.batch: nights.row(risk.space, stands[risk.batch].variant, night)
        for risk in risks
    }
    known = [row for row in rows.values() if row is not None]
    offered = remedies(nights.warm, nights.season, known, first, night)
    free = _free(nights.season, stands.values(), night)
    told = []
    for risk in risks:
        one, row = stands[risk.batch], rows[risk.batch]
        if row is None:
            continue
        limits = nights.limits(one, row, night)
        limit = next(x for x in limits if x.harm == risk.harm)
        lowest = nights.lowest(row, limit.where, night, _pot(one))
        helps = [
            _helped(offer, limit, lowest) for offer in offered if offer.variant == row
        ]
        helps = [h for h in helps if (h.gain_k or 0) > 0]
        helps.sort(key=lambda h: h.probability)
        elsewhere = _bring_in(one, limit, nights, night, free)
        if elsewhere is not None:
            space, brought = elsewhere
            free[space] -= one.area_m2
            helps.append(brought)
        told.append(replace(risk, helps=tuple(helps)))
    return tuple(told)


def _helped(offer: Remedy, limit: Limit, lowest: Lowest) -> Help:
    gain = offer.gain_air_k if limit.where == "air" else offer.gain_root_k
    return Help(
        what=offer.what,
        gain_k=gain,
        probability=round(lowest.raised(gain).below(limit.begins_c), 3),
    )


def _free(season: Season, stands: Iterable[OnNight], night: date) -> dict[str, float]:
    """Area that is free in each space on a night. [m²]"""
    taken: dict[str, float] = {}
    for one in stands:
        taken[one.space] = taken.get(one.space, 0.0) + one.area_m2
    return {
        space.id: space.area_m2
        - taken.get(space.id, 0.0)
        - sum(r.area_m2 for r in space.reserved if r.start <= night <= r.end)
        for space in season.spaces
        if space.stands
    }


def _bring_in(
    one: OnNight, limit: Limit, nights: Nights, night: date, free: Mapping[str, float]
) -> tuple[str, Help] | None:
    """The coolest space that is safe and has room; what grows in the row stays."""
    if one.needs.container.name == "row":
        return None
    safe = []
    for space in nights.season.spaces:
        room = free.get(space.id, 0.0) >= one.area_m2 - 1e-6
        if space.id == one.space or not room:
            continue
        if not can_stand(space, one.needs.container):
            continue
        row = nights.row(space.id, "", night)
        if row is None:
            continue
        there = nights.lowest(row, limit.where, night, _pot(one))
        probability = there.below(limit.begins_c)
        if probability < SAFE:
            fridge = space.kind == "store" and (space.room_c or FRIDGE_C) < FRIDGE_C
            safe.append((fridge, there.mid_c, space.id, probability))
    if not safe:
        return None
    *_, name, probability = min(safe)
    brought = Help(
        what=f"bring in to {name}", gain_k=None, probability=round(probability, 3)
    )
    return name, brought


def coming(first: date, nights: int) -> tuple[date, ...]:
    return tuple(first + timedelta(days=n) for n in range(nights))


def is_likely(risk: Risk) -> bool:
    return risk.probability >= LIKELY[risk.harm] and bool(np.isfinite(risk.expected_c))
