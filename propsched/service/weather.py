"""Weather from elsewhere into ``weather.csv`` or ``history.csv``."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

from propsched.domain.season import Season
from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.files.pasted import PastedTold, read_pasted
from propsched.files.read import read_season
from propsched.files.station import read_station
from propsched.files.station_days import StationDays, Values
from propsched.files.weather_merge import Merged, merge_days
from propsched.service.noted import NoteAnswer, latest_moment, only_season

BEFORE_DAYS = 92
"""So long before the season the ground remembers."""
FORECAST_DAYS = 16
"""Farther ahead nobody can tell a day's weather; past winters say as much."""
SHOWN = 5
"""So many odd lines or days are named, the others counted."""
FILLED_DAYS = 3
"""So long a gap in the history is filled on the straight line between its ends."""
BREAK_DAYS = 60
"""A longer break parts two winters, see ``files.series``."""


def weather_there(folder: Path) -> NoteAnswer:
    """Say what weather a season has."""
    files = read_season(
        folder, need=frozenset(), only=frozenset({"weather", "history"})
    )
    lines = []
    for name, frame in (("weather.csv", files.weather), ("history.csv", files.history)):
        if frame.empty:
            lines.append(f"{name}: no days")
            continue
        span = f"{frame['date'].iloc[0]:%Y-%m-%d} to {frame['date'].iloc[-1]:%Y-%m-%d}"
        ahead = int((frame["kind"] == "forecast").sum())
        told = f", {ahead} of them a forecast" if ahead else ""
        lines.append(f"{name}: {len(frame)} days, {span}{told}")
    return NoteAnswer(lines=tuple(lines), notes=files.notes)


def import_weather(
    folder: Path,
    file: Path,
    *,
    layout: str = "",
    station: str = "",
    history: bool = False,
    replace: bool = False,
    today: date | None = None,
) -> NoteAnswer:
    """
    Take the measured days of a station's file.

    Parameters
    ----------
    history : bool
        Into ``history.csv`` the days before the season; else into ``weather.csv``
        those of the season and the three months before it, up to today.
    replace : bool
        Whether days that were observed otherwise are overwritten.

    Raises
    ------
    InvalidInputError
        When nothing can be taken; then the files are as they were.
    """
    season = only_season(folder)
    found = read_station(file, layout=layout, station=station)
    latest = latest_moment(season, today).date()
    first, last = _window(season, latest, history=history)
    days = {d: v for d, v in sorted(found.days.items()) if first <= d <= last}
    name = "history.csv" if history else "weather.csv"
    if not days:
        raise _none_in(file, found, first, last, history=history)
    notes = list(_left_out(found, days, first, last, history=history))
    note = f"from {file.name}"
    if history:
        days, filled = _without_gaps(days)
        notes += filled
    done = merge_days(
        folder / name, days, kind="observed", note=note, replace=replace, gaps=history
    )
    lines = [f"{file.name}: {found.layout}"]
    if found.units:
        lines.append(f"Converted: {', '.join(found.units)}.")
    lines += _counted(name, days, done)
    return NoteAnswer(lines=tuple(lines), notes=(*notes, *_kept(done, replace)))


def take_forecast(
    folder: Path,
    text: str,
    told: PastedTold,
    *,
    source: str = "standard input",
    today: date | None = None,
) -> NoteAnswer:
    """
    Take a pasted forecast; what was observed stays.

    Raises
    ------
    InvalidInputError
        When nothing can be taken; then the file is as it was.
    """
    season = only_season(folder)
    now = latest_moment(season, today).date()
    found, how = read_pasted(text, source, told, today=now)
    first, last = season.start - timedelta(BEFORE_DAYS), now + timedelta(FORECAST_DAYS)
    days = {d: v for d, v in sorted(found.days.items()) if first <= d <= last}
    for when in sorted(set(found.days) - set(days)):
        found.odd.append((0, f"{when} is no day that a forecast of today can tell"))
    if not days:
        reasons = "; ".join(what for _, what in found.odd[:SHOWN])
        raise PropschedError(f"{source}: no day can be taken – {reasons}")
    done = merge_days(folder / "weather.csv", days, kind="forecast", note="")
    lines = (f"{source}: {how}.", *_counted("weather.csv", days, done))
    return NoteAnswer(lines=lines, notes=(*_odd(found.odd), *_kept(done, False)))


