"""A cold spell that is supposed: days to come that are colder than they were."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from propsched.thermal.outlook_types import Outlook


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """So many days on which all air is colder, or warmer, by the same."""

    first: date
    days: int
    drop_k: float
    """Taken off the lowest and the highest temperature. [K]"""

    @property
    def last(self) -> date:
        return self.first + timedelta(days=self.days - 1)


def colder(outlook: Outlook, spells: Iterable[Spell]) -> Outlook:
    """
    The outlook with every winter colder during the spells.

    Days that were observed stay as they were measured.  Sun, wind and snow stay as
    they were: the fall of temperature is all that is supposed.
    """
    spells = tuple(spells)
    if not spells:
        return outlook
    tmin, tmax = outlook.tmin_c.copy(), outlook.tmax_c.copy()
    for spell in spells:
        first = outlook.horizon.day(spell.first)
        for day in range(max(0, first), min(first + spell.days, outlook.horizon.days)):
            if outlook.kind[day] != "observed":
                tmin[:, day] -= spell.drop_k
                tmax[:, day] -= spell.drop_k
    return replace(outlook, tmin_c=tmin, tmax_c=tmax)


def until(outlook: Outlook, days: int) -> Outlook:
    """Its first days alone."""
    return replace(
        outlook,
        horizon=replace(outlook.horizon, days=days),
        tmin_c=outlook.tmin_c[:, :days],
        tmax_c=outlook.tmax_c[:, :days],
        solar_mj_m2=outlook.solar_mj_m2[:, :days],
        wind_m_s=outlook.wind_m_s[:, :days],
        snow_cm=outlook.snow_cm[:, :days],
        kind=outlook.kind[:days],
    )
