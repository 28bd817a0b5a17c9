"""A new season folder, small enough to plan at once and to be overwritten."""

from datetime import date
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError

_SEASON = """\
# A season: one place, one winter. Change what is not yours; the README names every
# key. "propsched check" says what is wrong, with the line.
format = 1

[season]
name = {name}
start = {start}
end = {end}

[site]
latitude = {latitude}
timezone = "UTC"
soil = "loam"
# Monthly means of the daily minimum and maximum, January first. These are invented:
# put in those of the nearest weather station.
normals_tmin_c = [{tmin}]
normals_tmax_c = [{tmax}]

[work]
days = ["sat", "sun"]
minutes_per_day = 120

[heat]
price_per_kwh = 0.30
currency = "£"

[[space]]
id = "windowsill"
kind = "windowsill"
area_m2 = 0.4
depth_cm = 5
room_c = 17

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 1.5
depth_cm = 5

[[space]]
id = "bed"
kind = "open-ground"
area_m2 = 4.0
depth_cm = 15
"""
_NORTH_TMIN = (1.6, 1.5, 2.6, 4.0, 6.6, 9.4, 11.4, 11.2, 9.2, 6.6, 3.7, 1.9)
_NORTH_TMAX = (7.4, 8.0, 10.1, 12.7, 15.8, 18.4, 20.2, 19.8, 17.4, 13.8, 10.0, 7.7)
"""Invented, for a mild site by the sea."""

_TABLES = {
    "batches.csv": (
        "batch,crop,variety,method,wanted,container,available_from,available_to,"
        "wanted_by,priority,note\n"
        "leek,leek,,seed,60,tray,,,,3,an example: overwrite it\n"
        "blackcurrant,blackcurrant,,hardwood,20,row,,,,3,an example: overwrite it\n"
    ),
    "weather.csv": "date,tmin_c,tmax_c\n",
    "readings.csv": "time,space,depth_cm,temp_c,probe,note\n",
    "daybook.csv": "time,batch,event,space,count,note\n",
}


def usual_season(today: date, *, south: bool) -> tuple[date, date]:
    """First and last day of the winter that ``today`` lies in or comes before."""
    if south:
        year = today.year if today.month < 12 else today.year + 1
        return date(year, 5, 1), date(year, 11, 30)
    year = today.year if today.month > 5 else today.year - 1
    return date(year, 11, 1), date(year + 1, 5, 31)


def begin_season(
    folder: Path, *, name: str, start: date, end: date, latitude: float
) -> tuple[Path, ...]:
    """
    Write the files of a new season; the folder may exist.

    Raises
    ------
    InvalidInputError
        If any of the files is there already; then nothing is written.
    """
    tmin, tmax = (_NORTH_TMIN, _NORTH_TMAX)
    if latitude < 0:
        tmin, tmax = (t[6:] + t[:6] for t in (tmin, tmax))
    texts = {
        "season.toml": _SEASON.format(
            name=_quoted(name),
            start=start.isoformat(),
            end=end.isoformat(),
            latitude=latitude,
            tmin=", ".join(map(str, tmin)),
            tmax=", ".join(map(str, tmax)),
        ),
        **_TABLES,
    }
    there = [folder / file for file in texts if (folder / file).exists()]
    if there:
        raise InvalidInputError(
            [
                InputProblem(str(p), 0, "is there already", "choose another folder")
                for p in there
            ]
        )
    folder.mkdir(parents=True, exist_ok=True)
    for file, text in texts.items():
        with (folder / file).open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    return tuple(folder / file for file in texts)


def _quoted(text: str) -> str:
    """A TOML basic string."""
    safe = "".join(c if c.isprintable() else " " for c in text)
    return '"' + safe.replace("\\", "\\\\").replace('"', '\\"') + '"'
