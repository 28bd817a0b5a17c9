"""What the commands other than ``plan`` answer."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from propsched.advice.day_work import DayWork
from propsched.advice.jobs import Job

Source = Literal["reading", "model", "forecast", "outlook"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TempsRow:
    """One day of one space; the columns of ``temps --format csv``. All in °C."""

    date: date
    space: str
    root_mean_c: float
    """Median of the winters of the day's mean, at rooting depth."""
    root_min_c: float
    root_max_c: float
    low_c: float
    """Lower end of the 80 % range of the daily mean."""
    high_c: float
    air_min_c: float
    """Of the air around the plants."""
    source: Source
    model_c: float | None = None
    """Median of the day's mean before the offset that readings ask for."""
    reading_c: float | None = None
    """The day's mean as the day's readings have it; None where nothing was read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TempsAnswer:
    rows: tuple[TempsRow, ...]
    """By space in the season's order, then by day."""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WhereRow:
    """One space for one crop on one day; the keys of ``where --format json``."""

    space: str
    start: date
    half_by: date | None
    """Half of the plants are through by, in the median winter; None: never, or it
    may not be started there."""
    most_by: date | None
    """Nine in ten of the plants are, in the median winter."""
    days: int | None
    """From start to ``half_by``."""
    root_mean_c: float
    """Over those days, or to the season's end. [°C]"""
    success: float
    """Share of plants that come through, of the crop's best; mean of the winters,
    those in which its chilling fails with them. 0..1"""
    limits: tuple[str, ...] = ()
    """What stands against it or slows it; never empty where fewer than 85 % come
    through."""
    basis: str = ""
    """Where the figures come from."""
    stands_over: bool = False
    """Not through by the season's end, and may stand on."""
    cost: float = 0.0
    """Heat for it, in the season's currency."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhereAnswer:
    crop: str
    method: str
    on: date
    rows: tuple[WhereRow, ...]
    """Best first."""
    explanation: tuple[str, ...] = ()
    """Paragraphs for ``--explain``."""
    figures: tuple[str, ...] = ()
    """The crop's figures up to its start, each with its value and where it is from."""
    notes: tuple[str, ...] = ()
    currency: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsAnswer:
    today: date
    rows: tuple[Job, ...]
    """By day, what is overdue first; or by space in the season's order, then by day."""
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    first: date | None = None
    """First day of the span; None: today."""
    days: tuple[DayWork, ...] = ()
    """Minutes and compost of each day that has jobs."""
    by_space: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer:
    """The season as understood; a faulty one raises InvalidInputError instead."""

    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()
