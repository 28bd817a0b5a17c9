"""A season from the one before: places, stock, crops, weather and what stands."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from propsched.advice.state import BatchState
from propsched.domain.batch import Event
from propsched.domain.season import Season
from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.files.batches import BATCH_COLUMNS
from propsched.files.cells import CellError, day
from propsched.files.crop_table import OWN_COLUMNS
from propsched.files.disk import replace_file
from propsched.files.edits import Edit, added, edited, filled
from propsched.files.spans import Layout, Record, laid_out
from propsched.files.station_days import Values
from propsched.files.template import EMPTY, invented_week, write_all
from propsched.files.toml_dates import moved_dates, toml_dates, years_on
from propsched.files.weather_merge import merge_days
from propsched.files.write import append_events
from propsched.service.lookback import look_back_on
from propsched.service.looked_back import CropRow
from propsched.service.opened import Opened, open_season

DATES = ("available_from", "available_to", "wanted_from", "wanted_by")
KEY = ("crop", "method", "stage", "figure")
TOLD = ("value", "basis", "source", "note")
SERIES = ("tmin_c", "tmax_c", "solar_mj_m2", "wind_m_s", "rain_mm", "snow_cm")


@dataclass(frozen=True, slots=True)
class Begun:
    """A new season folder and what there is to say of it."""

    paths: tuple[Path, ...]
    lines: tuple[str, ...]


def begin_from(
    last: Path,
    folder: Path,
    *,
    today: date,
    name: str | None = None,
    start: date | None = None,
    end: date | None = None,
    learnt: bool = False,
) -> Begun:
    """
    Make a season folder from that of an earlier season, which stays as it is.

    Places, probes, work and weights keep every byte but their dates, which go on by
    whole years; so do the dates of batches.  What stands over goes on as it stands,
    with its rows of the daybook.  Observed days become history.  Pins and readings
    stay behind: they belong to days that are over.

    Parameters
    ----------
    today : date
        The new season is the first that ends on this day or later.
    start, end : date, optional
        Of the new season; None: those of the last one, moved on.
    learnt : bool
        Put the rows that ``lookback`` suggests into crops.csv.

    Raises
    ------
    InvalidInputError
        With every fault of the last season, or if files are there already.
    PropschedError
        If the days given are not right.
    """
    _refuse_what_is_there(folder)
    opened = open_season(last, today=_last_day(last))
    old = opened.season
    years = _years(old, start, today)
    first, until = start or years_on(old.start, years), end or years_on(old.end, years)
    if first <= old.start:
        raise PropschedError(
            f"the new season would begin on {first}, the last one began on {old.start}"
        )
    if until <= first:
        raise PropschedError(f"its last day {until} is not after its first, {first}")
    stands = {n: s for n, s in opened.states.items() if s.standing and s.space}
    over = _standing_over(opened, stands)
    rows = look_back_on(opened).crop_rows if learnt or opened.files.daybook else ()
    toml = moved_dates(_text(last / "season.toml"), years, start=first, end=until)
    paths = write_all(
        folder,
        {
            "season.toml": toml if name is None else _named(toml, name),
            "batches.csv": _batches(last, years, over),
            "weather.csv": invented_week(today, first, until),
            **EMPTY,
            "crops.csv": _crops(last, rows if learnt else ()),
        },
    )
    carried = tuple(_carried(opened, over))
    if carried:
        append_events(folder, lambda: carried)
    lines = [
        *_said_dates(opened, first, until, years),
        *_history(last, folder, opened),
        *_said_standing(stands, over),
        *_said_crops(rows, learnt=learnt),
        *_said_left(opened),
        "weather.csv holds an invented week: put this season's days in its place",
    ]
    past = folder / "history.csv"
    return Begun((*paths, past) if past.exists() else paths, tuple(lines))


def _refuse_what_is_there(folder: Path) -> None:
    """Files of a season that a new one does not begin with, but would be read in it."""
    there = [folder / n for n in ("history.csv", "plan.json") if (folder / n).exists()]
    right = "choose a new folder; nothing was written"
    problems = [InputProblem(str(path), 0, "is already there", right) for path in there]
    if problems:
        raise InvalidInputError(problems)


def _last_day(last: Path) -> date:
    """Of the last season: its end, or its last noted day if that is later."""
    opened = open_season(last, today=date(2200, 1, 1))
    noted = [event.time.date() for event in opened.files.daybook]
    return max([opened.season.end, *noted])


def _years(old: Season, start: date | None, today: date) -> int:
    if start is not None:
        return max(1, start.year - old.start.year)
    years = 1
    while years_on(old.end, years) < today:
        years += 1
    return years


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8-sig") if path.exists() else ""


def _named(toml: str, name: str) -> str:
    """The season's name replaced, wherever in its table it stands."""
    said = json.dumps(name, ensure_ascii=False).replace("\x7f", "")
    line = re.compile(r'(?m)^(\s*name\s*=\s*)("[^"\n]*"|\'[^\'\n]*\')')
    head = toml.find("[season]")
    match = line.search(toml, max(head, 0))
    if match is None:
        return toml
    return toml[: match.start(2)] + said + toml[match.end(2) :]


@dataclass(frozen=True, slots=True)
class _Over:
    """A batch that stands over into the new season."""

    state: BatchState
    row: str
    """The row of batches.csv that it comes from."""
    name: str
    """What it is called from now on."""
    own_row: bool
    """Whether that row is its own, and not that of several sowings."""


def _standing_over(
    opened: Opened, stands: Mapping[str, BatchState]
) -> dict[str, _Over]:
    """What stands and may stand over, by its name so far."""
    crops, found = opened.crops, {}
    rows = {batch.id for batch in opened.files.batches}
    for name, state in stands.items():
        if crops[name].stands_over:
            own = name in rows
            row = name if own else name.rpartition("-")[0]
            new = name if own else f"{name} of {opened.season.start.year}"
            found[name] = _Over(state, row, new, own)
    return found


