"""What every job is read from: the plan, the daybook and the days asked about."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from propsched.advice.state import BatchState
from propsched.domain.batch import Batch
from propsched.domain.crop import UNSTARTED, Crop
from propsched.domain.plan import Placement, Plan
from propsched.domain.season import Season

OVERDUE_DAYS = 14
"""A move or a step not noted as done is named for so many days after it was due;
a start until it is noted. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What every job is read from."""

    plan: Plan
    season: Season
    crops: Mapping[str, Crop]
    batches: Mapping[str, Batch]
    states: Mapping[str, BatchState]
    sown: Mapping[str, int]
    first: date
    end: date
    today: date
    """Day that it is; ``first`` may be another one."""
    beds: Mapping[str, date] = field(default_factory=dict)
    heated: Mapping[str, bool] = field(default_factory=dict)
    """Whether the heat of a space is on, where the daybook tells."""
    covered: Mapping[str, tuple[bool, date]] = field(default_factory=dict)
    """Whether a cover is on in a space, and since when, where the daybook tells."""
    noted: bool = True
    """Whether the daybook is in use, so that what it lacks has not been done."""

    def name(self, placement: Placement) -> str:
        """Crop and, where one is given, variety."""
        batch = self.batches.get(placement.batch)
        variety = batch.variety if batch else ""
        return f"{placement.crop} {variety}".rstrip()

    def in_time(self, day: date) -> bool:
        return self.first <= day < self.end

    @property
    def looks_back(self) -> bool:
        """Whether what is overdue is named too: from today on, not of another span."""
        return self.noted and self.first == self.today

    def overdue(self, day: date) -> bool:
        oldest = self.today - timedelta(days=OVERDUE_DAYS)
        return self.looks_back and oldest <= day < self.today

    def named(self, day: date) -> bool:
        """Whether a job of that day, not done by the daybook, is named."""
        return self.in_time(day) or self.overdue(day)

    def late(self, day: date) -> bool:
        """Whether a job of that day should have been done by now."""
        return self.noted and day < self.today

    def never_started(self, start: Placement) -> bool:
        """Whether its start was due and the daybook, in use, has nothing of it."""
        begins = start.stage in UNSTARTED
        return begins and self.late(start.start) and start.batch not in self.states

    def was_due(self, day: date) -> str:
        """What to add to a job of an earlier day."""
        return f" (was due {day.day} {day:%B})" if self.late(day) else ""