def _window(season: Season, latest: date, *, history: bool) -> tuple[date, date]:
    if history:
        return date(1800, 1, 1), season.start - timedelta(1)
    return season.start - timedelta(BEFORE_DAYS), min(latest, season.end)


def _none_in(
    file: Path, found: StationDays, first: date, last: date, *, history: bool
) -> InvalidInputError:
    days = sorted(found.days)
    span = f"its days are {days[0]} to {days[-1]}"
    what = f"has no day of {first} to {last} ({span})"
    right = "the days before the season are for --history" if not history else ""
    return InvalidInputError([InputProblem(str(file), 0, what, right)])


def _left_out(
    found: StationDays,
    days: Mapping[date, Values],
    first: date,
    last: date,
    *,
    history: bool,
) -> Sequence[str]:
    notes = list(_odd(found.odd))
    before = sum(when < first for when in found.days)
    after = sum(when > last for when in found.days)
    if before:
        notes.append(f"{_days(before)} before {first} left out: --history takes them")
    if after and history:
        notes.append(f"{_days(after)} from {last + timedelta(1)} on left out: they are"
                     " for weather.csv (without --history)")  # fmt: skip
    elif after:
        notes.append(f"{_days(after)} after {last} left out")
    return notes


def _without_gaps(days: Mapping[date, Values]) -> tuple[dict[date, Values], list[str]]:
    """The days with short gaps filled, and long ones made as long as a break."""
    filled: list[date] = []
    dropped = 0
    kept: dict[date, Values] = {}
    last: date | None = None
    for when in sorted(days):
        gap = (when - last).days - 1 if last else 0
        if last and 0 < gap <= FILLED_DAYS:
            for step in range(1, gap + 1):
                between = last + timedelta(step)
                share = step / (gap + 1)
                kept[between] = {
                    name: round(
                        (1 - share) * kept[last][name] + share * days[when][name], 2
                    )
                    for name in ("tmin_c", "tmax_c")
                }
                filled.append(between)
        elif gap and gap < BREAK_DAYS:
            dropped += 1
            continue  # until the break is as long as that between two winters
        kept[when] = days[when]
        last = when
    notes = []
    if filled:
        named = ", ".join(map(str, filled[:SHOWN])) + (" …" if filled[SHOWN:] else "")
        notes.append(f"{_days(len(filled))} missing in it filled on the straight line"
                     f" between their neighbours: {named}")  # fmt: skip
    if dropped:
        notes.append(f"{_days(dropped)} after gaps of more than {FILLED_DAYS} days left"
                     " out: a winter with a hole is of no use")  # fmt: skip
    return kept, notes


def _counted(name: str, days: Mapping[date, Values], done: Merged) -> list[str]:
    parts = [
        f"{_days(len(found))} {word}"
        for found, word in (
            (done.added, "added"),
            (done.replaced, "replaced"),
            (done.completed, "completed"),
            (done.same, "there already"),
            (done.kept, "left as they were"),
        )
        if found
    ]
    span = f"{min(days)} to {max(days)}"
    return [f"{name}: {', '.join(parts)}; {span}."]


def _kept(done: Merged, replace: bool) -> Sequence[str]:
    if not done.kept:
        return ()
    shown = "; ".join(f"{when}: {how}" for when, how in done.kept[:SHOWN])
    more = f"; and {len(done.kept) - SHOWN} more" if len(done.kept) > SHOWN else ""
    forecast = all(how == "observed already" for _, how in done.kept)
    right = "" if replace or forecast else " (--replace takes the new ones)"
    return (f"left as they were – {shown}{more}{right}",)


def _odd(odd: Sequence[tuple[int, str]]) -> Sequence[str]:
    if not odd:
        return ()
    shown = "; ".join(
        f"line {line}: {what}" if line else what for line, what in odd[:SHOWN]
    )
    more = f"; and {len(odd) - SHOWN:,} more" if len(odd) > SHOWN else ""
    return (f"not taken – {shown}{more}",)


def _days(many: int) -> str:
    return "1 day" if many == 1 else f"{many:,} days"
