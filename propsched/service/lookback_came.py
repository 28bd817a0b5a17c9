"""When a batch came up or rooted, beside when it was to."""

from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.advice.passages import Passage
from propsched.biology.development import rank_of
from propsched.biology.moved import made_along
from propsched.biology.response import progress_for
from propsched.service.ground import Ground
from propsched.service.looked_back import Came
from propsched.service.raised import Raised
from propsched.service.underway import stays_of

MIDDLE = (0.1, 0.9)
"""Shares of the winters between which the range printed lies."""


def came_of(stage: Passage, one: Raised, usual: Ground, seen: Ground) -> Came | None:
    """
    A start seen to be over, beside what was to be expected.

    None where the crop has no heat sum, or it stood nowhere that is simulated.

    Parameters
    ----------
    usual, seen : Ground
        Without, and with, what came of the season.

    Notes
    -----
    Half of the plants are to be through, along the spaces and states of heat and
    cover that the daybook tells.
    """
    needs = one.crop.stages[stage.state.stage_index]
    if needs.sum_c_d <= 0 or stage.ended is None or stage.by is None:
        return None
    level = progress_for(0.5, needs.spread)
    found: list[NDArray[np.float64]] = []
    for ground in (usual, seen):
        assert ground.climate is not None
        stays = stays_of(stage.state, replace(ground, today=stage.ended))
        if not stays:
            return None
        found.append(made_along(ground.climate, needs, stays) / level)
    least = int(max(1, np.ceil(needs.days)))
    begun = usual.offset + usual.season.horizon.day(stage.state.since)
    was, by = (_first_days(made, begun + least) for made in found)
    low, high = (_date(usual, was, share) for share in MIDDLE)
    at = seen.offset + seen.season.horizon.day(stage.ended)
    at = min(max(at, 0), found[1].shape[1] - 1)
    return Came(
        batch=one.batch.id,
        crop=one.crop.name,
        method=one.crop.method,
        event=stage.by,
        space=stage.state.stays[0].space,
        began=stage.state.since,
        came=stage.ended,
        usual=_date(usual, was, 0.5),
        usual_low=low,
        usual_high=high,
        reckoned=_date(seen, by, 0.5),
        made=float(np.median(found[1][:, at])),
    )


def _first_days(made: NDArray[np.float64], earliest: int) -> NDArray[np.int64]:
    """First day before which all is made, in every winter; past the end if never."""
    reached = made >= 1 - 1e-6
    first = np.where(reached.any(axis=1), reached.argmax(axis=1), made.shape[1])
    return np.asarray(np.maximum(first, earliest))


def _date(ground: Ground, days: NDArray[np.int64], share: float) -> date | None:
    """Day by which a share of the winters has it; None past the days known."""
    assert ground.climate is not None
    day = int(np.sort(days)[rank_of(share, days.size)])
    if day > ground.climate.days:
        return None
    return ground.season.horizon.date(day - ground.offset)
