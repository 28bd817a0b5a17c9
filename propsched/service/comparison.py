"""What ``compare`` answers."""

from dataclasses import dataclass
from datetime import date

from propsched.service.pairs import When
from propsched.thermal.compare import Interval, Slope


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareRow:
    """Differences of one time of day, or of all; first space less second. [K]"""

    when: When | None
    """None: all times of day, each counting the same."""
    pairs: int
    days: int
    mean_k: float | None
    interval: Interval | None
    """None where there are too few days for one."""
    slope: Slope | None
    """How the difference goes with the day's air; None where that cannot be told."""
    model_k: float | None
    """Modelled difference at the same hours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareDay:
    """One day; the columns of ``compare --format csv``."""

    date: date
    pairs: int
    first_c: float
    second_c: float
    difference_k: float
    model_k: float | None
    """Modelled difference at the same hours."""
    air_c: float | None
    """Daily mean outdoors, half of minimum and maximum."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelledSeason:
    """What the model makes of both spaces over the whole season. [K]"""

    mean_k: float
    """Mean of the winters."""
    low_k: float
    """The middle 80 % of the winters lie between."""
    high_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareAnswer:
    first: str
    second: str
    level: float
    verdict: str
    """One plain sentence."""
    whole: CompareRow
    by_time: tuple[CompareRow, ...]
    """Only times of day at which both were read."""
    days: tuple[CompareDay, ...]
    season: ModelledSeason | None
    wanted_half_k: float
    """Half width at which the interval is narrow enough."""
    more_days: int | None
    """Days like these that are still wanted; None: too many to say, or unknown."""
    remarks: tuple[str, ...] = ()
    """On probes, depths and times of day."""
    notes: tuple[str, ...] = ()
