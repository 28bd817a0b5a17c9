"""Readings of each space beside the model that knows nothing of them."""

from collections.abc import Collection, Iterator

import numpy as np

from propsched.service.climate import readings_of, warmth
from propsched.service.loaded import Loaded
from propsched.service.looked_back import SpaceWarmth
from propsched.thermal.compare import effective_size_of
from propsched.thermal.correction import correct
from propsched.thermal.spread import ERRORS, Z80

LEAST_DAYS = 2
"""Fewer days with readings say nothing of a spread."""
WINTERS = 2


def space_warmth(loaded: Loaded, read: Collection[str]) -> tuple[SpaceWarmth, ...]:
    """Spaces with readings on some days, in the order of the season."""
    return tuple(_each(loaded, read))


def _each(loaded: Loaded, read: Collection[str]) -> Iterator[SpaceWarmth]:
    warm = warmth(loaded, winters=WINTERS, seed=0, by_readings=False)
    corrected = correct(warm.zone, readings_of(loaded), states=warm.states)
    for space in loaded.season.spaces:
        if space.id not in read:
            continue
        seen = corrected[warm.zone.of(space.id)].seen
        if len(seen) < LEAST_DAYS:
            continue
        gap, error = seen.gap_c, ERRORS[space.kind]
        keep = sum(p.sd_c**2 * p.keep for p in error.passing.parts)
        size = sum(p.sd_c**2 for p in error.passing.parts)
        apart = effective_size_of(
            seen.days.astype(np.float64), keep / size if size else 0.0
        )
        spread = float(gap.std(ddof=1))
        wide = np.sqrt(error.sd_c**2 + seen.own_sd_c**2 + seen.common_sd_c**2)
        yield SpaceWarmth(
            space=space.id,
            days=len(seen),
            warmer_c=float(gap.mean()),
            warmer_error_c=spread / float(np.sqrt(max(apart, 1.0))),
            typical_c=float(np.sqrt((gap**2).mean())),
            held=float((np.abs(gap) <= Z80 * wide).mean()),
        )
