"""What the planner tells a face while it works, and what it hands over."""

from dataclasses import dataclass
from typing import TypeAlias

from propsched.advice.jobs import Job
from propsched.domain.plan import Plan
from propsched.domain.season import Season
from propsched.errors import InputProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """All that a face shows of a plan."""

    plan: Plan
    season: Season
    jobs: tuple[Job, ...] = ()
    """Of the next 14 days from the plan's day on."""
    notes: tuple[str, ...] = ()
    """What the reader of the input should know; no fault."""
    fill: dict[str, tuple[float, ...]]
    """Share of a space's free area in use, a number for each day of the season
    from its start; NaN where nothing is free. 0..1"""
    warmth: dict[str, tuple[float, ...]]
    """Daily root-zone temperature, median of the winters, days as in ``fill``;
    NaN where not simulated. [°C]"""


@dataclass(frozen=True, slots=True)
class Step:
    """A part of the work begins."""

    name: str
    """As a face prints it: ``Reading``, ``Simulating``, ``Solving``."""


@dataclass(frozen=True, slots=True)
class Improved:
    """A better plan, or a better bound."""

    worth: float
    bound: float
    elapsed_s: float


@dataclass(frozen=True, slots=True)
class Finished:
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Failed:
    """Trouble that the user can mend."""

    problems: tuple[InputProblem, ...]


Event: TypeAlias = Step | Improved | Finished | Failed
