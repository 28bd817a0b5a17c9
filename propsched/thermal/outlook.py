"""What the weather may do: observed, then forecast, then as in past winters."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon
from propsched.domain.season import Season, Site
from propsched.errors import InputProblem, InvalidInputError
from propsched.thermal.generator import generate
from propsched.thermal.habit import can_fit, fit_habit, imitate
from propsched.thermal.join import join
from propsched.thermal.outlook_types import DayKind, Outlook

LEAST_WINTERS = 20
"""Fewer past winters than this are made up to the number asked for."""
LEAST_FITTED = 3
"""With so many whole past winters, generated ones take the habit of their days."""
SHORT_GAP_D = 3
"""Days without a value that are filled by a straight line between neighbours."""
LEAST_MONTH_DAYS = 28
"""Past days a month must have for its mean to serve as a normal."""

_COLUMNS = ("tmin_c", "tmax_c", "solar_mj_m2", "wind_m_s", "snow_cm")
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Pasts:
    """Past winters laid over the horizon."""

    labels: tuple[str, ...]
    values: Floats
    """(columns, K, N), columns as in ``_COLUMNS``."""


def make_outlook(
    season: Season,
    weather: pd.DataFrame,
    history: pd.DataFrame,
    *,
    today: date,
    horizon: Horizon,
    winters: int,
    seed: int,
) -> Outlook:
    """
    Daily weather of several winters over the horizon.

    Observed days, with a row in ``weather`` or, up to today, in ``history``, are the
    same in every winter; forecast days differ by the error of forecasts.  All others,
    before, between and after, follow one past winter's same calendar days, or, where
    too few past winters are known, a winter generated from the site's monthly normals,
    with the habit of the record's days where there are ``LEAST_FITTED`` past winters.
    Past winters take up the weather of the last known day, which is forgotten in two
    weeks; see ``propsched.thermal.join``.

    Parameters
    ----------
    season : Season
        Names the years of the winters and gives the normals.
    weather, history : DataFrame
        Columns date, tmin_c, tmax_c, and where known solar_mj_m2, wind_m_s,
        snow_cm, kind.  ``history`` may be empty.
    today : date
        Rows after it are forecast, however they are marked; rows up to it are
        observed unless marked forecast.  Nothing after it counts as past.
    horizon : Horizon
        Days wanted; may begin before and end after all rows and the season.
    winters : int
        Greatest number of winters, at least 1.
    seed : int
        Of generated winters.

    Returns
    -------
    Outlook
        K is ``winters``, or the number of whole past winters where that is smaller
        but at least ``LEAST_WINTERS``.

    Raises
    ------
    InvalidInputError
        If winters are missing and there is nothing to generate them from.
    """
    if winters < 1:
        raise ValueError(f"{winters} winters asked for, at least 1 needed")
    given = _on_days(weather, horizon.first, horizon.days)
    known = _on_days(_until(history, today), horizon.first, horizon.days)
    given = np.where(np.isfinite(given[:2]).all(axis=0), given, known)
    open_days: Bools = np.isnan(given[0] + given[1])
    given[:, open_days] = np.nan
    kind = _kinds(weather, open_days, today, horizon)

    record = _record(weather, history, today)
    pasts = _past_winters(record, season, horizon, open_days, winters)
    missing = winters - len(pasts.labels)
    if len(pasts.labels) < min(winters, LEAST_WINTERS):
        made = _made_winters(season, record, len(pasts.labels), horizon, missing, seed)
        pasts = _Pasts(
            pasts.labels + made.labels, np.concatenate([pasts.values, made.values], 1)
        )
    values = np.where(open_days, pasts.values, given[:, None, :])
    tmin_c, tmax_c = join(given[:2], pasts.values[:2], kind, horizon.day(today))
    return Outlook(
        horizon=horizon,
        winters=pasts.labels,
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        solar_mj_m2=values[2],
        wind_m_s=values[3],
        snow_cm=values[4],
        kind=kind,
    )


def _on_days(rows: pd.DataFrame, first: date, days: int) -> Floats:
    """Values of every day, NaN where there is no row; (columns, days)."""
    out = np.full((len(_COLUMNS), days), np.nan)
    if rows.empty:
        return out
    day = _days(rows) - np.datetime64(first, "D").astype(np.int64)
    inside = (day >= 0) & (day < days)
    for i, name in enumerate(_COLUMNS):
        if name in rows.columns:
            column = rows[name].to_numpy(dtype=np.float64, na_value=np.nan)
            out[i, day[inside]] = column[inside]
    return out


def _until(rows: pd.DataFrame, today: date) -> pd.DataFrame:
    return rows if rows.empty else rows[rows["date"] <= pd.Timestamp(today)]


def _days(rows: pd.DataFrame) -> NDArray[np.int64]:
    """Days since 1970 of every row."""
    stamps = rows["date"].to_numpy(dtype="datetime64[D]")
    days: NDArray[np.int64] = stamps.astype(np.int64)
    return days


def _kinds(
    weather: pd.DataFrame, open_days: Bools, today: date, horizon: Horizon
) -> tuple[DayKind, ...]:
    marked: set[int] = set()
    if "kind" in weather.columns and not weather.empty:
        first = int(np.datetime64(horizon.first, "D").astype(np.int64))
        forecast = (weather["kind"] == "forecast").to_numpy(dtype=bool)
        marked = {int(day) - first for day in _days(weather)[forecast]}
    now = horizon.day(today)
    kinds: list[DayKind] = []
    for day, is_open in enumerate(open_days):
        if is_open:
            kinds.append("outlook")
        else:
            kinds.append("forecast" if day > now or day in marked else "observed")
    return tuple(kinds)


def _record(weather: pd.DataFrame, history: pd.DataFrame, today: date) -> pd.DataFrame:
    """All past days without a break, indexed by day; this season's own among them."""
    seen = weather
    if "kind" in weather.columns:
        seen = weather[weather["kind"] != "forecast"]
    seen = _until(seen, today)
    # every part gets every column, or pandas would guess types of absent ones
    parts = [
        part.reindex(columns=["date", *_COLUMNS]).astype(dict.fromkeys(_COLUMNS, float))
        for part in (_until(history, today), seen)
        if not part.empty
    ]
    if not parts:
        return pd.DataFrame(columns=list(_COLUMNS), dtype=np.float64)
    table = pd.concat(parts)
    table = table.drop_duplicates("date", keep="last").set_index("date").sort_index()
    table = table.asfreq("D")
    core = ["tmin_c", "tmax_c"]
    table[core] = table[core].mask(table[core].isna().any(axis=1))
    missing = table["tmin_c"].isna()
    run = missing.groupby((missing != missing.shift()).cumsum()).transform("sum")
    filled = table[core].interpolate(limit_area="inside")
    table[core] = table[core].where(run > SHORT_GAP_D, filled)
    return table


