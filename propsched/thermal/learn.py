"""
What readings tell of the figures of a place.

References
----------
.. [1] A. Tarantola, "Inverse Problem Theory and Methods for Model Parameter
   Estimation", SIAM 2005, section 3.2: least squares with Gaussian priors.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import timedelta
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from pandas import DataFrame, Timedelta, Timestamp

from propsched.domain.quantities import Horizon
from propsched.domain.season import Site
from propsched.domain.space import SpaceKind, Variant
from propsched.thermal.correction import Residuals, residuals, seen_covariance
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.places import make_place, reports_air
from propsched.thermal.simulate import simulate
from propsched.thermal.spread import ERRORS, ModelError
from propsched.thermal.tuning import PRIORS, Tuning, concerning

T = TypeVar("T")
Floats = NDArray[np.float64]

LEAST_DAYS = 6
"""Days with readings below which they move the offset alone; judgement."""
BEFORE_D = 45
"""Days run before the first reading, so that the start is forgotten; judgement."""
MOST_SD = 2.0
"""No figure is moved further than this, in sd of its prior; judgement."""
STEPS = (0.25, 0.5, 1.0)
"""Shares of the linear answer that are tried."""


@dataclass(frozen=True, slots=True)
class _Pupil:
    """A space with readings enough, and the figures they may move."""

    variant: Variant
    read: DataFrame
    names: tuple[str, ...]
    error: ModelError


def learn(
    site: Site,
    variants: Sequence[Variant],
    outlook: Outlook,
    readings: DataFrame,
    *,
    today: int,
    work_day: NDArray[np.bool_],
    errors: Mapping[SpaceKind, ModelError] = ERRORS,
) -> dict[str, Tuning]:
    """
    Figures under which the model meets the readings, within what is known of them.

    Parameters
    ----------
    site, variants, outlook, work_day
        As for ``simulate``.
    readings : DataFrame
        time, space, depth_cm, temp_c (probe's offset added), sd_c; none after today.
    today : int
        Index of today in the horizon.
    errors : mapping
        What the model leaves unexplained, by kind of space.

    Returns
    -------
    dict
        By space id; spaces with readings on fewer than ``LEAST_DAYS`` days are not in
        it.

    Notes
    -----
    The days up to today are run with every figure one standard deviation up and one
    down; the slopes give the most likely set for a straight-line model, [1]_ eq. 3.37,
    errors of the model from day to day being as persistent as they are; their constant
    part is left out, since it is the figures that are to explain it.
    That set, a half and a quarter of it are then run, and the likeliest is kept, or
    the defaults.  A space inside another is tried in the air of the outer one's
    defaults.

    References
    ----------
    .. [1] A. Tarantola, "Inverse Problem Theory", SIAM 2005.
    """
    now = min(today, outlook.horizon.days - 1)
    readings = _on_known_days(readings, outlook)
    pupils = _pupils(site, variants, readings, errors)
    if not pupils or now < 0:
        return {}
    seen = readings[readings["space"].isin([p.variant.space.id for p in pupils])]
    first = _first_day(outlook.horizon, variants, seen)
    past = _cut(outlook, first, now + 1)
    work = work_day[first : now + 1]

    def run(tries: Sequence[Sequence[Tuning]]) -> list[list[Residuals]]:
        given = [Tuning()] * len(variants)
        more = [p.variant for p, of in zip(pupils, tries, strict=True) for _ in of]
        zone = simulate(
            site,
            [*variants, *more],
            past,
            work_day=work,
            tunings=[*given, *(t for of in tries for t in of)],
        )
        rows = iter(zone.root_c[len(variants) :])
        return [
            [
                residuals(p.read, next(rows), past.horizon, p.variant.space.depth_cm)
                for _ in of
            ]
            for p, of in zip(pupils, tries, strict=True)
        ]

    moves = [_slopes_at(p.names) for p in pupils]
    first_runs = run(
        [[_tuning(p.names, z) for z in m] for p, m in _paired(pupils, moves)]
    )
    best = [_linear(p, got) for p, got in zip(pupils, first_runs, strict=True)]
    steps = [[share * z for share in STEPS] for z in best]
    then = run([[_tuning(p.names, z) for z in s] for p, s in _paired(pupils, steps)])
    out = {}
    for p, start, tried, got in zip(pupils, first_runs, steps, then, strict=True):
        options = [(np.zeros(len(p.names)), start[0]), *zip(tried, got, strict=True)]
        z = min(options, key=lambda one: _misfit(p, *one))[0]
        out[p.variant.space.id] = _tuning(p.names, z)
    return out


def _on_known_days(readings: DataFrame, outlook: Outlook) -> DataFrame:
    """Those of days whose weather is known: the same in every winter."""
    if readings.empty:
        return readings
    known = np.flatnonzero(np.ptp(outlook.tmin_c + outlook.tmax_c, axis=0) == 0)
    first = Timestamp(outlook.horizon.first)
    day = (readings["time"] - first) // Timedelta(days=1)
    return readings[day.isin(known)]


def _paired(pupils: Sequence[_Pupil], things: Sequence[T]) -> list[tuple[_Pupil, T]]:
    return list(zip(pupils, things, strict=True))


def _pupils(
    site: Site,
    variants: Sequence[Variant],
    readings: DataFrame,
    errors: Mapping[SpaceKind, ModelError],
) -> list[_Pupil]:
    spaces = {}
    for variant in reversed(variants):
        spaces[variant.space.id] = variant.space
    firsts: dict[str, Variant] = {}
    for variant in variants:
        firsts.setdefault(variant.space.id, variant)
    out = []
    for name, own in readings.groupby("space", sort=False):
        if name not in firsts or reports_air(firsts[str(name)].space):
            continue
        variant = firsts[str(name)]
        made = variant.space.make_up
        if made is not None:
            own = own[own["time"].dt.date >= made]
        if own["time"].dt.normalize().nunique() >= LEAST_DAYS:
            figures = concerning(make_place(variant.space, spaces, site))
            error = errors[variant.space.kind].passing
            out.append(_Pupil(variant, own, tuple(sorted(figures)), error))
    return out


def _first_day(
    horizon: Horizon, variants: Sequence[Variant], readings: DataFrame
) -> int:
    """A bed made up earlier has to be lived through from its first day."""
    starts = [readings["time"].min().date() - timedelta(days=BEFORE_D)]
    starts += [v.space.make_up for v in variants if v.space.make_up is not None]
    return max(0, horizon.day(min(starts)))


def _cut(outlook: Outlook, start: int, end: int) -> Outlook:
    """Some days of the first winter."""
    days = slice(start, end)
    return replace(
        outlook,
        horizon=Horizon(outlook.horizon.date(start), end - start),
        winters=outlook.winters[:1],
        kind=outlook.kind[days],
        **{
            f.name: getattr(outlook, f.name)[:1, days]
            for f in fields(outlook)
            if f.name not in ("horizon", "winters", "kind")
        },
    )


def _tuning(names: Sequence[str], z: Floats) -> Tuning:
    """Figures moved by so many sd of their priors."""
    moved: Mapping[str, float] = {
        name: PRIORS[name].sd * float(by) for name, by in zip(names, z, strict=True)
    }
    return Tuning(
        **{n: x if n.endswith("_k") else float(np.exp(x)) for n, x in moved.items()}
    )


def _slopes_at(names: Sequence[str]) -> list[Floats]:
    """The defaults, then every figure up, then every figure down."""
    one = np.eye(len(names))
    return [np.zeros(len(names)), *one, *-one]


def _linear(pupil: _Pupil, runs: Sequence[Residuals]) -> Floats:
    """The most likely figures, in sd of their priors, were the model straight."""
    count = len(pupil.names)
    gaps = np.array([run.gap_c for run in runs])
    slope = (gaps[count + 1 :] - gaps[1 : count + 1]).T / 2
    noise = seen_covariance(runs[0], pupil.error)
    weighed = np.linalg.solve(noise, np.column_stack([slope, gaps[0]]))
    normal = slope.T @ weighed[:, :-1] + np.eye(count)
    z = np.linalg.solve(normal, slope.T @ weighed[:, -1])
    return np.asarray(np.clip(z, -MOST_SD, MOST_SD))


def _misfit(pupil: _Pupil, z: Floats, seen: Residuals) -> float:
    """Twice the negative logarithm of prior times likelihood, less a constant."""
    noise = seen_covariance(seen, pupil.error)
    return float(seen.gap_c @ np.linalg.solve(noise, seen.gap_c) + z @ z)
