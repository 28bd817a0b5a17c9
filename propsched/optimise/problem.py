"""
The tables of one season in whole numbers; all scaling happens here.

Days are 0 … D−1; V variants of S spaces; areas in 10 cm²; shares in parts per
million; worth in ten-thousandths of one priority point.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

NEVER = 32_767
"""Length of a stage that may not start there then, or is not through in time."""
PPM = 1_000_000
WORTH_SCALE = 10_000
"""Whole units in a worth of 1."""
AREA_SCALE = 1_000
"""Whole units in a square metre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageTable:
    """One stage of one crop × method in every variant, by day of its start."""

    name: str
    length: NDArray[np.int16]
    """Days to being through as booked, at least 1, or NEVER. Shape (V, D)."""
    success: NDArray[np.int32]
    """Share of plants that come through, relative to the best. [ppm] (V, D)"""
    over_success: NDArray[np.int32]
    """The same if it stands from that day to the season's end; −1: it may not.
    Shape (V, D)."""
    wait: int
    """Days it may stand on once through."""
    any_day: bool
    """May end on any day that is not away; else on work days only."""
    why: NDArray[np.uint8]
    """Bits of ``WHY`` that stand against a start. Shape (V, D)."""


WHY = (
    "no room for this stage in such a space",
    "too dark",
    "too cold: it would not survive",
    "too hot: it would not survive",
    "below its sowing floor",
    "not through before the season ends",
    "hardening off wants open air",
    "its air is not close or dry enough",
)
"""What the bits of ``StageTable.why`` mean, lowest bit first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinned:
    """What is fixed for one stage of one batch."""

    stage: int
    """Index into the profile's stages."""
    variants: tuple[int, ...] = ()
    """Allowed variants; empty: any."""
    start: int | None = None
    """Fixed day; then neither work days nor availability are asked of it."""
    length: int | None = None
    """Known days from ``start`` to being through (a batch under way)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A placement of the plan in force, and what keeping to it is worth."""

    stage: int
    space: int
    start: int
    worth: int
    """Of the same space on the same day."""
    per_day: int
    """Less by so much for each day apart, never below nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to run a space for a period: heated, made up on some day …"""

    name: str
    variants: tuple[int, ...]
    """What may be stood in while it is run so; empty: nothing may stand there."""
    cost: int = 0
    """Worth lost by running it so, at least 0."""
    manure: int = 0
    """Manure it takes. [l]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """
    Days on which a space is run in one of several ways, the same for all batches.

    A stay may only be in variants that the chosen modes of all days it stands
    there allow.  Days of a space in no period allow all its variants.
    """

    space: int
    first: int
    end: int
    """First day after it; periods of one space do not overlap."""
    modes: tuple[Mode, ...]
    """Exactly one is chosen; no variant is in two of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Two sowings of one row: if both are raised, the later starts days after."""

    earlier: int
    later: int
    """Tasks."""
    days: int
    """Least days from the start of the one to the start of the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A batch that may be raised whole or in parts, each going its own way."""

    whole: int
    parts: tuple[int, ...]
    """Tasks; none of them is placed beside the whole, and none of all is a must."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One batch as the solver sees it."""

    name: str
    profile: int
    area: tuple[int, ...]
    """Standing area in each stage. [10 cm²]"""
    minutes: tuple[int, ...]
    """Work on the day each stage starts, and last of all on the day it leaves;
    one longer than ``area``. Counted on work days only. [min]"""
    share: tuple[int, ...]
    """Plants entering each stage ÷ plants wanted, as far as sowing spare seed
    raises it above 1; applies to the stage's success, capped at 1. [ppm]"""
    weight: int
    """Worth of all plants wanted, on time."""
    earliest: int
    """First and last day its first stage may start."""
    latest: int
    first_stage: int = 0
    """Stages before it are done (a batch under way)."""
    gate: int = 0
    """First day it may leave its last stage."""
    wanted_from: int | None = None
    wanted_by: int | None = None
    late_per_day: int = 0
    early_per_day: int = 0
    over_weight: int = 0
    """Worth of all plants standing over at the season's end."""
    must: bool = False
    """Pinned or under way: it has to be placed."""
    under_way: bool = False
    """Its first stage stands already, since the day a pin gives: that start costs
    no minutes and is bound to no work day or availability."""
    pins: tuple[Pinned, ...] = ()
    kept: tuple[Kept, ...] = ()
    """What to keep of the plan in force, at most one a stage; not of a stage that
    stands already."""

    def begun(self, stage: int) -> bool:
        """Whether a stage stands already, its work done."""
        return self.under_way and stage == self.first_stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Everything the planner may know."""

    days: int
    space_of: NDArray[np.int32]
    """Space of each variant. Shape (V,)."""
    capacity: NDArray[np.int64]
    """Free standing area. [10 cm²] Shape (S, D)."""
    work: NDArray[np.bool_]
    """Days on which plants are moved. Shape (D,)."""
    away: NDArray[np.bool_]
    """Days on which nobody is there. Shape (D,)."""
    minutes: NDArray[np.int64]
    """Work a day allows; only asked of work days. [min] Shape (D,)."""
    move_cost: int
    profiles: tuple[tuple[StageTable, ...], ...]
    tasks: tuple[Task, ...]
    constant: int = 0
    """Worth that no decision changes (heat that is on in any case, ≤ 0)."""
    space_names: tuple[str, ...] = ()
    variant_names: tuple[str, ...] = ()
    periods: tuple[Period, ...] = ()
    manure: int | None = None
    """Manure to be had for all modes chosen; None: no limit.  Where there is one,
    each period has a mode without manure that none undercuts. [l]"""
    links: tuple[Link, ...] = ()
    splits: tuple[Split, ...] = ()

    def stages(self, task: Task) -> tuple[StageTable, ...]:
        return self.profiles[task.profile]


@dataclass(frozen=True, slots=True)
class Stop:
    """A stage of a route: stands in ``variant`` from ``start`` until ``end``."""

    stage: int
    variant: int
    start: int
    end: int
    """First day it no longer stands there; D when it stands over."""


@dataclass(frozen=True, slots=True)
class Route:
    """One batch's whole way through spaces and days."""

    task: int
    stops: tuple[Stop, ...]
    over: bool
    """Stands over: its last stop runs to the end, unfinished."""
    value: int
    """Worth, all terms included."""


