"""All that a season folder holds, read and checked."""

from dataclasses import dataclass
from pathlib import Path

from pandas import DataFrame

from propsched.domain.batch import Batch, Event, Pin
from propsched.domain.crop_table import CropTable
from propsched.domain.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonFiles:
    """What was read; what is absent and not needed is empty."""

    folder: Path
    season: Season
    batches: tuple[Batch, ...]
    """As in the file, repeats not written out; crop names as in the crop table."""
    weather: DataFrame
    """
    One row a day, sorted, without gaps: date, tmin_c, tmax_c, solar_mj_m2, wind_m_s,
    rain_mm, snow_cm (NaN where unknown), kind (observed, forecast or blank).
    """
    history: DataFrame
    """The same for past winters; maybe empty."""
    readings: DataFrame
    """
    time (local), space, depth_cm (NaN: the space's), temp_c, probe, note; in order of
    time, without those that were taken back.
    """
    noted_readings: DataFrame
    """The same as the file has them, with those taken back and what says so."""
    daybook: tuple[Event, ...]
    """
    In order of time, without what was taken back; batches by their written-out ids.
    """
    noted: tuple[Event, ...]
    """The daybook as the file has it, with what was taken back and what says so."""
    pins: tuple[Pin, ...]
    crops: CropTable
    digests: dict[str, str]
    """SHA-256 of every file read, by name."""
    notes: tuple[str, ...]
    """What the reader took as right but somebody may want to know."""
