"""The season hour by hour, every variant and winter at once."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Site
from propsched.domain.space import Space, Variant
from propsched.thermal.crew import Crew, assemble, laid_on
from propsched.thermal.march import March, Watch
from propsched.thermal.materials import LAMP_HOURS
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.places import reports_air
from propsched.thermal.rootzone import RootZone
from propsched.thermal.surface import Hours, hours_of
from propsched.thermal.tuning import Tuning

SPIN_UP_D = 14
"""Days run before the first, so that the start is forgotten where roots are."""
LONGEST_SPIN_UP_D = 150
"""A bed made up longer ago than this is spent."""
CHUNK_D = 20
"""Days of forcing held at once."""


def reflect(day: int, days: int) -> int:
    """A day of the outlook for any day, running back and forth beyond its ends."""
    folded = day % (2 * days)
    return folded if folded < days else 2 * days - 1 - folded


def common_days(outlook: Outlook) -> int:
    """First days that are the same in every winter, their last evening included."""
    if len(outlook.winters) == 1:
        return 0
    same = np.ones(outlook.horizon.days, dtype=np.bool_)
    for table in (
        outlook.tmin_c,
        outlook.tmax_c,
        outlook.solar_mj_m2,
        outlook.wind_m_s,
        outlook.snow_cm,
    ):
        first = table[:1]
        same &= ((table == first) | (np.isnan(table) & np.isnan(first))).all(axis=0)
    run = int(np.argmin(same)) if not same.all() else same.size
    return max(run - 1, 0)


def _segments(
    first: int, last: int, breaks: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Runs of days without a break inside, none longer than a chunk."""
    edges = sorted({first, last, *(b for b in breaks if first < b < last)})
    for start, end in pairwise(edges):
        for at in range(start, end, CHUNK_D):
            yield at, min(at + CHUNK_D, end)


def _spin_up(crew: Crew, outlook: Outlook) -> int:
    ages = [-day for day in crew.make_up if day is not None and day < 0]
    return max([SPIN_UP_D, *(age for age in ages if age <= LONGEST_SPIN_UP_D)])


def march_through(
    crew: Crew,
    site: Site,
    outlook: Outlook,
    hours: Hours,
    watch: Watch | None = None,
    until: int | None = None,
) -> March:
    """Go through the days of the outlook, those before the first included."""
    n, k = outlook.horizon.days, len(outlook.winters)
    end_day = n if until is None else min(until, n)
    back = _spin_up(crew, outlook)
    shared = common_days(outlook)
    together = shared if shared >= back else 0
    march = March(
        crew,
        site,
        outlook,
        hours,
        first_day=-back,
        shared=together > 0,
        watch=watch,
    )
    made = [day for day in crew.make_up if day is not None]
    breaks = [together, *made, crew.bare_until, 0]
    for start, end in _segments(-back, end_day, breaks):
        if together and start == together:
            march.fan_out(k)
        march.make_up(start)
        days = np.array([reflect(day, n) for day in range(start, end)])
        march.run(days, start)
    if march.winters < k:
        march.fan_out(k)
    return march


def simulate(
    site: Site,
    variants: Sequence[Variant],
    outlook: Outlook,
    *,
    work_day: NDArray[np.bool_],
    tunings: Sequence[Tuning] | None = None,
    before: tuple[Sequence[Variant], int] | None = None,
) -> RootZone:
    """
    Root-zone temperature, air, light and energy of every variant.

    Parameters
    ----------
    site : Site
    variants : sequence of Variant
        A space that stands inside another needs that other among them.
    outlook : Outlook
        K winters of N days.
    work_day : ndarray of bool
        Days on which plants are moved, shape (N,): who vents on work days vents then.
    tunings : sequence of Tuning, optional
        One for each variant, where other figures than the defaults are to be tried;
        a space inside another is shone on through the outer one's defaults.
    before : tuple, optional
        What each variant was like until a day of the horizon: covers as they were
        then.  Where nothing else differs, the covers are laid on that day.

    Returns
    -------
    RootZone
        Hour h holds the state at its end; hours are in the site's winter time.

    Raises
    ------
    UnknownNameError
        If an outer space is not among the variants.

    Notes
    -----
    A space inside another breathes the air the outer one had an hour before, in the
    outer variant of the same name, else the first of the outer space. What stands in a
    house does not warm it. Beds and pots start from the yearly wave of the ground
    and run at least two weeks of mirrored days before the first day.
    """
    hours = hours_of(site, outlook, work_day)
    if not variants:
        return _nothing(outlook, hours)
    crew = assemble(variants, site, outlook.horizon, tunings)
    if before is not None:
        crew = laid_on(crew, *before, site, tunings)
    march = march_through(crew, site, outlook, hours)
    lamp = np.array([_lamp_kwh(v.space) for v in variants])[:, None, None]
    light = np.array([p.light for p in crew.places])[crew.place_in_order, None, None]
    added = np.array([v.space.lamp.mol_m2_d if v.space.lamp else 0.0 for v in variants])
    mol = light * hours.light_mol.T[None] + added[:, None, None]
    root, air = crew.in_order(march.root_c), crew.in_order(march.air_c)
    for i, variant in enumerate(variants):
        if reports_air(variant.space):
            root[i] = air[i]
    return RootZone(
        variants=tuple(variants),
        horizon=outlook.horizon,
        winters=outlook.winters,
        root_c=root,
        air_c=air,
        light_mol=mol.astype(np.float32),
        kwh=crew.in_order(march.kwh) + lamp.astype(np.float32),
        outdoor_c=_outdoors(hours),
    )


def _outdoors(hours: Hours) -> NDArray[np.float32]:
    flat = hours.air_c.reshape(-1, hours.air_c.shape[-1]).T
    return np.ascontiguousarray(flat, dtype=np.float32)


def _nothing(outlook: Outlook, hours: Hours) -> RootZone:
    """Only the weather: a season without spaces."""
    k, n = outlook.tmin_c.shape
    hourly, daily = np.empty((2, 0, k, 24 * n)), np.empty((2, 0, k, n))
    return RootZone(
        variants=(),
        horizon=outlook.horizon,
        winters=outlook.winters,
        root_c=hourly[0].astype(np.float32),
        air_c=hourly[1].astype(np.float32),
        light_mol=daily[0].astype(np.float32),
        kwh=daily[1].astype(np.float32),
        outdoor_c=_outdoors(hours),
    )


def _lamp_kwh(space: Space) -> float:
    """Electric energy of a lamp. [kWh/d]"""
    if space.lamp is None:
        return 0.0
    return space.lamp.w * (LAMP_HOURS[1] - LAMP_HOURS[0]) / 1000
