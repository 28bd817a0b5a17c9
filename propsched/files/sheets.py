"""The tables of a season folder: their columns, their keys, and how each is read."""

from collections.abc import Callable
from dataclasses import dataclass

from propsched.files.batch_rules import Names, event_faults
from propsched.files.batches import (
    BATCH_COLUMNS,
    EVENT_COLUMNS,
    PIN_COLUMNS,
    read_batches,
    read_daybook,
    read_pins,
)
from propsched.files.crop_table import OWN_COLUMNS
from propsched.files.series import (
    READING_COLUMNS,
    WEATHER_COLUMNS,
    read_readings,
    read_weather,
)
from propsched.files.source import Faults, Source
from propsched.files.table import Columns, read_table

Reader = Callable[[Source, Faults], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One table of a season folder."""

    name: str
    columns: Columns
    key: tuple[str, ...] = ()
    """Columns of which no two rows may have the same; none: any rows may."""
    read: Reader

    def is_row(self, header: str, text: str) -> bool:
        """Whether a line, under this header, is a row without a fault of its own."""
        if not text.strip() or text.startswith("#"):
            return False
        faults = Faults()
        self.read(Source(self.name, f"{header}\n{text}\n", ""), faults)
        return not faults.found


def _read_daybook(source: Source, faults: Faults) -> None:
    """With what an event has to name."""
    rows = read_daybook(source, None, faults)
    for line, what, right in event_faults(rows, (), Names(set(), None), set()):
        faults.add(source.path, line, what, right)


SHEETS = {
    sheet.name: sheet
    for sheet in (
        Sheet(
            name="batches.csv", columns=BATCH_COLUMNS, key=("batch",), read=read_batches
        ),
        Sheet(
            name="weather.csv",
            columns=WEATHER_COLUMNS,
            key=("date",),
            read=lambda source, faults: read_weather(source, faults, gaps=True),
        ),
        Sheet(
            name="history.csv",
            columns=WEATHER_COLUMNS,
            key=("date",),
            read=lambda source, faults: read_weather(source, faults, gaps=True),
        ),
        Sheet(
            name="readings.csv",
            columns=READING_COLUMNS,
            read=lambda source, faults: read_readings(
                source, None, set(), None, faults
            ),
        ),
        Sheet(
            name="daybook.csv",
            columns=EVENT_COLUMNS,
            read=_read_daybook,
        ),
        Sheet(
            name="pins.csv",
            columns=PIN_COLUMNS,
            key=("batch", "stage"),
            read=read_pins,
        ),
        Sheet(
            name="crops.csv",
            columns=OWN_COLUMNS,
            key=("crop", "method", "stage", "figure"),
            read=lambda source, faults: read_table(source, OWN_COLUMNS, faults),
        ),
    )
}
