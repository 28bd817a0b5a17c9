"""The answer: who stands where and when, and what it is worth."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Status = Literal["optimal", "within gap", "time limit", "stopped", "nothing to plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One stage of one batch in one space from day to day."""

    batch: str
    crop: str
    method: str
    stage: str
    space: str
    start: date
    end: date
    """First day the space is free again, as booked."""
    end_latest: date
    """Day by which it has left in the booked share of the winters, never before
    ``end``."""
    root_mean_c: float
    area_m2: float
    containers: int
    container: str
    variant: str = "as set"
    moved: bool = False
    """Goes on with the stage of the placement before, moved in the middle of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchPlan:
    """What becomes of a batch that is raised."""

    batch: str
    ready: date | None
    """Day by which half of the winters have it ready; None: stands over."""
    ready_latest: date | None
    """Day by which the booked share of the winters has it ready."""
    wanted_by: date | None
    plants_expected: float
    cost: float
    """Its share of the heat by area and days, in the season's currency."""
    wanted: int = 0
    """Plants wanted; 0: not told."""
    reason: str = ""
    """Why here: best other space, and what it would cost."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlaced:
    batch: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingOver:
    batch: str
    space: str
    half_by: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRun:
    space: str
    start: date
    end: date
    kwh: float
    cost: float
    cost_to_come: float | None = None
    """Of ``cost`` what falls on today and later; None: not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HotbedRun:
    space: str
    make_up: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Scarce:
    space: str
    week: date
    """Monday of the week."""
    worth_per_tray: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """All that ``plan`` answers; the keys of ``plan.json`` are these names."""

    season: str
    today: date
    status: Status
    worth: float
    bound: float
    gap: float
    terms: dict[str, float]
    placements: tuple[Placement, ...]
    batches: tuple[BatchPlan, ...]
    not_placed: tuple[NotPlaced, ...]
    standing_over: tuple[StandingOver, ...]
    heat: tuple[HeatRun, ...]
    hotbeds: tuple[HotbedRun, ...]
    scarce: tuple[Scarce, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    seed: int = 0
    versions: dict[str, str] = field(default_factory=dict)
    inputs: dict[str, str] = field(default_factory=dict)
    """Digest of every file read."""
    noted: int | None = None
    """Rows that the daybook had when it was made; None: not told."""
    assumed: tuple[str, ...] = ()
    """What was supposed beyond the files when it was made, in words."""


def ways(placements: Iterable[Placement]) -> dict[str, list[list[Placement]]]:
    """
    The way of each batch through its spaces, or of each half if it is split.

    By batch, in order of their starts; a half goes on where it stood if it can.
    """
    found: dict[str, list[list[Placement]]] = {}
    for one in sorted(placements, key=lambda p: p.start):
        own = found.setdefault(one.batch, [])
        before = [
            way
            for way in own
            if way[-1].end <= one.start
            and (_goes_on(way[-1], one) or all(p.stage != one.stage for p in way))
        ]
        if before:
            # days from the one to the other, then whether it has to be moved
            near = min(
                before,
                key=lambda way: (one.start - way[-1].end, way[-1].space != one.space),
            )
            near.append(one)
        else:
            own.append([one])
    return found


def _goes_on(before: Placement, one: Placement) -> bool:
    """Whether it is the same stage, moved."""
    return one.moved and before.stage == one.stage and before.end == one.start


def gap(worth: float, bound: float) -> float:
    """Fraction by which a plan may fall short of the best; 0 of an empty season."""
    return (bound - worth) / max(1.0, abs(bound))