def _batches(last: Path, years: int, over: Mapping[str, _Over]) -> str:
    """All rows with their dates moved on; those that stand over only as wanted."""
    text = _text(last / "batches.csv")
    layout = laid_out(text, BATCH_COLUMNS)
    if layout is None:
        return "batch,crop,method,wanted\n"
    own = {one.row for one in over.values() if one.own_row}
    edits: list[Edit] = []
    for row in layout.rows:
        name = layout.cell(row, "batch")
        columns = DATES[2:] if name in own else DATES
        edits += filled(layout, row, dict(_moved(layout, row, columns, years)))
    text = edited(text, edits)
    shared = [one for one in over.values() if not one.own_row]
    for one in shared:
        text = _with_own_row(text, one)
    return text


def _moved(
    layout: Layout, row: Record, columns: Sequence[str], years: int
) -> Iterator[tuple[str, str]]:
    for column in columns:
        said = layout.cell(row, column)
        try:
            yield column, str(years_on(day(said), years))
        except (CellError, ValueError):
            continue  # blank


def _with_own_row(text: str, one: _Over) -> str:
    """One sowing that stands over gets a row of its own, without dates."""
    layout = laid_out(text, BATCH_COLUMNS)
    assert layout is not None
    row = next(r for r in layout.rows if layout.cell(r, "batch") == one.row)
    heads = [h for h in layout.header.cells if h not in (*DATES, "repeat", "split")]
    cells = {head: layout.cell(row, head) for head in heads} | {"batch": one.name}
    return edited(text, added(layout, cells))


def _carried(opened: Opened, over: Mapping[str, _Over]) -> Iterator[Event]:
    """The rows of the daybook that say where what stands over stands."""
    for event in opened.files.daybook:
        if event.batch in over:
            yield replace(event, batch=over[event.batch].name)


def _crops(last: Path, rows: Sequence[CropRow]) -> str:
    """The grower's rows; those learnt take the place of the same figure's."""
    text = _text(last / "crops.csv") or EMPTY["crops.csv"]
    for row in rows:
        layout = laid_out(text, OWN_COLUMNS)
        if layout is None:
            return text
        key = {name: str(getattr(row, name)) for name in KEY}
        told = {name: str(getattr(row, name)) for name in TOLD}
        line = next(
            (
                r
                for r in layout.rows
                if all(layout.cell(r, k) == v for k, v in key.items())
            ),
            None,
        )
        if line is None:
            text = edited(text, added(layout, key | told))
        else:
            text = edited(text, filled(layout, line, told))
    return text


def _history(last: Path, folder: Path, opened: Opened) -> Iterator[str]:
    """Past winters with the last one after them."""
    old = last / "history.csv"
    if old.exists():
        replace_file(folder / "history.csv", old.read_bytes())
    weather = opened.files.weather
    seen = weather[weather["kind"] != "forecast"]
    days: dict[date, Values] = {}
    for row in seen.to_dict("records"):
        values = {name: float(row[name]) for name in SERIES if row[name] == row[name]}
        days[row["date"].date()] = values
    if not days:
        return
    note = f"from {opened.season.name or last.name}"
    try:
        done = merge_days(
            folder / "history.csv", days, kind="observed", note=note, gaps=True
        )
    except InvalidInputError as error:
        yield (
            f"the days of {last / 'weather.csv'} could not go into history.csv "
            f"({error.problems[0].what}): put them in by hand"
        )
    else:
        yield f"history.csv: {len(done.added)} observed days of the last season added"


def _said_dates(opened: Opened, first: date, until: date, years: int) -> Iterator[str]:
    dates = toml_dates(_text(opened.folder / "season.toml"))
    more = [one.key for one in dates if one.table != "season"]
    named = ", ".join(dict.fromkeys(more))
    moved = f", {len(more)} more dates in season.toml ({named})" if more else ""
    by = "a year" if years == 1 else f"{years} years"
    yield f"the season is {first} to {until}{moved} and those of batches are {by} on"


def _said_standing(
    stands: Mapping[str, BatchState], over: Mapping[str, _Over]
) -> Iterator[str]:
    if over:
        named = ", ".join(f"{one.name} in {one.state.space}" for one in over.values())
        yield (
            f"still standing, with their rows of the daybook: {named}; for new ones "
            "beside them add rows to batches.csv"
        )
    rest = [f"{n} in {s.space}" for n, s in stands.items() if n not in over]
    if rest:
        yield (
            f"left behind, though by the daybook it still stands: {', '.join(rest)} – "
            "what is there yet, note it in the new season"
        )


def _said_crops(rows: Sequence[CropRow], *, learnt: bool) -> Iterator[str]:
    if not rows:
        return
    crops = ", ".join(dict.fromkeys(row.crop for row in rows))
    number = "1 figure" if len(rows) == 1 else f"{len(rows)} figures"
    if learnt:
        yield f"crops.csv: {number} learnt from the last season ({crops})"
    else:
        yield (
            f"the last season suggests {number} of {crops}: see propsched lookback, or "
            "begin anew with --learnt"
        )


def _said_left(opened: Opened) -> Iterator[str]:
    pins = len(opened.files.pins)
    if pins:
        yield f"{pins} pin{'' if pins == 1 else 's'} left behind: decide anew"
    old = [b.id for b in opened.files.batches if b.seed_year is not None]
    if old:
        yield (
            f"seed a year older: {', '.join(old)} – propsched check says what it is "
            "taken for; put in seed_year where you buy new"
        )
