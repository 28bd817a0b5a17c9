"""Daily weather from elsewhere, in this project's units."""

from dataclasses import dataclass, field
from datetime import date

from propsched.files.series import WEATHER_LIMITS

Values = dict[str, float]
"""Columns of ``weather.csv`` with what was measured."""

KNOT_M_S = 1852 / 3600
MILE_PER_HOUR_M_S = 1609.344 / 3600
INCH_MM = 25.4
DAY_MJ_PER_W = 86_400 / 1e6
"""What one watt amounts to in a day. [MJ]"""


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@dataclass(slots=True, kw_only=True)
class StationDays:
    """The days of one station's file while it is being read."""

    layout: str
    """What the layout is called."""
    days: dict[date, Values] = field(default_factory=dict)
    units: tuple[str, ...] = ()
    """What was converted, in words."""
    odd: list[tuple[int, str]] = field(default_factory=list)
    """Line and reason of everything that was not taken."""
    stations: dict[str, str] = field(default_factory=dict)
    """Marks of the stations in the file, each with its name."""

    def put(self, line: int, day: date, column: str, value: float) -> None:
        """Take a value, unless it cannot be one or the day has another."""
        least, most = WEATHER_LIMITS[column]
        if not least <= value <= most:
            self.odd.append((line, f"{column} of {day} would be {value:g}"))
            return
        values = self.days.setdefault(day, {})
        value = round(value, 2) + 0.0
        if values.setdefault(column, value) != value:
            self.odd.append((line, f"{column} of {day} is there twice"))

    def close(self) -> None:
        """Leave out days that lack a minimum or maximum, or have them crossed."""
        for day, values in sorted(self.days.items()):
            lacks = [name for name in ("tmin_c", "tmax_c") if name not in values]
            if lacks:
                self.odd.append((0, f"{day} has no {' and no '.join(lacks)}"))
            elif values["tmin_c"] > values["tmax_c"]:
                self.odd.append((0, f"{day} has its minimum above its maximum"))
            else:
                continue
            del self.days[day]
