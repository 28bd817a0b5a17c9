"""A plan carried out in winters that it has not seen, beside what it prints."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.domain.plan import Plan
from propsched.optimise.problem import Problem, Route
from propsched.optimise.solution import Solution
from propsched.service.climate import warmth
from propsched.service.ground import Ground
from propsched.service.prepare import Prepared
from propsched.service.rehearse import Walk, rehearse, standing_area

BLOCK = 40
"""Winters simulated at once."""
AFTER_D = 40
"""Days after the season that are followed: what is later is not ready in time."""
APART_D = 3
"""Days between the two printed dates from which a date is the weather's to decide."""


@dataclass(frozen=True, kw_only=True)
class BatchKept:
    batch: str
    half: date
    latest: date
    by_latest: float
    """Share of the winters in which it is ready by then."""
    by_half: float
    """Share in which it is ready by the day that half are to have it."""
    at_once: float
    """Share by the latest day if all that is done is moved on at once."""
    median_error_d: float
    """Day half of the winters have it ready, less the printed one. [d]"""

    @property
    def uncertain(self) -> bool:
        return (self.latest - self.half).days >= APART_D


@dataclass(frozen=True, kw_only=True)
class StageKept:
    stage: str
    by_end: float
    """Share of the winters in which it is through by the booked end."""
    by_latest: float
    """Share in which it has left by the printed latest end."""
    uncertain: bool
    """Whether the middle and the most of the winters lie days apart."""


@dataclass(frozen=True, kw_only=True)
class Kept:
    winters: int
    batches: tuple[BatchKept, ...]
    stages: tuple[StageKept, ...]
    overfull: float
    """Share of the days, from today on, of spaces in which something may stand."""
    overfull_at_once: float
    """The same if all that is done is moved on at once."""
    spaces: tuple[tuple[str, float, int], ...]
    """Name, share of days overfull, greatest excess [10 cm²]."""


def of_uncertain(batches: Sequence[BatchKept]) -> list[BatchKept]:
    return [one for one in batches if one.uncertain]


def other_winters(ready: Prepared, *, winters: int, seed: int) -> Iterator[Ground]:
    """
    The season's ground in winters made from the monthly normals.

    Past winters are taken from it, and with them the plan's own: the observed days of
    this season stay, so that what stands has come as far as it has.
    """
    loaded = ready.loaded
    files = replace(loaded.files, history=loaded.files.history.iloc[:0])
    season = loaded.season
    for block, first in enumerate(range(0, winters, BLOCK)):
        warm = warmth(
            replace(loaded, files=files),
            winters=min(BLOCK, winters - first),
            seed=seed + block,
            until=season.end + timedelta(days=AFTER_D),
        )
        assert all("generated" in name for name in warm.zone.winters)
        yield replace(
            ready.ground,
            zone=warm.zone,
            climate=Climate(warm.zone),
            states=warm.states,
            offset=warm.horizon.day(season.start),
        )


def kept(
    ready: Prepared, solution: Solution, plan: Plan, *, winters: int, seed: int
) -> Kept:
    """Carry a plan out in other winters and look at its dates and its spaces."""
    problem = ready.problem
    walks: list[tuple[Walk, ...]] = []
    hasty: list[tuple[Walk, ...]] = []
    for ground in other_winters(ready, winters=winters, seed=seed):
        asked = (ground, problem, solution, ready.raised, ready.states)
        walks.append(rehearse(*asked))
        hasty.append(rehearse(*asked, at_once=True))
    excess, at_once = (
        np.concatenate([_excess(block, problem) for block in blocks])
        for blocks in (walks, hasty)
    )
    today = ready.ground.today_day
    holds = np.flatnonzero(problem.capacity.max(axis=1) > 0)
    own = rehearse(ready.ground, problem, solution, ready.raised, ready.states)
    return Kept(
        winters=excess.shape[0],
        batches=tuple(_batches(ready, plan, walks, hasty)),
        stages=tuple(_stages(ready, plan, own, walks)),
        overfull=_share(excess[:, holds, today:]),
        overfull_at_once=_share(at_once[:, holds, today:]),
        spaces=tuple(
            (
                problem.space_names[s],
                _share(excess[:, s, today:]),
                int(excess[:, s].max()),
            )
            for s in holds
        ),
    )


def _excess(walks: Sequence[Walk], problem: Problem) -> NDArray[np.int64]:
    """Area in use beyond that of the space. [10 cm²] (K, S, D)"""
    return np.maximum(standing_area(walks, problem) - problem.capacity, 0)


def _share(excess: NDArray[np.int64]) -> float:
    return float((excess > 0).mean())


def _batches(
    ready: Prepared,
    plan: Plan,
    walks: Sequence[Sequence[Walk]],
    hasty: Sequence[Sequence[Walk]],
) -> Iterator[BatchKept]:
    start = ready.loaded.season.start
    days, soonest = _ready(ready, walks), _ready(ready, hasty)
    for one in plan.batches:
        if one.ready is None or one.ready_latest is None:
            continue
        half, latest = ((day - start).days for day in (one.ready, one.ready_latest))
        yield BatchKept(
            batch=one.batch,
            half=one.ready,
            latest=one.ready_latest,
            by_latest=float((days[one.batch] <= latest).mean()),
            by_half=float((days[one.batch] <= half).mean()),
            at_once=float((soonest[one.batch] <= latest).mean()),
            median_error_d=float(np.median(days[one.batch]) - half),
        )


def _ready(
    ready: Prepared, walks: Sequence[Sequence[Walk]]
) -> dict[str, NDArray[np.int64]]:
    """Day on which each batch is ready, in every winter; the later of two halves."""
    days: dict[str, NDArray[np.int64]] = {}
    for i, first in enumerate(walks[0]):
        if not first.route.over:
            name = ready.raised[first.route.task].batch.id
            own = np.concatenate([block[i].ready for block in walks])
            days[name] = np.maximum(days.get(name, own), own)
    return days


def _stages(
    ready: Prepared,
    plan: Plan,
    own: Sequence[Walk],
    walks: Sequence[Sequence[Walk]],
) -> Iterator[StageKept]:
    """Stays that end, but for those of plants moved in the middle of a stage."""
    start = ready.loaded.season.start
    latest = {
        (p.batch, p.stage, p.space, (p.end - start).days): (p.end_latest - start).days
        for p in plan.placements
    }
    for i, walk in enumerate(own):
        one = ready.raised[walk.route.task]
        for k, stop in enumerate(walk.route.stops):
            stage = one.crop.stages[stop.stage].stage
            space = ready.ground.zone.variants[stop.variant].space.id
            found = latest.get((one.batch.id, stage, space, stop.end))
            if found is None or _stands_over(walk.route, k):
                continue
            through = np.concatenate([block[i].through[k] for block in walks])
            leaves = np.concatenate([block[i].leaves[k] for block in walks])
            low, high = np.quantile(walk.through[k] - walk.comes[k], (0.5, 0.8))
            yield StageKept(
                stage=stage,
                by_end=float((through <= stop.end).mean()),
                by_latest=float((leaves <= found).mean()),
                uncertain=bool(high - low >= APART_D),
            )


def _stands_over(route: Route, k: int) -> bool:
    return route.over and k == len(route.stops) - 1
