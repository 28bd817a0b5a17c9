"""A season looked over: what was understood, what is worth a note."""

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

import pandas as pd

from propsched.advice.oddities import oddities
from propsched.biology.seed_age import life_years
from propsched.domain.batch import Batch
from propsched.domain.container import TRAY_M2
from propsched.domain.repeats import expand
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.contents import SeasonFiles
from propsched.files.crop_table import shipped_table
from propsched.files.migrate import is_newer
from propsched.files.repair import Repair, look_over
from propsched.service.answers import CheckAnswer
from propsched.service.left_open import doubts, left_to_the_plan
from propsched.service.loaded import WEATHER_ONLY, Loaded, load
from propsched.service.overridden import overridden
from propsched.service.raised import germination, raised

OLD_FORECAST_DAYS = 3


def check(folder: Path, *, today: date | None = None) -> CheckAnswer:
    """
    Read a season and say what was understood.

    Raises
    ------
    InvalidInputError
        With every fault of every file.
    """
    seen = look_over(folder) if folder.is_dir() else Repair()
    try:
        loaded = load(folder, today, WEATHER_ONLY)
    except InvalidInputError as error:
        raise InvalidInputError(_with_remains(error.problems, seen)) from None
    files, season = loaded.files, loaded.season
    standing = [space for space in season.spaces if space.stands]
    area = sum(space.area_m2 for space in standing)
    batches = expand(files.batches)
    lines = [
        f"{season.name}: {season.start} to {season.end}, {season.horizon.days} days",
        f"{len(season.spaces)} spaces, {area:.2f} m² to stand on "
        f"({area / TRAY_M2:.0f} seed trays)",
        f"{len(batches)} batches, {sum(b.wanted for b in batches)} plants wanted",
        _weather_line(files.weather),
        f"{len(files.history)} days of past winters"
        if len(files.history)
        else "no past winters: they will be generated from the monthly normals",
        f"{len(files.readings)} readings, {len(files.daybook)} daybook rows, "
        f"{len(files.pins)} pins{_taken_back(files)}",
    ]
    lines += left_to_the_plan(season, files.batches, loaded.today)
    if (folder / "crops.csv").is_file():
        lines += _of_the_season(files)
    return CheckAnswer(
        lines=tuple(lines),
        notes=(
            *(str(mend.problem()) for mend in (*seen.mends, *seen.left)),
            *files.notes,
            *forecast_notes(files.weather, loaded.today),
            *_daybook_notes(loaded, batches),
            *doubts(season, files.batches),
            *_old_seed(files, files.batches),
        ),
    )


def _with_remains(
    faults: Iterable[InputProblem], seen: Repair
) -> tuple[InputProblem, ...]:
    """The faults, and what can be mended in place of what follows from it."""
    kept = tuple(faults)
    if any(is_newer(fault) for fault in kept):
        return kept
    remains = [mend.problem() for mend in (*seen.mends, *seen.left)]
    places = {(fault.path, fault.line) for fault in remains}
    return (*(f for f in kept if (f.path, f.line) not in places), *remains)


def _of_the_season(files: SeasonFiles) -> Iterator[str]:
    """What the season's own crops.csv makes of the shipped table."""
    mine = tuple(overridden(files.crops, shipped_table()))
    rows = sum(not one.figure for one in mine)
    figures = len(mine) - rows
    yield (
        f"crops.csv: {rows} {'row' if rows == 1 else 'rows'} of the season's own,"
        f" {figures} {'figure' if figures == 1 else 'figures'} of the crop table"
        " overridden"
    )
    for one in mine:
        yield f"crops.csv: {one.told()}"


def _daybook_notes(loaded: Loaded, batches: Iterable[Batch]) -> tuple[str, ...]:
    files = loaded.files
    whole = [raised(one, files.crops.get(one.crop, one.method)) for one in batches]
    return oddities(
        files.daybook,
        files.season,
        {one.batch.id: one.crop for one in whole},
        today=loaded.today,
        sown={one.batch.id: one.sown for one in whole},
        wanted={one.batch.id: one.batch.wanted for one in whole},
    )


def _old_seed(files: SeasonFiles, batches: Iterable[Batch]) -> Iterator[str]:
    """What the age of seed makes of the number to sow."""
    for one in batches:
        if one.seed_year is None:
            continue
        crop = files.crops.get(one.crop, one.method)
        if crop.method != "seed":
            yield f"{one.id}: seed_year has no effect, as it is not raised from seed"
        elif not (one.available_from or one.wanted_from or one.wanted_by):
            yield f"{one.id}: seed_year has no effect without a date to count to"
        else:
            years, known = life_years(crop.latin)
            yield (
                f"{one.id}: seed of {one.seed_year} is taken to be"
                f" {germination(one, crop):.0%} alive (keeps about {years:g}"
                f" {'year' if years == 1 else 'years'},"
                f" {'published' if known else 'common practice'}):"
                f" {raised(one, crop).sown} to sow"
            )


def _taken_back(files: SeasonFiles) -> str:
    """How many rows of daybook and readings do not count any more."""
    rows = sum(one.event == "undone" for one in files.noted)
    rows += (len(files.noted_readings) - len(files.readings)) // 2
    return f"; {rows} taken back" if rows else ""


def _weather_line(weather: pd.DataFrame) -> str:
    if weather.empty:
        return "no weather yet"
    first, last = weather["date"].iloc[0], weather["date"].iloc[-1]
    return f"{len(weather)} days of weather, {first:%Y-%m-%d} to {last:%Y-%m-%d}"


def forecast_notes(weather: pd.DataFrame, today: date) -> tuple[str, ...]:
    """How old the weather is, where that matters."""
    if weather.empty:
        return ("weather.csv has no rows: every day is an outlook",)
    marked = weather["kind"] == "forecast"
    past = weather["date"] <= pd.Timestamp(today)
    stale = weather[marked & past]
    notes = []
    if len(stale) > OLD_FORECAST_DAYS:
        first = stale["date"].iloc[0]
        notes.append(
            f"{len(stale)} days up to today are still a forecast, the oldest of "
            f"{first:%Y-%m-%d}: replace them by what was measured"
        )
    last = weather["date"].iloc[-1]
    behind = (pd.Timestamp(today) - last).days
    if behind > 0:
        notes.append(
            f"the weather ends on {last:%Y-%m-%d}, {behind} "
            f"{'day' if behind == 1 else 'days'} before today; days since are taken "
            "from past winters"
        )
    return tuple(notes)
