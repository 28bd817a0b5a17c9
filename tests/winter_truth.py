"""What really happens in the garden: its weather, its warmth, how far each batch is."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from winter_garden import END, HIGH_C, LOW_C, SNAP, SNAP_DAYS, SNAP_K, START

from propsched.advice.state import BatchState
from propsched.biology.chilling import chilled_by
from propsched.biology.climate import Climate
from propsched.biology.moved import made_along
from propsched.domain.crop import DORMANT, Crop, Needs
from propsched.service.climate import warmth
from propsched.service.ground import Ground
from propsched.service.opened import open_season
from propsched.service.underway import stays_of
from propsched.thermal.generator import generate

SLOWER = 1.1
"""Everything needs so much of the heat sums of the crop table."""
WARMER_C = {"frame": 1.0}
"""By which a space is warmer than the model has it. [K]"""
DAYS = (END - START).days + 8


class Truth:
    """The winter as it comes; it looks up what was done, and knows all weather."""

    def __init__(self, folder: Path, aside: Path, seed: int) -> None:
        self.folder, self.aside = folder, aside
        low, high = generate(LOW_C, HIGH_C, START, DAYS, winters=1, seed=5000 + seed)
        self.tmin_c, self.tmax_c = low[0].round(1), high[0].round(1)
        at = (SNAP - START).days
        for row in (self.tmin_c, self.tmax_c):
            row[at : at + SNAP_DAYS] = (row[at : at + SNAP_DAYS] - SNAP_K).round(1)
        self._key: object = None
        self._ground: Ground | None = None
        self._root_c: NDArray[np.float32] | None = None

    def air(self, day: date) -> tuple[float, float]:
        at = (day - START).days
        return float(self.tmin_c[at]), float(self.tmax_c[at])

    def root_c(self, space: str, day: date, hour: int) -> float:
        """Root zone of a space at a clock hour of winter time. [°C]"""
        ground = self.ground()
        assert self._root_c is not None
        at = ground.offset + ground.season.horizon.day(day)
        variant = ground.variant_on(space, at)
        return float(self._root_c[variant, 0, 24 * at + hour])

    def coldest_c(self, space: str, day: date) -> float:
        """Coldest hour of a day among the plants. [°C]"""
        ground = self.ground()
        at = ground.offset + ground.season.horizon.day(day)
        air_c = ground.zone.air_c[ground.variant_on(space, at), 0]
        return float(air_c[24 * at : 24 * at + 24].min())

    def day_through(self, crop: Crop, state: BatchState) -> date | None:
        """Day on which its present stage is really over; None if not in this season."""
        needs = _slower(crop.stages[state.stage_index])
        ground = self.ground()
        assert ground.climate is not None
        climate = ground.climate
        stays = stays_of(state, ground)
        if not stays:
            return None
        first = ground.offset + ground.season.horizon.day(state.since)
        if needs.stage in DORMANT:
            end = int(chilled_by(climate, needs, first + 1)[stays[-1][0], 0, first])
        elif needs.sum_c_d > 0:
            made = made_along(climate, needs, stays)[0]
            reached = np.flatnonzero(made >= 1 - 1e-6)
            end = int(reached[0]) if reached.size else climate.days + 1
        else:
            end = first
        end = max(end, first + max(1, int(np.ceil(needs.days))))
        if end > climate.days:
            return None
        return ground.season.horizon.date(end - ground.offset)

    def ground(self) -> Ground:
        """Simulated anew when the season or the state of a space has changed."""
        season, book = self.folder / "season.toml", self.folder / "daybook.csv"
        text = book.read_text(encoding="utf-8") if book.exists() else ""
        of_spaces = [row for row in text.splitlines() if row.split(",")[1:2] == [""]]
        key = (season.read_bytes(), tuple(of_spaces))
        if key != self._key:
            self._key = key
            self._make(self.folder)
        assert self._ground is not None
        return self._ground

    def _make(self, folder: Path) -> None:
        self.aside.mkdir(exist_ok=True)
        rows = ["date,tmin_c,tmax_c"]
        for n in range(DAYS):
            day = START + timedelta(days=n)
            rows.append(f"{day},{self.tmin_c[n]:.1f},{self.tmax_c[n]:.1f}")
        for name in ("season.toml", "batches.csv", "daybook.csv"):
            if (folder / name).exists():
                (self.aside / name).write_bytes((folder / name).read_bytes())
        (self.aside / "weather.csv").write_text("\n".join(rows) + "\n")
        loaded = open_season(self.aside, today=END + timedelta(days=7)).loaded
        warm = warmth(loaded, winters=1, seed=0, until=END + timedelta(days=7))
        root_c = warm.zone.root_c.copy()
        for v, variant in enumerate(warm.zone.variants):
            root_c[v] += WARMER_C.get(variant.space.id, 0.0)
        self._root_c = root_c
        zone = replace(warm.zone, root_c=root_c)
        self._ground = Ground(
            season=loaded.season,
            zone=zone,
            offset=warm.horizon.day(loaded.season.start),
            today=END + timedelta(days=7),
            climate=Climate(zone),
            states=warm.states,
        )


def _slower(needs: Needs) -> Needs:
    return replace(needs, sum_c_d=needs.sum_c_d * SLOWER)
