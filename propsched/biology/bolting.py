"""Cold that may make a crop run to seed."""

from collections.abc import Sequence

import numpy as np

from propsched.biology.climate import Climate


def cold_days(
    climate: Climate, stays: Sequence[tuple[int, int, int]], below_c: float
) -> int:
    """
    Days with a mean air temperature below a threshold, median of the winters.

    Parameters
    ----------
    stays : sequence of (variant, first day, end day)
        Where it stands after pricking out; the end day is not counted.
    below_c : float
        ``bolts_below_c`` of the crop. [°C]

    Notes
    -----
    A caution and no prohibition: celery begins to initiate flowers at 10 °C and
    does so partly at 14 (published, without a paper named to the project).
    """
    total = np.zeros(climate.shape[1])
    for variant, first, end in stays:
        days = climate.air_mean_c[variant, :, first:end]
        total += (days < below_c).sum(axis=-1)
    return round(float(np.median(total)))
