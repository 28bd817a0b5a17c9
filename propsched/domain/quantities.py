"""Units in types, and the count of days from a first day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated

from annotated_types import Ge, Gt, Le

STRICT = {"extra": "forbid", "allow_inf_nan": False}
"""Read by the file layer through ``__pydantic_config__``; plain data here."""

Celsius = Annotated[float, Ge(-60), Le(100)]
"""A temperature somebody may enter. [°C]"""
Share = Annotated[float, Ge(0), Le(1)]
"""A part of a whole. [0..1]"""
Positive = Annotated[float, Gt(0)]
NotNegative = Annotated[float, Ge(0)]
Count = Annotated[int, Ge(1)]


@dataclass(frozen=True, slots=True)
class Horizon:
    """
    A run of whole days; day 0 is ``first``.

    ``end`` is the first day after the run.
    """

    first: date
    days: int

    def __iter__(self) -> Iterator[date]:
        return (self.date(day) for day in range(self.days))

    @property
    def end(self) -> date:
        return self.first + timedelta(days=self.days)

    def day(self, when: date) -> int:
        """Days from the first day; may lie outside the run."""
        return (when - self.first).days

    def date(self, day: int) -> date:
        return self.first + timedelta(days=int(day))
