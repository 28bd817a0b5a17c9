"""How much work falls on each day, beside what there is time for."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from propsched.advice.compost import total_l
from propsched.advice.job import DUTIES, Job
from propsched.domain.season import Season

WITHIN_DAYS = 14
"""A work day is looked for so far ahead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWork:
    """The work of one day."""

    date: date
    minutes: int
    """Of the jobs due on it. [min]"""
    overdue_minutes: int = 0
    """Of what is overdue, counted on the next work day. [min]"""
    of_minutes: int | None = None
    """What there is time for, the daily round taken off; None: no work day. [min]"""
    compost_l: Mapping[str, float] = field(default_factory=dict)
    """Litres of each kind that the day takes, what is overdue included."""

    @property
    def too_much(self) -> bool:
        there = self.of_minutes
        return there is not None and self.minutes + self.overdue_minutes > there


def day_work(jobs: Iterable[Job], season: Season, first: date) -> tuple[DayWork, ...]:
    """
    The work of every day that has jobs; standing duties are apart.

    Parameters
    ----------
    first : date
        Day from which on there is time to do what is overdue: it is counted on the
        next work day.
    """
    by_day: dict[date, list[Job]] = defaultdict(list)
    late: list[Job] = []
    for job in jobs:
        if job.kind not in DUTIES:
            (late if job.overdue and job.date < first else by_day[job.date]).append(job)
    coming = (first + timedelta(days=n) for n in range(WITHIN_DAYS))
    catch_up = next((day for day in coming if season.is_work_day(day)), first)
    if late:
        by_day[catch_up] += []
    there = max(0, season.work.minutes_per_day - season.work.round_minutes)
    found = []
    for day, own in sorted(by_day.items()):
        extra = late if day == catch_up else []
        found.append(
            DayWork(
                date=day,
                minutes=sum(job.minutes for job in own),
                overdue_minutes=sum(job.minutes for job in extra),
                of_minutes=there if season.is_work_day(day) else None,
                compost_l=total_l([*own, *extra]),
            )
        )
    return tuple(found)
