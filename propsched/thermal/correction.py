"""
Readings correct the model: the error it was seen to make, carried on and forgotten.

References
----------
.. [1] C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning",
   MIT Press 2006, eqs. 2.25 and 2.26; for a first-order autoregression the same
   numbers as the Kalman filter with the smoother of Rauch, Tung and Striebel.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from pandas import DataFrame, DatetimeIndex, Timestamp

from propsched.domain.quantities import Horizon
from propsched.domain.space import SpaceKind
from propsched.thermal.probe import DEPTH_SD_C
from propsched.thermal.rootzone import RootZone, followed
from propsched.thermal.spread import ERRORS, ModelError

Floats = NDArray[np.float64]

SWING_SD = 0.35
"""
Error of the modelled departure of an hour from its day's mean, as a share of it.

Judgement: conductivity of the ground is known within 30 %.
"""
OTHER_DEPTH_C_PER_CM = 0.15
"""Error of a reading for each centimetre off the rooting depth; judgement."""
LEAST_SD_C = 0.01
FACTOR_SD = 0.3
"""How well the size of the model's error is known beforehand, in log; judgement."""
FACTORS = np.geomspace(0.4, 6.0, 28)
"""Sizes that are tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Residuals:
    """Reading less model on the days with readings; all (n,)."""

    days: NDArray[np.int64]
    """Index in the horizon, rising."""
    gap_c: Floats
    """Reading less model. [K]"""
    own_sd_c: Floats
    """Error of the day's readings that is new every day. [K]"""
    common_sd_c: Floats
    """Error that all readings share: what is left of the probe's. [K]"""
    read_c: Floats
    """The day's mean as the readings have it: model and gap. [°C]"""

    def __len__(self) -> int:
        return int(self.days.size)

    def between(self, first: int, end: int) -> "Residuals":
        """Those from a day on, ``end`` excluded."""
        keep = (self.days >= first) & (self.days < end)
        return Residuals(
            days=self.days[keep],
            gap_c=self.gap_c[keep],
            own_sd_c=self.own_sd_c[keep],
            common_sd_c=self.common_sd_c[keep],
            read_c=self.read_c[keep],
        )


