"""Tiny worlds for tests; every builder takes overrides."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np

from propsched.domain.batch import Batch
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.quantities import Horizon
from propsched.domain.season import Season, Site
from propsched.domain.space import Space, Variant
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.rootzone import RootZone
from propsched.thermal.simulate import simulate


def make_space(**over: Any) -> Space:
    return Space(**{"id": "border", "kind": "open-ground", "area_m2": 2.0, **over})


def make_site(**over: Any) -> Site:
    return Site(**{"latitude": 53.0, **over})


def make_season(**over: Any) -> Season:
    plain: dict[str, Any] = {
        "name": "invented",
        "start": date(2026, 11, 1),
        "end": date(2027, 5, 31),
        "site": make_site(),
        "spaces": (make_space(),),
    }
    return Season(**{**plain, **over})


def make_batch(**over: Any) -> Batch:
    plain = {"id": "leek", "crop": "leek", "method": "seed", "wanted": 40}
    return Batch(**{**plain, **over})


def make_needs(**over: Any) -> Needs:
    plain: dict[str, Any] = {
        "stage": "start",
        "container": Container(name="tray"),
        "base_c": 2.0,
        "opt_c": 24.0,
        "opt_to_c": 30.0,
        "max_c": 38.0,
        "sum_c_d": 100.0,
    }
    return Needs(**{**plain, **over})


def make_crop(*stages: Needs, **over: Any) -> Crop:
    """A crop of the stages given, or of one that starts."""
    plain: dict[str, Any] = {"name": "carrot", "method": "seed"}
    return Crop(**{**plain, "stages": stages or (make_needs(),), **over})


def make_zone(
    root_c: Any = 15.0,
    air_c: Any = None,
    *,
    spaces: Sequence[Space] | None = None,
    light_mol: Any = 15.0,
    outdoor_c: Any = None,
    first: date = date(2026, 11, 1),
    days: int = 200,
    winters: int = 1,
    kwh: Any = 0.0,
) -> RootZone:
    """
    Temperatures set by hand: numbers, or arrays that broadcast to (V, K, 24 N).

    ``light_mol`` and ``kwh`` to (V, K, N), ``outdoor_c`` to (K, 24 N); without
    them the air is as the root zone and outdoors as the air of the first space.
    """
    spaces = tuple(spaces or (make_space(kind="glasshouse"),))
    hourly = (len(spaces), winters, 24 * days)

    def filled(values: Any, shape: tuple[int, ...]) -> Any:
        return np.broadcast_to(np.asarray(values, np.float32), shape).copy()

    root = filled(root_c, hourly)
    air = root.copy() if air_c is None else filled(air_c, hourly)
    outdoor = air[0] if outdoor_c is None else filled(outdoor_c, hourly[1:])
    return RootZone(
        variants=tuple(Variant(space) for space in spaces),
        horizon=Horizon(first, days),
        winters=tuple(str(2001 + k) for k in range(winters)),
        root_c=root,
        air_c=air,
        light_mol=filled(light_mol, (*hourly[:2], days)),
        kwh=filled(kwh, (*hourly[:2], days)),
        outdoor_c=outdoor,
    )


def sine_days(mean_c: Any, swing_k: float, days: int) -> Any:
    """Hours of days warmest at 15 h, ``swing_k`` above the mean. (…, 24 days)"""
    hour = np.arange(24 * days)
    wave = swing_k * np.cos(2 * np.pi * (hour - 15) / 24)
    means = np.broadcast_to(np.asarray(mean_c, float), (days,))
    return np.repeat(means, 24) + wave


def make_outlook(
    *,
    first: date = date(2026, 8, 1),
    days: int = 300,
    winters: int = 1,
    mean_c: Any = 10.0,
    swing_k: float = 6.0,
    spread_k: float = 0.0,
    **over: Any,
) -> Outlook:
    """
    Smooth weather of 52°N: a yearly wave coldest on 25 January, days 4.5 to 9.5 K wide.

    ``spread_k`` adds weather that lasts some days, different in every winter; ``over``
    replaces fields, scalars standing for whole arrays.
    """
    horizon = Horizon(first, days)
    doy = np.array([d.timetuple().tm_yday for d in horizon], dtype=np.float64)
    mean = mean_c - swing_k * np.cos(2 * np.pi * (doy - 25) / 365)
    rng = np.random.default_rng(1)
    drift = np.zeros((winters, days))
    for i in range(1, days):
        drift[:, i] = 0.8 * drift[:, i - 1] + 0.6 * rng.normal(size=winters)
    mean = mean + spread_k * drift
    half = (7 - 2.5 * np.cos(2 * np.pi * (doy - 10) / 365)) / 2
    nan = np.full((winters, days), np.nan)
    plain: dict[str, Any] = {
        "horizon": horizon,
        "winters": tuple(str(2001 + k) for k in range(winters)),
        "tmin_c": mean - half,
        "tmax_c": mean + half,
        "solar_mj_m2": nan,
        "wind_m_s": nan,
        "snow_cm": nan,
        "kind": ("outlook",) * days,
    }
    for name, value in over.items():
        whole = isinstance(value, (int, float))
        plain[name] = np.full((winters, days), float(value)) if whole else value
    return Outlook(**plain)


def run_spaces(
    *spaces: Space | Variant,
    outlook: Outlook | None = None,
    site: Site | None = None,
    work_day: Any = None,
) -> RootZone:
    """Simulate spaces, by default at 52°N through ``make_outlook``, any day worked."""
    outlook = make_outlook() if outlook is None else outlook
    work = np.ones(outlook.horizon.days, dtype=bool) if work_day is None else work_day
    variants = [s if isinstance(s, Variant) else Variant(s) for s in spaces]
    return simulate(site or make_site(latitude=52.0), variants, outlook, work_day=work)


def by_day(hourly: Any) -> Any:
    """(…, 24 N) to (…, N, 24)."""
    return hourly.reshape(*hourly.shape[:-1], -1, 24)
