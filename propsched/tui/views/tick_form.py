"""What really happened: on which day a job was done, how many, and what was lost."""

from dataclasses import dataclass
from datetime import date

from propsched.advice.job import Job
from propsched.tui.views.asking import Asking, Question
from propsched.tui.views.jobs_book import plain_what

COUNTED = frozenset({"sow", "strike", "divide", "start", "prick out", "pot up",
                     "pot on", "harden off", "plant out", "ready"})  # fmt: skip
"""Jobs over which plants are counted."""


@dataclass(frozen=True, slots=True)
class TickForm:
    """The questions about one job."""

    job: Job
    asking: Asking

    @property
    def day(self) -> date | None:
        """None: today."""
        day = self.asking.day("day")
        return None if day == self.asking.today else day

    @property
    def lost(self) -> int:
        return self.asking.number("lost") or 0

    @property
    def count(self) -> int | None:
        """None: as many as the job says."""
        return self.asking.number("count")


def asked(job: Job, today: date, earliest: date) -> TickForm:
    """The form of a job, as if all went well today."""
    questions = [
        Question(
            name="day", kind="day", value=today.isoformat(),
            first=min(earliest, today), last=today,
        )
    ]  # fmt: skip
    if job.batch:
        questions.append(Question(name="lost", kind="number", blank="0"))
    if job.batch and job.kind in COUNTED:
        number = job.count
        usual = "not counted" if number is None else f"{number}, as the job says"
        start = "" if number is None else str(number)
        questions.append(
            Question(name="count", kind="number", blank=usual, start=start)
        )
    title = f"Done: {plain_what(job)}"
    return TickForm(job, Asking(title=title, questions=tuple(questions), today=today))
