"""A season as it lies before its grower: files, plan in force, where all stands."""

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from propsched.advice.state import (
    BatchState,
    beds_made_up,
    covers_noted,
    heat_noted,
    standing,
)
from propsched.domain.crop import Crop
from propsched.domain.plan import Plan
from propsched.domain.repeats import expand
from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.errors import PropschedError
from propsched.files.contents import SeasonFiles
from propsched.files.write import read_plan
from propsched.service.loaded import PLANNING, Loaded, load
from propsched.service.raised import Raised, raised


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """All that the files tell, without simulating or planning anything."""

    loaded: Loaded
    plan: Plan | None
    """The plan in force; None: none yet, or plan.json is of another season."""
    whole: tuple[Raised, ...]
    """Every batch with its crop row, repeats written out."""
    states: dict[str, BatchState]
    """Where every batch that was begun stands, by batch."""
    beds: dict[str, date]
    """Day each hotbed or heap was last made up, by the daybook."""
    heated: dict[str, bool]
    """Whether heat is on, of spaces of which the daybook tells."""
    stray: str = ""
    """A sentence if plan.json is of another season."""

    @property
    def folder(self) -> Path:
        return self.loaded.files.folder

    @property
    def files(self) -> SeasonFiles:
        return self.loaded.files

    @property
    def season(self) -> Season:
        return self.loaded.season

    @property
    def today(self) -> date:
        return self.loaded.today

    @property
    def crops(self) -> dict[str, Crop]:
        """By batch, with the batch's own container."""
        return {one.batch.id: one.crop for one in self.whole}

    @property
    def sown(self) -> dict[str, int]:
        """Seeds, cuttings or pieces to start, by batch."""
        return {one.batch.id: one.sown for one in self.whole}

    @property
    def covered(self) -> dict[str, tuple[bool, date]]:
        """Whether a space is covered and since when, where the daybook tells."""
        return covers_noted(self.files.daybook, today=self.today)

    @property
    def outside(self) -> str:
        """A sentence if the day looked at, or the clock, lies outside the season."""
        return self.loaded.outside

    def bed_day(self, space: Space) -> tuple[date | None, bool]:
        """
        Day on which a hotbed or heap is made up, and whether the daybook says it was.

        By the daybook, else by the plan in force, else as its row has it; None: it is
        no bed, or nothing says when.  Before that day it has no room.
        """
        made = self.beds.get(space.id)
        if made is not None:
            return made, True
        beds = () if self.plan is None else self.plan.hotbeds
        planned = next((bed.make_up for bed in beds if bed.space == space.id), None)
        return planned or space.make_up, False

    def in_force(self) -> Plan:
        """
        The plan in force.

        Raises
        ------
        PropschedError
            If there is none, or plan.json is of another season.
        """
        if self.plan is None:
            raise PropschedError(
                self.stray
                or f"{self.folder}: no plan yet – make one with: propsched plan "
                f"{self.folder}"
            )
        return self.plan

    @property
    def changed(self) -> tuple[str, ...]:
        """Files that changed since the plan in force was made; readings aside."""
        if self.plan is None:
            return ()
        was, now = self.plan.inputs, self.files.digests
        names = {*now, *was} - {"readings.csv"}
        return tuple(sorted(n for n in names if was.get(n) != now.get(n)))


def open_season(
    folder: Path, *, today: date | None = None, need: frozenset[str] = PLANNING
) -> Opened:
    """
    Read a season and the plan in force.

    Raises
    ------
    InvalidInputError
        With every fault of its files.
    """
    loaded = load(folder, today, need)
    whole = tuple(
        raised(batch, loaded.files.crops.get(batch.crop, batch.method))
        for batch in expand(loaded.files.batches)
    )
    book = loaded.files.daybook
    plan, stray = plan_of(loaded.files)
    return Opened(
        loaded=loaded,
        plan=plan,
        stray=stray,
        whole=whole,
        states=standing(
            book,
            loaded.season,
            {one.batch.id: one.crop for one in whole},
            today=loaded.today,
            sown={one.batch.id: one.sown for one in whole},
            wanted={one.batch.id: one.batch.wanted for one in whole},
        ),
        beds=beds_made_up(book, today=loaded.today),
        heated=heat_noted(book, today=loaded.today),
    )


def plan_of(files: SeasonFiles) -> tuple[Plan | None, str]:
    """
    The plan in force of a season as read.

    A folder copied from another season brings its plan.json along.  It is taken for
    one of another season if none of its days lies in this one, or if it has another
    name and most of its batches are not in the list.

    Returns
    -------
    plan, and a sentence; the plan is None where there is none, or where it is of
    another season, of which the sentence tells.

    Raises
    ------
    InvalidInputError
        When ``plan.json`` cannot be read.
    """
    plan, season = read_plan(files.folder), files.season
    if plan is None:
        return None, ""
    first = min([plan.today, *(p.start for p in plan.placements)])
    day = timedelta(days=1)
    last = max([plan.today, *(p.end - day for p in plan.placements)])
    batches = {p.batch for p in plan.placements}
    known = batches & {batch.id for batch in expand(files.batches)}
    other = plan.season != season.name and 2 * len(known) < len(batches)
    if not other and first <= season.end and last >= season.start:
        return plan, ""
    return None, (
        f"{files.folder / 'plan.json'}: is of another season ({plan.season}, {first} "
        f"to {last}) and counts for nothing – plan this one with: propsched plan "
        f"{files.folder}"
    )


def fill_of(plan: Plan, season: Season) -> dict[str, tuple[float, ...]]:
    """
    Share of each space's free area that the plan has in use, by day of the season.

    Days on which nothing is free have NaN. More than 1: what stands there already
    takes more room than there is.
    """
    days = season.horizon.days
    used = {space.id: [0.0] * days for space in season.spaces if space.stands}
    for one in plan.placements:
        if one.space in used:
            first, end = season.horizon.day(one.start), season.horizon.day(one.end)
            for day in range(max(0, first), min(days, end)):
                used[one.space][day] += one.area_m2
    found = {}
    for space in season.spaces:
        if space.stands:
            free = free_m2(space, season)
            found[space.id] = tuple(
                area / room if room > 0 else float("nan")
                for area, room in zip(used[space.id], free, strict=True)
            )
    return found


def free_m2(space: Space, season: Season) -> list[float]:
    """Area that is not taken by something else, by day. [m²]"""
    free = [space.area_m2] * season.horizon.days
    for taken in space.reserved:
        first, last = season.horizon.day(taken.start), season.horizon.day(taken.end)
        for day in range(max(0, first), min(len(free), last + 1)):
            free[day] = max(0.0, free[day] - taken.area_m2)
    return free