def _past_winters(
    record: pd.DataFrame,
    season: Season,
    horizon: Horizon,
    open_days: Bools,
    most: int,
) -> _Pasts:
    """The latest past winters that know every day asked for, oldest first."""
    labels: list[str] = []
    values: list[Floats] = []
    if not record.empty:
        rows = record.reset_index()
        oldest = record.index[0].year
        for back in range(1, horizon.first.year - oldest + 1):
            if len(labels) == most:
                break
            laid = _laid_over(rows, horizon, back)
            if np.isfinite(laid[:2, open_days]).all():
                labels.append(_label(season, back))
                values.append(laid)
    shape = (len(_COLUMNS), 0, horizon.days)
    stack = np.stack(values[::-1], axis=1) if values else np.empty(shape)
    return _Pasts(tuple(labels[::-1]), stack)


def _laid_over(rows: pd.DataFrame, horizon: Horizon, back: int) -> Floats:
    """Days of the record ``back`` years earlier, on the horizon's calendar days."""
    first = _years_back(horizon.first, back)
    span = (_years_back(horizon.date(horizon.days - 1), back) - first).days + 1
    there = _on_days(rows, first, max(span, 1))
    where = [(_years_back(day, back) - first).days for day in horizon]
    return there[:, where]


def _years_back(day: date, years: int) -> date:
    """Same calendar day; 29 February becomes the 28th in a common year."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def _label(season: Season, back: int) -> str:
    first, last = season.start.year - back, season.end.year - back
    return f"{first}" if first == last else f"{first}/{last % 100:02d}"


def _made_winters(
    season: Season,
    record: pd.DataFrame,
    known: int,
    horizon: Horizon,
    count: int,
    seed: int,
) -> _Pasts:
    """Winters from the generator."""
    low, high = _normals(season.site, record, known)
    if any(a >= b for a, b in zip(low, high, strict=True)):
        raise InvalidInputError([InputProblem(
            "season.toml", 0,
            "site: a month of normals_tmin_c is not below that of normals_tmax_c",
            "every mean minimum lies below the mean maximum of its month",
        )])  # fmt: skip
    asked = (low, high, horizon.first, horizon.days)
    if known >= LEAST_FITTED and can_fit(record):
        habit = fit_habit(record)
        tmin_c, tmax_c = imitate(habit, *asked, winters=count, seed=seed)
    else:
        tmin_c, tmax_c = generate(*asked, winters=count, seed=seed)
    unknown = np.full((len(_COLUMNS) - 2, *tmin_c.shape), np.nan)
    values = np.concatenate([tmin_c[None], tmax_c[None], unknown])
    return _Pasts(tuple(f"generated {k + 1}" for k in range(count)), values)


def _normals(
    site: Site, record: pd.DataFrame, known: int
) -> tuple[Sequence[float], Sequence[float]]:
    """The site's monthly normals, else the means of its past days."""
    if site.normals_tmin_c is not None and site.normals_tmax_c is not None:
        return site.normals_tmin_c, site.normals_tmax_c
    past = record[["tmin_c", "tmax_c"]].dropna()
    month = pd.DatetimeIndex(past.index).month
    if all((month == m).sum() >= LEAST_MONTH_DAYS for m in range(1, 13)):
        means = past.groupby(month).mean()
        return tuple(means["tmin_c"]), tuple(means["tmax_c"])
    have = f"{known} whole past winter{'' if known == 1 else 's'}"
    raise InvalidInputError([InputProblem(
        "season.toml", 0,
        f"nothing to make an outlook from: no monthly normals and {have}",
        "add normals_tmin_c and normals_tmax_c (twelve monthly means each, January "
        f"first) under [site], or at least {LEAST_WINTERS} past winters of daily "
        "values in history.csv",
    )])  # fmt: skip


__all__ = ["LEAST_WINTERS", "make_outlook"]
