"""One row of the readings."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a thermometer showed."""

    time: datetime
    """Local clock time of the site."""
    space: str
    temp_c: float
    """As shown; the thermometer's offset is not in it. [°C]"""
    depth_cm: float | None = None
    """None: the space's."""
    probe: str = ""
    note: str = ""
