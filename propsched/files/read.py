"""A season folder to values, or every fault of every file at once."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

from pandas import DataFrame

from propsched.domain.batch import Batch, Event, Pin
from propsched.domain.crop_table import CropTable
from propsched.domain.halves import half_names, noted_in_halves
from propsched.domain.repeats import expanded_ids
from propsched.domain.season import Season
from propsched.domain.undone import without_undone
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.batch_rules import (
    Names,
    batch_faults,
    event_faults,
    pin_faults,
    undone_faults,
    with_table_names,
)
from propsched.files.batches import batch_names, read_batches, read_daybook, read_pins
from propsched.files.contents import SeasonFiles
from propsched.files.crop_table import crop_table
from propsched.files.migrate import is_newer
from propsched.files.season_toml import read_season_toml
from propsched.files.series import (
    empty_readings,
    empty_weather,
    read_readings,
    read_weather,
    standing_readings,
)
from propsched.files.source import Faults, Source, read_source

ALL = frozenset({"season", "weather", "batches"})
"""What a plan cannot do without; the other files may be missing."""
NAMES = (
    "season", "weather", "history", "batches", "readings", "crops", "daybook", "pins",
)  # fmt: skip
NO_CROPS = CropTable()


def read_season(
    folder: Path,
    *,
    need: frozenset[str] = ALL,
    only: frozenset[str] = frozenset(NAMES),
) -> SeasonFiles:
    """
    Read and check a season folder.

    Parameters
    ----------
    need : frozenset of str
        Files that must be there and not empty, of :data:`NAMES`; the others are
        read where they are there, and are empty otherwise.
    only : frozenset of str
        Files to look at besides ``season``; faults of others do not matter, and
        without ``crops`` the shipped table stays unread too.

    Raises
    ------
    InvalidInputError
        With every fault of every file.
    """
    if not folder.is_dir():
        what = "is no folder" if folder.exists() else "is not there"
        right = "`propsched new` makes a season folder"
        raise InvalidInputError([InputProblem(str(folder), 0, what, right)])
    return _Reader(folder, need | {"season"}, only | {"season"}).read()


class _Reader:
    """The files of one folder with their faults, while being read."""

    def __init__(
        self, folder: Path, need: frozenset[str], only: frozenset[str]
    ) -> None:
        self.folder = folder
        self.faults = Faults()
        self.notes: list[str] = []
        self.season: Season | None = None
        self.spaces: set[str] = set()
        self.sources = {
            name: read_source(self._path(name), self.faults, needed=name in need)
            if name in only
            else None
            for name in NAMES
            if name != "crops"
        }
        self.need, self.only = need, only

    def _path(self, name: str) -> Path:
        return self.folder / ("season.toml" if name == "season" else f"{name}.csv")

    def read(self) -> SeasonFiles:
        source = self.sources["season"]
        if source:
            self.season, self.spaces = read_season_toml(source, self.faults)
            newer = [fault for fault in self.faults.found if is_newer(fault)]
            if newer:  # the other files may be so too
                raise InvalidInputError(newer)
        own = self._path("crops")
        table = crop_table(own, self.faults) if "crops" in self.only else NO_CROPS
        crops_right = not self._faulty_crops(table)
        weather = self._weather("weather", gaps=False)
        history = self._weather("history", gaps=True)
        batches, names = self._batches(table if crops_right else None)
        readings = self._readings()
        daybook, noted = self._daybook(batches, names)
        pins = self._pins(batches, names, table)
        rows, daybook, pins = noted_in_halves(
            (batch for _, batch in batches), daybook, pins
        )
        self.faults.raise_if_any()
        if self.season is None:  # cannot be: a fault would have been raised
            raise InvalidInputError([InputProblem(str(self.folder), 0, "no season")])
        return SeasonFiles(
            folder=self.folder,
            season=self.season,
            batches=rows,
            weather=weather,
            history=history,
            readings=standing_readings(readings),
            noted_readings=readings,
            daybook=daybook,
            noted=noted,
            pins=pins,
            crops=table,
            digests=self._digests(own, table),
            notes=tuple(self.notes),
        )

    def _faulty_crops(self, table: CropTable) -> bool:
        return not table.crops or self.faults.of(str(self._path("crops")))

    def _digests(self, own: Path, table: CropTable) -> dict[str, str]:
        found = {Path(s.path).name: s.digest for s in self.sources.values() if s}
        return dict(sorted({**found, "crop table": table.digest}.items()))

    @property
    def _zone(self) -> ZoneInfo | None:
        return ZoneInfo(self.season.site.timezone) if self.season else None

    def _weather(self, name: str, *, gaps: bool) -> DataFrame:
        source = self.sources[name]
        if source is None:
            return empty_weather()
        frame, comma = read_weather(source, self.faults, gaps=gaps)
        if comma:
            self.notes.append(f"{name}.csv: read with decimal commas")
        if frame.empty and name in self.need and not self.faults.of(source.path):
            self.faults.add(source.path, 0, "holds no days", "add a row for each day")
        return frame

    def _batches(
        self, table: CropTable | None
    ) -> tuple[list[tuple[int, Batch]], Names]:
        """Return the rows that are right, and every name that the file gives."""
        source = self.sources["batches"]
        if source is None:
            return [], Names(set(), None)
        rows = read_batches(source, self.faults)
        self._add(source, batch_faults(rows, self.season))
        names = {name for _, batch in rows for name in expanded_ids(batch)}
        unread = batch_names(source)
        if unread is not None:
            unread -= {batch.id for _, batch in rows}
        if table is not None:
            rows, unknown = with_table_names(rows, table)
            self._add(source, unknown)
        return rows, Names(names, unread)

    def _readings(self) -> DataFrame:
        source = self.sources["readings"]
        if source is None:
            return empty_readings()
        probes = {p.id for p in self.season.probes} if self.season else None
        frame = read_readings(source, self._zone, self.spaces, probes, self.faults)
        none = frame.empty and not self.faults.of(source.path)
        if none and "readings" in self.need:
            self.faults.add(source.path, 0, "holds no readings", "add some")
        return frame

    def _daybook(
        self, batches: list[tuple[int, Batch]], names: Names
    ) -> tuple[tuple[Event, ...], tuple[Event, ...]]:
        """Return what stands in order of time, and all as the file has it."""
        source = self.sources["daybook"]
        if source is None:
            return (), ()
        rows = read_daybook(source, self._zone, self.faults)
        whole = [batch for _, batch in batches]
        halves = {name for batch in whole for name in half_names(batch)}
        names = replace(names, right=names.right | halves)
        self._add(source, undone_faults(rows))
        noted = tuple(event for _, event in rows)
        book = without_undone(noted)
        # a row that is taken back need not be right
        stands = [rows[i] for i in book.stands]
        self._add(source, event_faults(stands, whole, names, self.spaces))
        for line, event in (rows[i] for i in book.idle):
            what = f"{event.note} is taken back, but is not there"
            self.notes.append(f"daybook.csv:{line}: {what}")
        return tuple(sorted((one for _, one in stands), key=lambda e: e.time)), noted

    def _pins(
        self, batches: list[tuple[int, Batch]], names: Names, table: CropTable
    ) -> tuple[Pin, ...]:
        source = self.sources["pins"]
        if source is None:
            return ()
        rows = read_pins(source, self.faults)
        whole = [batch for _, batch in batches]
        self._add(
            source, pin_faults(rows, whole, names, self.season, self.spaces, table)
        )
        return tuple(pin for _, pin in rows)

    def _add(self, source: Source, rules: Iterable[tuple[int, str, str]]) -> None:
        for line, what, right in rules:
            self.faults.add(source.path, line, what, right)
