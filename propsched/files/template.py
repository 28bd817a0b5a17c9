"""A starter season: a folder that passes every check and explains its keys."""

import json
from contextlib import suppress
from datetime import date, timedelta
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError
from propsched.files.disk import LOCK, PART, refused, replace_file
from propsched.files.write import EVENT_HEADER, READING_HEADER

_SEASON = """\
# One folder is one place and one winter. Lines that start with # say what a key is;
# keys behind a # show what may be given and are off until the # is taken away.
format = 1

[season]
name = {name}
start = {start}          # first day that is planned
end = {end}            # last day, at most 400 days later

[site]
latitude = {latitude:<16} # degrees, north positive
longitude = 0.0             # degrees, east positive
elevation_m = 50
timezone = {timezone:<16} # clock times in the other files are of this zone
soil = "loam"               # sand, loam, clay or peat
# Monthly means of the daily minimum and maximum, January first. These are invented:
# put your own station's here. They make the winters beyond the forecast as long as
# there is no history.csv with past ones.
normals_tmin_c = {low}
normals_tmax_c = {high}

[work]
days = ["sat", "sun"]       # days on which plants are moved
minutes_per_day = 180       # work on such a day
round_minutes = 20          # of which daily watering and venting takes
# away = [{{ from = {away_from}, to = {away_to} }}]   # nobody there, both days included

[heat]
price_per_kwh = 0.25
currency = {currency}
# manure_m3 = 1.5           # manure to be had; without it there is no limit

# [weights]                 # what the plan holds dear; the README lists all of them
# late_per_week = 0.05

# A thermometer; offset_c is added to what it shows.
[[probe]]
id = "kitchen"
offset_c = 0.0
resolution_c = 0.1

# The places. area_m2 is where trays and pots stand: a seed tray takes 0.09 m².
# kind: open-ground, cold-frame, glasshouse, polytunnel, windowsill, heated-bench,
# propagator, warm-cupboard, hotbed, heap, store or check-point (only measured).
[[space]]
id = "border"
kind = "open-ground"
area_m2 = 4.0
depth_cm = 8                # where the roots are and the probe goes
# cover = "leaf-mould"      # none, turf, straw, leaf-mould, compost, mowings, fleece,
# cover_cm = 8              # mat or snow, and how thick

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 1.5
vent = "work-days"          # automatic, daily, work-days or shut
night_mat = true            # a mat over the glass every night
# covers = ["fleece"]       # to lay over single stays: the plan says over which

[[space]]
id = "house"
kind = "glasshouse"
area_m2 = 3.0
vent = "daily"
# reserved = [{{ area_m2 = 1.0, from = {start}, to = {away_to} }}]   # taken by others

[[space]]
id = "bench"
kind = "heated-bench"
inside = "house"            # breathes the air of that space
area_m2 = 0.6
heat = {{ set_c = 18, w_per_m2 = 150 }}   # thermostat; from, to and when may be added;
#                             with when "by-week" the plan says in which weeks it is on

[[space]]
id = "sill"
kind = "windowsill"
area_m2 = 0.3
room_c = 18                 # temperature of the room

# [[space]]
# id = "hotbed"
# kind = "hotbed"
# area_m2 = 1.5
# make_up = {make_up}      # the day it is made up; make_up_from and make_up_to leave
#                             it to the plan
# material = "fresh"        # fresh, strawy, old, leaf-diluted or mowings
"""
BATCH_HEADER = (
    "batch,crop,variety,method,wanted,sown,container,available_from,available_to,"
    "wanted_from,wanted_by,priority,repeat,seed_year,germination_pct,split,note"
)


EMPTY = {
    "readings.csv": ",".join(READING_HEADER) + "\n",
    "daybook.csv": ",".join(EVENT_HEADER) + "\n",
    "pins.csv": "batch,stage,space,start\n",
    "crops.csv": "crop,method,stage,figure,value,basis,source,note\n",
}
"""Files that a season begins with, of which only the header is there."""
LATITUDE = 52.5
_LOW = (1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2)
_HIGH = (7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8)


