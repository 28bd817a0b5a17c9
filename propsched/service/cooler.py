"""How much colder a space is than the plan in force reckoned with, in words."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from propsched.domain.plan import Placement
from propsched.service.climate import Warmth
from propsched.service.loaded import Loaded
from propsched.service.reasons import spoken
from propsched.service.variants import usual_of
from propsched.thermal.rootzone import RootZone
from propsched.thermal.simulate import simulate
from propsched.thermal.snap import colder, until
from propsched.thermal.tuning import Tuning

AFTER_D = 14
"""Days after a cold spell in which the ground still feels it; judgement."""
LEAST_K = 0.3
"""A smaller difference of a mean over a stay is not told; judgement."""
HALF = 0.5
"""Days on which it falls by this share of the most make up the fall."""
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Fall:
    """What a spell does to the root zone of a space, against no spell."""

    first: date
    last: date
    """Days on which it falls by at least half of the most."""
    mean_k: float

    def felt_by(self, placement: Placement) -> bool:
        """Whether it stands there then, or comes while the ground still feels it."""
        end = self.last + timedelta(days=AFTER_D)
        return placement.start <= end and placement.end > self.first


@dataclass(frozen=True)
class Cooler:
    """
    The warmth assumed now, against that assumed before.

    Where a cold spell is supposed it is weighed against the same weather without it;
    else means over the stays against those that the plan in force was made with.
    """

    zone: RootZone
    falls: Mapping[str, Fall] = field(default_factory=dict)
    """By space."""

    def over(self, new: Placement, of_old: Placement | None = None) -> str:
        """
        How much colder it is over a stay; empty if not by much.

        Parameters
        ----------
        of_old : Placement, optional
            The stay in the plan in force; None: ``new`` is that stay.
        """
        fall = self.falls.get(new.space)
        if fall and fall.felt_by(new):
            word = "lower" if fall.mean_k > 0 else "higher"
            return (
                f"root zone of {new.space} {abs(fall.mean_k):.1f} °C {word} from "
                f"{spoken(fall.first)} to {spoken(fall.last)}"
            )
        if self.falls:
            return ""
        old = of_old or new
        mean = self._mean(old)
        if mean is None or abs(old.root_mean_c - mean) < LEAST_K:
            return ""
        word = "colder" if mean < old.root_mean_c else "warmer"
        return (
            f"{old.space} {abs(old.root_mean_c - mean):.1f} °C {word} than reckoned "
            f"with from {spoken(old.start)} to {spoken(old.end)}"
        )

    def _mean(self, placement: Placement) -> float | None:
        rows = [
            i for i, v in enumerate(self.zone.variants) if v.space.id == placement.space
        ]
        same = [i for i in rows if self.zone.variants[i].name == placement.variant]
        if not rows:
            return None
        hours = slice(
            24 * max(0, self.zone.day(placement.start)),
            24 * max(0, self.zone.day(placement.end)),
        )
        stay = self.zone.root_c[(same or rows)[0], :, hours]
        return float(stay.mean(dtype=np.float64)) if stay.size else None


def against_no_cold(loaded: Loaded, warm: Warmth) -> Cooler:
    """
    What the cold that is supposed does to every space.

    Parameters
    ----------
    loaded : Loaded
        The season with the cold.
    warm : Warmth
        What was made of it.
    """
    if not loaded.cold:
        return Cooler(warm.zone)
    season, horizon = loaded.season, warm.horizon
    first = min(spell.first for spell in loaded.cold)
    last = max(spell.last for spell in loaded.cold) + timedelta(days=AFTER_D)
    undone = [replace(spell, drop_k=-spell.drop_k) for spell in loaded.cold]
    outlook = until(colder(warm.outlook, undone), horizon.day(last) + 1)
    variants = usual_of(warm.modelled.variants)
    plain = simulate(
        season.site,
        variants,
        outlook,
        work_day=np.array([season.is_work_day(day) for day in outlook.horizon]),
        tunings=[warm.learnt.get(v.space.id, Tuning()) for v in variants],
    )
    days = slice(horizon.day(first), plain.horizon.days)
    falls = {}
    for space in season.spaces:
        old, new = (
            np.median(_daily(zone, zone.of(space.id))[:, days], axis=0)
            for zone in (plain, warm.modelled)
        )
        fall = old - new
        most = float(fall[np.argmax(np.abs(fall))])
        if abs(most) < LEAST_K:
            continue
        strong = np.flatnonzero(fall / most >= HALF)
        falls[space.id] = Fall(
            first=first + timedelta(days=int(strong[0])),
            last=first + timedelta(days=int(strong[-1])),
            mean_k=float(fall[strong].mean()),
        )
    return Cooler(warm.zone, falls)


def _daily(zone: RootZone, row: int) -> Floats:
    """Daily means of one variant. (K, N)"""
    hours = zone.root_c[row].reshape(len(zone.winters), -1, 24)
    return np.asarray(hours.mean(axis=2, dtype=np.float64))
