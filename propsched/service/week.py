"""The days that one sheet of paper covers: jobs, what stands where, how warm."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from propsched.domain.container import TRAY_M2
from propsched.domain.crop import StageName
from propsched.domain.quantities import Horizon
from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.errors import PropschedError
from propsched.service.answers import JobsAnswer, TempsAnswer, TempsRow
from propsched.service.climate import BEFORE_DAYS
from propsched.service.jobs import jobs
from propsched.service.opened import Opened, fill_of, free_m2, open_season
from propsched.service.stands_on import stands_on
from propsched.service.temps import temps
from propsched.service.tonight import TonightAnswer, tonight
from propsched.thermal.outlook import make_outlook

MOST_NIGHTS = 14
"""Nights looked at for what to protect."""
TENTHS = (0.1, 0.5, 0.9)
"""Ends and middle of a range of 80 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """One batch in a space on the first day."""

    batch: str
    crop: str
    variety: str
    stage: StageName
    containers: int
    container: str
    since: date
    until: date | None
    """Day on which the plan moves it on; None: it stays as far as is planned."""
    planned: bool
    """By the plan alone, the daybook does not say so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceWeek:
    """One space over the days of the sheet."""

    space: Space
    days: tuple[TempsRow, ...]
    stands: tuple[Stands, ...]
    trays_free: float | None
    """Room on the first day, in standard trays; None: nothing can stand here,
    nothing is free of other use, or its bed is not made up yet."""
    make_up: date | None
    """Day on which its bed is still to be made up; None: it stands, or is no bed."""
    read: datetime | None
    """When it was last read; None: never."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdNight:
    """The air outdoors in one night."""

    evening: date
    low_c: float
    """One winter in ten is colder. [°C]"""
    expected_c: float
    high_c: float
    """One winter in ten is milder. [°C]"""
    frost: float
    """Share of the winters with frost. 0..1"""
    forecast: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """All that goes on the sheet."""

    season: Season
    first: date
    last: date
    planned: date
    """Day the plan in force was made."""
    jobs: JobsAnswer
    spaces: tuple[SpaceWeek, ...]
    nights: tuple[ColdNight, ...]
    tonight: TonightAnswer
    notes: tuple[str, ...] = ()

    @property
    def days(self) -> tuple[date, ...]:
        count = (self.last - self.first).days + 1
        return tuple(self.first + timedelta(days=k) for k in range(count))


def week_of(
    folder: Path,
    *,
    today: date | None = None,
    days: int = 7,
    winters: int = 25,
    seed: int = 0,
) -> Week:
    """
    What the next days ask for, from the plan in force.

    Raises
    ------
    PropschedError
        If the season has not been planned yet, or is over.
    """
    opened = open_season(folder, today=today)
    plan, season, first = opened.in_force(), opened.season, opened.today
    if first > season.end:
        raise PropschedError(f"the season ended on {season.end}")
    last = min(season.end, first + timedelta(days=days - 1))
    todo = jobs(folder, today=first, days=(last - first).days + 1)
    warm = temps(folder, today=first, winters=winters, seed=seed)
    fill = fill_of(plan, season)
    nights = min(MOST_NIGHTS, (last - first).days + 1)
    return Week(
        season=season,
        first=first,
        last=last,
        planned=plan.today,
        jobs=todo,
        spaces=tuple(
            _space(opened, space, warm, fill, last) for space in season.spaces
        ),
        nights=cold_nights(opened, last, winters=winters, seed=seed),
        tonight=tonight(folder, nights=nights, today=first, winters=winters, seed=seed),
        notes=todo.notes,
    )


def _space(
    opened: Opened,
    space: Space,
    warm: TempsAnswer,
    fill: Mapping[str, Sequence[float]],
    last: date,
) -> SpaceWeek:
    first = opened.today
    rows = opened.files.readings
    mine = rows.loc[rows["space"] == space.id, "time"]
    make_up, _ = opened.bed_day(space)
    to_come = make_up if make_up is not None and first < make_up else None
    return SpaceWeek(
        space=space,
        days=tuple(
            row
            for row in warm.rows
            if row.space == space.id and first <= row.date <= last
        ),
        stands=tuple(_stands(opened, space)),
        trays_free=None if to_come else _trays_free(opened, space, fill),
        make_up=to_come,
        read=None if mine.empty else mine.max().to_pydatetime(),
    )


def _stands(opened: Opened, space: Space) -> Iterable[Stands]:
    assert opened.plan is not None
    by_batch = {one.batch.id: one for one in opened.whole}
    for one in stands_on(
        opened.today,
        today=opened.today,
        raised=opened.whole,
        states=opened.states,
        plan=opened.plan,
        noted=bool(opened.files.daybook),
    ):
        if one.space != space.id:
            continue
        box = one.needs.container
        goes = [
            p.end
            for p in opened.plan.placements
            if p.batch == one.batch and p.space == space.id and p.end > opened.today
        ]
        until = min(goes, default=None)
        yield Stands(
            batch=one.batch,
            crop=one.crop.name,
            variety=by_batch[one.batch].batch.variety,
            stage=one.needs.stage,
            containers=max(1, round(one.area_m2 / box.area_m2(box.capacity))),
            container=box.name,
            since=one.since,
            until=until if until is None or until <= opened.season.end else None,
            planned=one.planned,
        )


def _trays_free(
    opened: Opened, space: Space, fill: Mapping[str, Sequence[float]]
) -> float | None:
    if not space.stands:
        return None
    day = max(0, opened.season.horizon.day(opened.today))
    free = free_m2(space, opened.season)[day]
    if free <= 0.0:
        return None
    return max(0.0, 1.0 - fill[space.id][day]) * free / TRAY_M2


def cold_nights(
    opened: Opened, last: date, *, winters: int, seed: int
) -> tuple[ColdNight, ...]:
    """The air outdoors, night by night: the lowest of the day that follows."""
    season, today = opened.season, opened.today
    start = season.start - timedelta(days=BEFORE_DAYS)
    horizon = Horizon(start, (last - start).days + 2)
    files = opened.files
    outlook = make_outlook(
        season,
        files.weather,
        files.history,
        today=today,
        horizon=horizon,
        winters=winters,
        seed=seed,
    )
    found = []
    for k in range((last - today).days + 1):
        evening = today + timedelta(days=k)
        lows = outlook.tmin_c[:, horizon.day(evening) + 1]
        low, middle, high = (float(x) for x in np.quantile(lows, TENTHS))
        found.append(
            ColdNight(
                evening=evening,
                low_c=low,
                expected_c=middle,
                high_c=high,
                frost=float((lows < 0.0).mean()),
                forecast=outlook.kind[horizon.day(evening) + 1] == "forecast",
            )
        )
    return tuple(found)
