"""One folder: one place, one winter."""

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Literal

from annotated_types import Ge, Le, Len

from propsched.domain.quantities import STRICT, Celsius, Horizon, NotNegative, Positive
from propsched.domain.space import Space

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Soil = Literal["sand", "loam", "clay", "peat"]
Twelve = Annotated[tuple[Celsius, ...], Len(12, 12)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the garden lies and what its ground is."""

    __pydantic_config__ = STRICT

    latitude: Annotated[float, Ge(-66), Le(66)]
    """North positive. [°]"""
    longitude: Annotated[float, Ge(-180), Le(180)] = 0.0
    elevation_m: Annotated[float, Ge(-400), Le(5000)] = 0.0
    timezone: str = "UTC"
    soil: Soil = "loam"
    normals_tmin_c: Twelve | None = None
    """Monthly means of the daily minimum, January first. [°C]"""
    normals_tmax_c: Twelve | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Days nobody works, both included."""

    __pydantic_config__ = STRICT

    start: date
    """``from`` in the file."""
    end: date
    """``to`` in the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """When plants are moved, and for how long."""

    __pydantic_config__ = STRICT

    days: tuple[Weekday, ...] = ("sat", "sun")
    minutes_per_day: Annotated[int, Ge(0), Le(100_000)] = 240
    round_minutes: Annotated[int, Ge(0), Le(100_000)] = 0
    """Daily watering and venting, taken off a work day's minutes."""
    away: tuple[Away, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPrice:
    """What warmth costs."""

    __pydantic_config__ = STRICT

    price_per_kwh: NotNegative = 0.0
    currency: str = ""
    manure_m3: NotNegative | None = None
    """Manure to be had in the season; None is no limit. [m³]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """
    What the planner holds dear; 1 is all plants of a priority-1 batch, on time.

    The defaults are the project's judgement, not measurements.
    """

    __pydantic_config__ = STRICT

    late_per_week: NotNegative = 0.05
    """Lost per week after ``wanted_by``, times the batch's priority."""
    early_per_week: NotNegative = 0.01
    """Lost per week before ``wanted_from``, times the batch's priority."""
    move: NotNegative = 0.02
    """Lost per change of space."""
    heat_per_unit: NotNegative = 0.05
    """Lost per unit of currency spent on heat."""
    standing_over: Annotated[float, Ge(0), Le(1)] = 0.5
    """Worth of a batch that stands over, as a share of one that is ready."""
    change: NotNegative = 0.1
    """Lost per placement that differs from the plan in force."""
    quantile: Annotated[float, Ge(0.5), Le(0.95)] = 0.8
    """Share of winters in which a stage is through by its booked end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A thermometer and its faults."""

    __pydantic_config__ = STRICT

    id: str
    offset_c: Annotated[float, Ge(-10), Le(10)] = 0.0
    """Added to what it shows. [K]"""
    resolution_c: Positive = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """All of ``season.toml``."""

    __pydantic_config__ = STRICT

    name: str
    start: date
    end: date
    """Last day."""
    site: Site
    work: Work = field(default_factory=Work)
    heat: HeatPrice = field(default_factory=HeatPrice)
    weights: Weights = field(default_factory=Weights)
    probes: tuple[Probe, ...] = ()
    spaces: tuple[Space, ...] = ()

    @property
    def horizon(self) -> Horizon:
        return Horizon(self.start, (self.end - self.start).days + 1)

    def is_away(self, when: date) -> bool:
        return any(a.start <= when <= a.end for a in self.work.away)

    def is_work_day(self, when: date) -> bool:
        """A day on which plants are moved."""
        named = WEEKDAYS[when.weekday()] in self.work.days
        return named and not self.is_away(when)