def write_new_season(
    folder: Path,
    today: date,
    *,
    name: str = "My winter",
    latitude: float | None = None,
    start: date | None = None,
    end: date | None = None,
    timezone: str | None = None,
    currency: str | None = None,
) -> tuple[Path, ...]:
    """
    Make a commented starter folder and return the files written.

    The winter is the one that ends next after ``today``, unless its first and last
    day are given. The weather is of its own days, invented, and says so in every
    row.

    Parameters
    ----------
    latitude : float, optional
        None: somewhere in England, with its clock and currency.
    timezone, currency : str, optional
        None: with a latitude UTC and nothing.

    Raises
    ------
    InvalidInputError
        When one of the files is already there or cannot be written; then none is.
    """
    known = latitude is None
    latitude = LATITUDE if latitude is None else latitude
    usual_start, usual_end = _winter(today, south=latitude < 0)
    texts = _texts(
        today,
        name,
        latitude,
        start or usual_start,
        end or usual_end,
        timezone=timezone or ("Europe/London" if known else "UTC"),
        currency=("£" if known else "") if currency is None else currency,
    )
    return write_all(folder, texts)


def write_all(folder: Path, texts: dict[str, str]) -> tuple[Path, ...]:
    """
    All of the files, or none and no folder that was not there.

    Raises
    ------
    InvalidInputError
        When one of them is there already or cannot be written.
    """
    there = [folder / name for name in texts if (folder / name).exists()]
    if folder.exists() and not folder.is_dir():
        there = [folder]
    if there:
        right = "choose a new folder; nothing was written"
        raise InvalidInputError(
            [InputProblem(str(path), 0, "is already there", right) for path in there]
        )
    if not (folder / ".gitignore").exists():
        texts = {**texts, ".gitignore": f"{LOCK}\n.*{PART}\n"}
    new = [one for one in (folder, *folder.parents) if not one.exists()]
    paths = tuple(folder / file for file in texts)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in paths:
            replace_file(path, texts[path.name].encode())
    except OSError as error:
        with suppress(OSError):
            for path in paths:
                path.unlink(missing_ok=True)
            for one in new:
                one.rmdir()
        raise refused(Path(error.filename or folder), error) from error
    return paths


def _winter(today: date, *, south: bool) -> tuple[date, date]:
    """Return November to May, south of the equator May to November."""
    if south:
        year = today.year + (today.month == 12)
        return date(year, 5, 1), date(year, 11, 30)
    first = today.year if today.month >= 6 else today.year - 1
    return date(first, 11, 1), date(first + 1, 5, 31)


def _texts(
    today: date,
    name: str,
    latitude: float,
    start: date,
    end: date,
    *,
    timezone: str,
    currency: str,
) -> dict[str, str]:
    turn = 6 if latitude < 0 else 0
    season = _SEASON.format(
        name=_quoted(name),
        timezone=_quoted(timezone),
        currency=_quoted(currency),
        latitude=latitude,
        start=start,
        end=end,
        low=[*_LOW[turn:], *_LOW[:turn]],
        high=[*_HIGH[turn:], *_HIGH[:turn]],
        away_from=start + timedelta(days=51),
        away_to=start + timedelta(days=62),
        make_up=start + timedelta(days=92),
    )
    return {
        "season.toml": season,
        "batches.csv": _batches(start, end),
        "weather.csv": invented_week(today, start, end),
        **EMPTY,
    }


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "")


def _batches(start: date, end: date) -> str:
    def day(after: int) -> date:
        return min(start + timedelta(days=after), end)

    note = "example: delete or change"
    rows = (
        f"currants,blackcurrant,,hardwood,20,,,{day(9)},{day(106)},,,3,,,,no,{note}",
        f"leeks,leek,,seed,100,,,{day(101)},{day(150)},,{end},3,,,,no,{note}",
        f"salad,lettuce,,seed,12,,module-tray,{day(80)},,,{day(155)},2,"
        f"every 14 days × 3,,85,no,{note}",
    )
    return "\n".join((BATCH_HEADER, *rows)) + "\n"


def invented_week(today: date, start: date, end: date) -> str:
    """
    Return a week up to today that nobody measured.

    Of a season that is yet to come, or over, its first week, as a forecast.
    """
    note = "invented: put measured days here"
    inside = start <= today <= end
    first = today - timedelta(days=6) if inside else start
    kind = "observed" if inside else "forecast"
    rows = [
        f"{first + timedelta(days=i)},{low},{low + 6},{kind},{note}"
        for i, low in enumerate((3.0, 4.5, 5.0, 2.0, 0.5, 1.0, 3.5))
    ]
    return "\n".join(("date,tmin_c,tmax_c,kind,note", *rows)) + "\n"
