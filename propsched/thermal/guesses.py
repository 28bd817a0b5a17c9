"""A hotbed or heap under many guesses at what is not known of it, and over winters."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon
from propsched.domain.season import Site
from propsched.domain.space import Space, Variant
from propsched.thermal import materials as m
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.simulate import simulate
from propsched.thermal.tuning import Tuning, draw

Array = NDArray[np.float64]

BEFORE_D = 45
"""Days run before making up, so that the start is forgotten."""
MOST_WINTERS = 10
DRAWS = 32
UNSURE = frozenset({"decay_rate", "decay_charge", "decay_lag", "conductivity", "edge"})
"""Figures of a bed that are drawn from their priors."""
SMALL_BED_M2 = 0.6


@dataclass(frozen=True, slots=True)
class Range:
    """A tenth of all winters and guesses lie below, a tenth above."""

    low: float
    middle: float
    high: float
    never: float = 0.0
    """Share in which it does not come about; counted as later than all others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotting:
    """A hotbed or heap with a day of making up, and what it is simulated with."""

    space: Space
    company: Sequence[Variant] = ()
    """The spaces it stands inside, if any."""
    site: Site
    outlook: Outlook
    work_day: NDArray[np.bool_]
    """As for ``simulate``. (N,)"""
    seed: int = 0
    """Of the guesses drawn."""
    learnt: Tuning | None = None
    """What readings have made of its figures; guesses are drawn around it, no
    narrower than before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guesses:
    """What came of the guesses, from the day of making up on."""

    made_up: date
    hours_c: Array
    """Root zone, (G, K, D, 24): first the guesses, then ``others``. [°C]"""
    before_c: Array
    """The same place never made up, (1, K, D, 24). [°C]"""
    draws: int
    """So many of the first axis are guesses, the first of which is the defaults."""
    others: tuple[str, ...]
    """What is different in each of the rest."""
    winters: int

    @property
    def mean_c(self) -> Array:
        """Day's means, (G, K, D). [°C]"""
        return np.asarray(self.hours_c.mean(axis=-1))


def window(outlook: Outlook, first: int, end: int, winters: int) -> Outlook:
    """Some days of an outlook, and some of its winters, evenly picked."""
    every = max(len(outlook.winters) // winters, 1)
    pick = slice(0, every * winters, every)
    days = slice(first, end)
    arrays = {
        f.name: getattr(outlook, f.name)[pick, days]
        for f in fields(outlook)
        if f.name not in {"horizon", "winters", "kind"}
    }
    return replace(
        outlook,
        horizon=Horizon(outlook.horizon.date(first), end - first),
        winters=outlook.winters[pick],
        kind=outlook.kind[days],
        **arrays,
    )


def spread_of(values: Array) -> Range:
    """10, 50 and 90 % points; what never happens counts as later than all."""
    flat = np.sort(np.where(np.isnan(values), np.inf, values).ravel())
    if not flat.size:
        return Range(np.nan, np.nan, np.nan, np.nan)
    at = [flat[round(q * (flat.size - 1))] for q in (0.1, 0.5, 0.9)]
    low, middle, high = (float(x) if np.isfinite(x) else np.nan for x in at)
    return Range(low, middle, high, float(np.isinf(flat).mean()))


def _times(base: Tuning, other: Tuning) -> Tuning:
    """Both at once, for the figures of a bed."""
    return replace(
        base, **{n: getattr(base, n) * getattr(other, n) for n in sorted(UNSURE)}
    )


def alternatives(space: Space) -> tuple[tuple[str, Space, Tuning], ...]:
    """The bed with one thing different at a time."""
    plain = Tuning()
    held = m.FUELS[space.material].degradable_kg_m3.value
    rows: list[tuple[str, Space, Tuning]] = [
        ("as described", space, plain),
        ("burns 40 % faster", space, Tuning(decay_rate=1.4)),
        ("burns 40 % slower", space, Tuning(decay_rate=0.6)),
    ]
    rows += [
        (
            f"{kg:.0f} kg/m³ to burn, not {held:.0f}",
            space,
            Tuning(decay_charge=kg / held),
        )
        for kg in (35.0, 100.0)
        if abs(kg - held) > 1
    ]
    rows += [
        ("conducts 30 % less", space, Tuning(conductivity=0.7)),
        ("conducts 40 % more", space, Tuning(conductivity=1.4)),
    ]
    if space.area_m2 > 1.5 * SMALL_BED_M2:
        small = replace(space, area_m2=SMALL_BED_M2)
        rows.append((f"small bed, {SMALL_BED_M2:g} m²", small, plain))
    if space.fill_c > 15:
        cold = replace(space, fill_c=10.0)
        rows.append(("filled cold, at 10 °C", cold, plain))
    return tuple(rows)


def run_guesses(rotting: Rotting, *, days: int, least_days: int) -> Guesses | None:
    """
    Simulate a bed or heap under guesses drawn from the priors.

    Parameters
    ----------
    days, least_days : int
        To follow it for, and without which nothing can be said.

    Returns
    -------
    Guesses or None
        None where it has no day of making up, or the outlook does not hold the days.
    """
    space, outlook = rotting.space, rotting.outlook
    made_up = space.make_up
    if made_up is None:
        return None
    day = outlook.horizon.day(made_up)
    first, end = max(day - BEFORE_D, 0), min(day + days, outlook.horizon.days)
    if day < 0 or end - day < least_days:
        return None
    weather = window(outlook, first, end, MOST_WINTERS)
    draws = draw(DRAWS, seed=rotting.seed, only=UNSURE)
    others = alternatives(space)
    base = rotting.learnt or Tuning()
    beds = [
        *((space, _times(base, t)) for t in draws),
        *((s, _times(base, t)) for _, s, t in others),
    ]
    never = replace(space, make_up=None)
    variants = [Variant(never), *(Variant(s) for s, _ in beds), *rotting.company]
    tunings = [Tuning(), *(t for _, t in beds), *(Tuning() for _ in rotting.company)]
    zone = simulate(
        rotting.site,
        variants,
        weather,
        work_day=rotting.work_day[first:end],
        tunings=tunings,
    )
    kept = zone.root_c[: len(beds) + 1, :, 24 * (day - first) :].astype(np.float64)
    hours = kept.reshape(*kept.shape[:2], -1, 24)
    return Guesses(
        made_up=made_up,
        hours_c=hours[1:],
        before_c=hours[:1],
        draws=len(draws),
        others=tuple(what for what, _, _ in others),
        winters=len(weather.winters),
    )
