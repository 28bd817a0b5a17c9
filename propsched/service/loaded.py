"""A season's files and the day they are looked at; nothing heavy is loaded."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from propsched.advice.state import beds_made_up
from propsched.domain.season import Season
from propsched.files.contents import SeasonFiles
from propsched.files.read import read_season

if TYPE_CHECKING:
    from propsched.thermal.snap import Spell

PLANNING = frozenset({"season", "weather", "batches"})
WEATHER_ONLY = frozenset({"season", "weather"})


@dataclass(frozen=True, slots=True)
class Loaded:
    """A season's files and the day they are looked at."""

    files: SeasonFiles
    today: date
    cold: "tuple[Spell, ...]" = ()
    """Cold that is supposed, on days to come."""
    clock: date | None = None
    """Day by the clock, where that lies outside the season and ``today`` inside."""

    @property
    def season(self) -> Season:
        return self.files.season

    @property
    def outside(self) -> str:
        """A sentence if the day looked at, or the clock, lies outside the season."""
        day = self.clock or self.today
        shown = "" if self.clock is None else f"; shown is {self.today}"
        if day < self.season.start:
            return f"the season begins on {self.season.start}{shown}"
        if day > self.season.end:
            return f"{season_over(self.season)}{shown}"
        return ""


def season_over(season: Season) -> str:
    """That a season is over, and what would be right."""
    return f"the season ended on {season.end} – begin the next one with: propsched new"


def load(folder: Path, today: date | None, need: frozenset[str] = PLANNING) -> Loaded:
    """
    Read a season.

    Parameters
    ----------
    today : date, optional
        None takes the clock at the site, held inside the season.
    """
    files = read_season(folder, need=need)
    clock = None
    if today is None:
        now = datetime.now(UTC).astimezone(ZoneInfo(files.season.site.timezone)).date()
        today = min(max(now, files.season.start), files.season.end)
        clock = None if now == today else now
    season = as_made_up(files.season, beds_made_up(files.daybook, today=today))
    return Loaded(replace(files, season=season), today, clock=clock)


def as_made_up(season: Season, beds: Mapping[str, date]) -> Season:
    """The season with its beds made up on the days the daybook says."""
    spaces = tuple(
        replace(
            space,
            make_up=beds[space.id],
            make_up_days=(),
            make_up_from=None,
            make_up_to=None,
        )
        if space.id in beds
        else space
        for space in season.spaces
    )
    return replace(season, spaces=spaces)


def only(loaded: Loaded, spaces: Collection[str]) -> Loaded:
    """The season with these spaces alone, and those that they stand inside."""
    by_id = {space.id: space for space in loaded.season.spaces}
    wanted = set(spaces)
    for name in spaces:
        outer = by_id[name].inside
        while outer is not None and outer not in wanted:
            wanted.add(outer)
            outer = by_id[outer].inside
    kept = tuple(space for space in loaded.season.spaces if space.id in wanted)
    files = replace(loaded.files, season=replace(loaded.season, spaces=kept))
    return replace(loaded, files=files)
