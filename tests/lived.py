"""A season lived through: invented weather, sowings, days of emergence."""

from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
from folders import write_folder

from propsched.service.climate import Warmth, warmth
from propsched.service.loaded import load
from propsched.thermal.generator import generate

START, END = date(2027, 1, 1), date(2027, 5, 31)
LOW_C = (1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2)
HIGH_C = (7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8)
SEASON = f"""\
format = 1

[season]
name = "lived (invented)"
start = {START}
end = {END}

[site]
latitude = 52.0
normals_tmin_c = {list(LOW_C)}
normals_tmax_c = {list(HIGH_C)}

[work]
days = ["sat", "sun"]

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 20
depth_cm = 2

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 20

[[space]]
id = "house"
kind = "glasshouse"
area_m2 = 20
"""
HEAD = "batch,crop,method,wanted,sown\n"


def write_season(folder: Path, *, winter: int) -> Path:
    """The season with all its weather observed, one winter of the site's habit."""
    days = (END - START).days + 1
    tmin, tmax = generate(LOW_C, HIGH_C, START, days, winters=1, seed=1000 + winter)
    rows = ["date,tmin_c,tmax_c"]
    for n in range(days):
        day = START + timedelta(days=n)
        rows.append(f"{day},{tmin[0, n]:.1f},{tmax[0, n]:.1f}")
    return write_folder(
        folder,
        season_toml=SEASON,
        weather_csv="\n".join(rows) + "\n",
        batches_csv=HEAD,
        history_csv=None,
        readings_csv=None,
        daybook_csv=None,
        pins_csv=None,
        crops_csv=None,
    )


def true_warmth(folder: Path) -> Warmth:
    """All hours of the season as they were; with no reading they are the model's."""
    return warmth(load(folder, END), winters=1, seed=0)


def day_through(
    warm: Warmth,
    space: str,
    sown: date,
    *,
    base_c: float,
    opt_c: float,
    heat_sum: float,
) -> date | None:
    """
    First day before which the hours above the base, up to the optimum, make the sum.

    Written out without the project's own response: for what never gets warmer than
    its optimum.
    """
    hours = np.asarray(warm.zone.root_c[warm.zone.of(space), 0], np.float64)
    first = warm.horizon.day(sown)
    daily = np.clip(hours, base_c, opt_c).reshape(-1, 24).mean(axis=1) - base_c
    made = np.concatenate([[0.0], np.cumsum(daily[first:])])
    found = np.flatnonzero(made >= heat_sum)
    return None if not found.size else sown + timedelta(days=int(found[0]))


def add_lived(folder: Path, rows: list[tuple[str, str, str, date, date]]) -> None:
    """Batches sown and come: name, crop, space, day sown, day come."""
    batches = [HEAD.strip()]
    book: list[tuple[datetime, str]] = []
    for name, crop, space, sown, come in rows:
        batches.append(f"{name},{crop},seed,40,50")
        for day, event in ((sown, "sown"), (come, "emerged")):
            when = datetime(day.year, day.month, day.day, 9)
            book.append((when, f"{when:%Y-%m-%d %H:%M},{name},{event},{space},,"))
    text = "\n".join(row for _, row in sorted(book))
    (folder / "batches.csv").write_text("\n".join(batches) + "\n", encoding="utf-8")
    (folder / "daybook.csv").write_text(
        f"time,batch,event,space,count,note\n{text}\n", encoding="utf-8"
    )


__all__ = [
    "END", "START", "add_lived", "day_through", "true_warmth",
    "write_season",
]  # fmt: skip