def loss(task: Task, stage: int, success_ppm: NDArray[np.int32]) -> NDArray[np.int64]:
    """
    Worth lost in one stage: losses of the stages add up.

    Each is a share of the plants wanted, so that a route's worth is a sum and
    its plants expected are ``wanted × (1 − sum of shares lost)``.

    Parameters
    ----------
    success_ppm : array of any shape
        From ``StageTable.success``.

    Returns
    -------
    Worth lost when the batch becomes ready, same shape, 0 … ``task.weight``.
    """
    return _lost(task.weight, task.share[stage], success_ppm)


def over_loss(
    task: Task, stage: int, success_ppm: NDArray[np.int32]
) -> NDArray[np.int64]:
    """Worth lost in one stage when the batch stands over in the end."""
    return _lost(task.over_weight, task.share[stage], success_ppm)


def _lost(
    weight: int, share_ppm: int, success_ppm: NDArray[np.int32]
) -> NDArray[np.int64]:
    through = np.minimum(PPM, share_ppm * success_ppm.astype(np.int64) // PPM)
    return weight * (PPM - through) // PPM


def kept_worth(
    problem: Problem,
    task: Task,
    stage: int,
    variant: NDArray[np.int64],
    start: NDArray[np.int64],
) -> NDArray[np.int64]:
    """
    Worth of keeping to the plan in force, for starts of one stage.

    Parameters
    ----------
    variant, start : arrays of the same shape

    Returns
    -------
    At least 0, same shape; 0 where the plan in force says nothing of the stage.
    """
    worth = np.zeros(np.shape(start), dtype=np.int64)
    for kept in task.kept:
        if kept.stage == stage:
            near = kept.worth - kept.per_day * np.abs(start - kept.start)
            same = problem.space_of[variant] == kept.space
            worth = np.where(same, np.maximum(0, near), 0)
    return worth


def must_penalty(problem: Problem) -> int:
    """More than any change of the other tasks, or of its own route, is worth."""
    most = 1
    for task in problem.tasks:
        late = (task.late_per_day + task.early_per_day) * problem.days
        stages = len(problem.stages(task))
        most += abs(task.weight) + abs(task.over_weight)
        most += sum(kept.worth for kept in task.kept)
        most += stages * (task.weight + task.over_weight + problem.move_cost) + late
    for period in problem.periods:
        most += max(mode.cost for mode in period.modes)
    return most