NOTHING_READ = Residuals(
    days=np.empty(0, np.int64),
    gap_c=np.empty(0),
    own_sd_c=np.empty(0),
    common_sd_c=np.empty(0),
    read_c=np.empty(0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """Truth less model on every day, as far as readings tell; both (N,)."""

    mean_c: Floats
    """To be added to the model. [K]"""
    sd_c: Floats
    """What stays unknown. [K]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """What readings say of one variant."""

    seen: Residuals
    offset: Offset


def residuals(
    read: DataFrame, root_c: NDArray[np.float32], horizon: Horizon, depth_cm: float
) -> Residuals:
    """
    Readings of one space against its modelled hours, one number a day.

    Parameters
    ----------
    read : DataFrame
        time, depth_cm, temp_c (probe's offset added), sd_c; of one space.
    root_c : ndarray
        Modelled root zone, shape (K, 24 N), hour h at its end. [°C]
    horizon : Horizon
        Its days; readings outside are left out.
    depth_cm : float
        Depth the model is for. [cm]

    Notes
    -----
    A reading tells of its hour; the day's mean is the model's with the same gap. So
    a reading far from the day's mean in the model is trusted less, unless others of
    the day lie on the other side.
    """
    if read.empty:
        return NOTHING_READ
    time = DatetimeIndex(read["time"])
    day = (time.normalize() - Timestamp(horizon.first)).days.to_numpy()
    inside = (day >= 0) & (day < horizon.days)
    day, hour = day[inside], time.hour.to_numpy()[inside]
    temp, sd, depth = (
        read[name].to_numpy(np.float64)[inside]
        for name in ("temp_c", "sd_c", "depth_cm")
    )
    winters = root_c.reshape(root_c.shape[0], horizon.days, 24).astype(np.float64)
    days, which = np.unique(day, return_inverse=True)
    each_day = winters[:, days]
    model = each_day.mean(axis=0)
    mean = model.mean(axis=1)
    number = np.bincount(which)

    def by_day(values: Floats) -> Floats:
        return np.bincount(which, values) / number

    gap = by_day(temp - model[which, hour])
    swing = SWING_SD * by_day(model[which, hour] - mean[which])
    away = np.where(np.isfinite(depth), np.abs(depth - depth_cm), 0.0)
    placed = np.hypot(DEPTH_SD_C, by_day(OTHER_DEPTH_C_PER_CM * away))
    common = np.sqrt(np.maximum(by_day(sd) ** 2 - DEPTH_SD_C**2, 0.0))
    weather = each_day.mean(axis=2).std(axis=0)
    own = np.sqrt(placed**2 + swing**2 + weather**2)
    return Residuals(
        days=days, gap_c=gap, own_sd_c=own, common_sd_c=common, read_c=mean + gap
    )


def offset(seen: Residuals, days: int, error: ModelError) -> Offset:
    """
    The model's error on every day, given where it was seen.

    Parameters
    ----------
    seen : Residuals
    days : int
        N; offsets for days 0 to N − 1, before, between and after the readings.
    error : ModelError
        What there was to expect before any reading.

    Notes
    -----
    Conditional mean and variance of a Gaussian process at all days at once, [1]_
    2.25 and 2.26: between readings it is a smoother, after the last one the forecast of
    a Kalman filter.

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine
       Learning", MIT Press 2006.
    """
    every = np.arange(days, dtype=np.float64)
    prior = np.full(days, error.sd_c**2)
    if not len(seen):
        return Offset(mean_c=np.zeros(days), sd_c=np.sqrt(prior))
    when = seen.days.astype(np.float64)
    cross = error.covariance(every, when)
    solved = np.linalg.solve(seen_covariance(seen, error), cross.T)
    left = prior - np.einsum("ij,ji->i", cross, solved)
    return Offset(
        mean_c=solved.T @ seen.gap_c,
        sd_c=np.sqrt(np.maximum(left, LEAST_SD_C**2)),
    )


def as_seen(seen: Residuals, error: ModelError) -> ModelError:
    """
    The error to expect, larger or smaller where the readings of the space say so.

    Notes
    -----
    The most likely factor on the whole error, from a lognormal prior about 1 of
    ``FACTOR_SD`` and the readings' own likelihood; a handful of readings hardly moves
    it, and a space that is not what it was described as gets the range it deserves.
    """
    if not len(seen):
        return error
    gap = seen.gap_c
    best, factor = np.inf, 1.0
    for one in FACTORS:
        spread = seen_covariance(seen, error.times(float(one)))
        _, size = np.linalg.slogdet(spread)
        cost = size + gap @ np.linalg.solve(spread, gap)
        cost += (np.log(one) / FACTOR_SD) ** 2
        if cost < best:
            best, factor = float(cost), float(one)
    return error.times(factor)


def seen_covariance(seen: Residuals, error: ModelError) -> Floats:
    """Of the gaps with one another: model error, probe, and each day's own. [K²]"""
    when = seen.days.astype(np.float64)
    shared = np.multiply.outer(seen.common_sd_c, seen.common_sd_c)
    own = np.diag(np.maximum(seen.own_sd_c, LEAST_SD_C) ** 2)
    return np.asarray(error.covariance(when, when) + shared + own)


def correct(
    zone: RootZone,
    readings: DataFrame,
    *,
    errors: Mapping[SpaceKind, ModelError] = ERRORS,
    states: Mapping[str, NDArray[np.int64]] | None = None,
) -> tuple[Corrected, ...]:
    """
    What readings say of every variant.

    Parameters
    ----------
    zone : RootZone
        As modelled.
    readings : DataFrame
        time, space, depth_cm, temp_c (probe's offset added), sd_c.
    states : mapping, optional
        Variant each space was in on each day, (N,); the first of its variants where
        it is not told.

    Returns
    -------
    tuple
        One for each variant.  A bed is ground before it is made up and another thing
        after: readings of the one say nothing of the other.  All variants of a space
        are moved as that in which it was read was seen to miss.
    """
    out: list[Corrected] = []
    for variant in zone.variants:
        space = variant.space
        first = next(
            i for i, other in enumerate(zone.variants) if other.space.id == space.id
        )
        own = readings[readings["space"] == space.id]
        usual = np.full(zone.horizon.days, first, dtype=np.int64)
        root_c = followed(zone.root_c, (states or {}).get(space.id, usual))
        seen = residuals(own, root_c, zone.horizon, space.depth_cm)
        days, change = zone.horizon.days, 0
        if space.make_up is not None and space.kind in ("hotbed", "heap"):
            change = min(max(zone.horizon.day(space.make_up), 0), days)
        before = _offset(seen.between(0, change), days, errors["open-ground"])
        after = _offset(seen.between(change, days), days, errors[space.kind])
        is_before = np.arange(days) < change
        out.append(
            Corrected(
                seen=seen,
                offset=Offset(
                    mean_c=np.where(is_before, before.mean_c, after.mean_c),
                    sd_c=np.where(is_before, before.sd_c, after.sd_c),
                ),
            )
        )
    return tuple(out)


def _offset(seen: Residuals, days: int, error: ModelError) -> Offset:
    return offset(seen, days, as_seen(seen, error))


def apply(zone: RootZone, corrected: Sequence[Corrected]) -> RootZone:
    """
    The root zone moved by its offsets, each day by its own.

    Air, light and energy stay as modelled.
    """
    root = zone.root_c.copy()
    for v, one in enumerate(corrected):
        if one.offset.mean_c.any():
            root[v] += np.repeat(one.offset.mean_c, 24).astype(np.float32)
    return replace(zone, root_c=root)
