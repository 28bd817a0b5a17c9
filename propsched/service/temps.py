"""How warm each space is, was and will be, with its range."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from propsched.domain.space import Space
from propsched.errors import UnknownNameError
from propsched.service.answers import Source, TempsAnswer, TempsRow
from propsched.service.climate import Warmth, warmth
from propsched.service.loaded import WEATHER_ONLY, Loaded, load
from propsched.thermal.spread import ERRORS, total_range


def temps(
    folder: Path,
    *,
    today: date | None = None,
    spaces: Sequence[str] = (),
    winters: int = 25,
    seed: int = 0,
) -> TempsAnswer:
    """
    Daily temperatures of the season's spaces.

    Raises
    ------
    UnknownNameError
        If a space is not in the season.
    """
    loaded = load(folder, today, WEATHER_ONLY)
    season = loaded.season
    known = [space.id for space in season.spaces]
    for name in spaces:
        if name not in known:
            raise UnknownNameError(
                f"no space {name!r} – the season has {', '.join(known)}"
            )
    warm = warmth(loaded, winters=winters, seed=seed)
    rows: list[TempsRow] = []
    for space in season.spaces:
        if not spaces or space.id in spaces:
            rows.extend(_rows(loaded, warm, space))
    return TempsAnswer(rows=tuple(rows), notes=loaded.files.notes)


def _rows(loaded: Loaded, warm: Warmth, space: Space) -> list[TempsRow]:
    """Of the state the space is in by the daybook, which holds for days to come."""
    season = loaded.season
    first = warm.horizon.day(season.start)
    count = season.horizon.days
    days = slice(first, first + count)
    k = len(warm.zone.winters)
    by_day = (k, warm.horizon.days, 24)

    def hours(hourly: NDArray[np.float32]) -> NDArray[np.float32]:
        return warm.hours_of(space.id, hourly).reshape(by_day)[:, days]

    root, air = hours(warm.zone.root_c), hours(warm.zone.air_c)
    model = hours(warm.modelled.root_c).mean(axis=2)
    own = warm.corrected[warm.zone.of(space.id)]
    shift = own.offset.mean_c[days]
    follow = ERRORS[space.kind].follow
    ends = total_range(model, shift, own.offset.sd_c[days], follow=follow)
    lowest = np.median(root.min(axis=2), axis=0)
    highest = np.median(root.max(axis=2), axis=0)
    air_min = np.median(air.min(axis=2), axis=0)
    read = dict(zip(own.seen.days - first, own.seen.read_c, strict=True))
    rows = []
    for day in range(count):
        kind = warm.outlook.kind[first + day]
        source: Source = "model" if kind == "observed" else kind
        rows.append(
            TempsRow(
                date=season.horizon.date(day),
                space=space.id,
                root_mean_c=_tenths(ends.mid_c[day]),
                root_min_c=_tenths(lowest[day]),
                root_max_c=_tenths(highest[day]),
                low_c=_tenths(ends.low_c[day]),
                high_c=_tenths(ends.high_c[day]),
                air_min_c=_tenths(air_min[day]),
                source="reading" if day in read else source,
                model_c=_tenths(ends.mid_c[day] - shift[day]),
                reading_c=_tenths(read[day]) if day in read else None,
            )
        )
    return rows


def _tenths(value: float) -> float:
    return round(float(value), 1)
