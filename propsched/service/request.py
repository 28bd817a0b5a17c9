"""What a face asks of the planner."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Request:
    """One planning run."""

    folder: Path
    """The season folder."""
    today: date | None = None
    """None: the clock, held inside the season."""
    seed: int = 0
    reproducible: bool = False
    """Same inputs and seed give the same bytes; may take longer."""
    time_limit_s: float | None = None
    """Of the solver; None: by the number of batches."""
    gap: float = 0.002
    """Stop once the plan is proven to be this near the best, a fraction."""
    winters: int = 25
    """Most past winters to carry the outlook on."""
    save: bool = True
    """Whether plan.json is replaced."""
