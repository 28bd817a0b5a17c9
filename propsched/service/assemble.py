"""Growth in days and shares to the planner's whole-number tables."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from propsched.advice.state import BatchState
from propsched.biology.growth import StageGrowth
from propsched.domain.batch import Batch
from propsched.optimise.problem import WORTH_SCALE, Pinned, Problem, StageTable, Task
from propsched.service.ground import Ground, capacity, stage_table
from propsched.service.linked import linked, splits
from propsched.service.periods import heat_without_choice, manure_left, periods
from propsched.service.raised import Raised
from propsched.service.tasks import make_task

Growths = Mapping[tuple[str, str, str], tuple[StageGrowth, ...]]


def build_problem(
    batches: tuple[Raised, ...],
    states: Mapping[str, BatchState],
    pins: Mapping[str, tuple[Pinned, ...]],
    growths: Growths,
    ground: Ground,
    gates: Mapping[str, int],
    *,
    rows: Iterable[Batch] = (),
    begun: Mapping[str, date] | None = None,
) -> Problem:
    """
    All that the planner may know of a season.

    Parameters
    ----------
    batches : tuple of Raised
        A batch that may be split is followed by its halves.
    pins : mapping
        The grower's decisions by batch, as stage indices and variants.
    gates : mapping
        First day of the season a batch may be planted out, by batch.
    rows : iterable of Batch
        As the batch list has them, repeats not written out.
    begun : mapping, optional
        Day on which batches under way were begun.
    """
    profiles: list[tuple[StageTable, ...]] = []
    index: dict[object, int] = {}
    tasks: list[Task] = []
    there = [one for one in batches if not _gone(states.get(one.batch.id))]
    for one in there:
        state = states.get(one.batch.id)
        if one.profile not in index:
            index[one.profile] = len(profiles)
            profiles.append(
                tuple(
                    stage_table(
                        g,
                        ground,
                        wait=n.wait_d,
                        any_day=n.any_day,
                        stays=one.crop.stays_in_row and n is one.crop.stages[-1],
                    )
                    for g, n in zip(growths[one.profile], one.crop.stages, strict=True)
                )
            )
        task, patched = make_task(
            one,
            state,
            pins.get(one.batch.id, ()),
            index[one.profile],
            profiles[index[one.profile]],
            growths[one.profile],
            ground,
            gates[one.batch.id],
        )
        if patched is not None:
            task = replace(task, profile=len(profiles))
            profiles.append(patched)
        tasks.append(task)
    season = ground.season
    horizon = season.horizon
    space_ids = [space.id for space in season.spaces]
    work = np.array([season.is_work_day(day) for day in horizon])
    spare = max(0, season.work.minutes_per_day - season.work.round_minutes)
    found = periods(ground)
    tied, links = linked(tasks, rows, begun or {}, ground)
    return Problem(
        days=ground.days,
        space_of=np.array(
            [space_ids.index(v.space.id) for v in ground.zone.variants], dtype=np.int32
        ),
        capacity=capacity(ground),
        work=work,
        away=np.array([season.is_away(day) for day in horizon]),
        minutes=np.where(work, spare, 0).astype(np.int64),
        move_cost=round(season.weights.move * WORTH_SCALE),
        profiles=tuple(profiles),
        tasks=tied,
        constant=-heat_without_choice(ground),
        space_names=tuple(space_ids),
        variant_names=tuple(v.name for v in ground.zone.variants),
        periods=found,
        manure=manure_left(ground, found),
        links=links,
        splits=splits(there),
    )


def _gone(state: BatchState | None) -> bool:
    return state is not None and (state.done or state.lost)
