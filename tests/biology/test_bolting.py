"""Days of cold after pricking out."""

import numpy as np
from builders import make_space, make_zone

from propsched.biology.bolting import cold_days
from propsched.biology.climate import Climate


def test_cold_days_are_counted_along_the_stays() -> None:
    """Celery after about ten days under 10 °C calls for a caution (common practice)."""
    hours = np.array([8.0, 14.0])[:, None, None] * np.ones((1, 1, 24 * 40))
    spaces = [make_space(id="frame"), make_space(id="house")]
    climate = Climate(make_zone(hours, days=40, spaces=spaces))
    assert cold_days(climate, [(0, 5, 12), (1, 12, 30)], 10.0) == 7
    assert cold_days(climate, [(1, 0, 40)], 10.0) == 0
    assert cold_days(climate, [], 10.0) == 0
