"""Warmth and light of every variant and winter, made ready to be read many times."""

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from propsched.biology.hardening import FIRST_D, NEW_D, frost_limit, hardened, newcomer
from propsched.biology.pots import WIDTH_CM, in_pots, stands_out
from propsched.biology.response import rate_per_day
from propsched.biology.stay import Minima, Sums, sums
from propsched.domain.crop import Needs
from propsched.thermal.rootzone import RootZone

Days = NDArray[np.float32]
"""A figure a day. Shape (V, K, N)."""
Codes = NDArray[np.int16]

_COLDEST_C, _WARMEST_C, _PER_K = -60.0, 120.0, 10
_TABLE_C = np.arange(_COLDEST_C * _PER_K, _WARMEST_C * _PER_K + 1) / _PER_K
_KEPT = 32
"""Sums kept; crops of a group share theirs. Each takes a megabyte or some."""


class Climate:
    """
    A ``RootZone`` with its hours in tenths of a kelvin and its days summed up.

    Any response to temperature is then one look-up table, whatever its shape,
    read hour by hour: the rate of the mean is not the mean of the rates [1]_.

    References
    ----------
    .. [1] W. A. Wagenvoort and J. F. Bierhuizen, "Some aspects of seed
       germination in vegetables. II. The effect of temperature fluctuation,
       depth of sowing, seed size and cultivar, on heat sum and minimum
       temperature for germination," Sci. Hortic., vol. 6, pp. 259–270, 1977.
    """

    def __init__(self, zone: RootZone) -> None:
        self.zone = zone
        self.shape = len(zone.variants), len(zone.winters), zone.horizon.days
        """(V, K, N)"""
        self._codes: dict[float, Codes] = {0.0: _code(zone.root_c)}
        self._sums: dict[tuple[str | float, ...], Sums] = {}
        self._minima: dict[tuple[str | float, ...], Minima] = {}
        self._first_days: dict[tuple[float, float], NDArray[np.float32]] = {}

    @property
    def days(self) -> int:
        return self.zone.horizon.days

    def codes(self, share_air: float) -> Codes:
        """Hours of a mix of air and root zone as places in the table."""
        key = round(share_air, 3)
        if key not in self._codes:
            zone = self.zone
            mix = zone.root_c + np.float32(key) * (zone.air_c - zone.root_c)
            self._codes[key] = _code(mix)
        return self._codes[key]

    def daily(
        self, response: Callable[[NDArray[np.float64]], NDArray[np.float64]],
        share_air: float = 0.0,
    ) -> Days:  # fmt: skip
        """
        Mean over the hours of each day of a response to temperature.

        Parameters
        ----------
        response : callable
            Of an array of temperatures [°C] to one value each.
        share_air : float
            Share of air in the temperature, the rest root zone.

        Returns
        -------
        array
            Shape (V, K, N).
        """
        table = response(_TABLE_C).astype(np.float32)
        hours = table.take(self.codes(share_air)).reshape(-1, 24)
        means: Days = hours @ np.full(24, 1 / 24, np.float32)
        return means.reshape(self.shape)

    def rates(self, needs: Needs) -> Days:
        """Development made on each day. [1/d] Shape (V, K, N)."""
        return self.daily(lambda temp: rate_per_day(temp, needs), needs.share_air)

    def progress(self, needs: Needs) -> Sums:
        """Development made before each day. Shape (V, K, N + 1)."""
        top = needs.opt_c if needs.opt_to_c is None else needs.opt_to_c
        heat_sum = needs.sum_c_d * needs.tray_factor
        cardinals = (needs.base_c, needs.opt_c, top, needs.max_c)
        key = (*cardinals, heat_sum, round(needs.share_air, 3))
        return self.kept(key, lambda: sums(self.rates(needs)))

    def kept(self, key: tuple[str | float, ...], make: Callable[[], Sums]) -> Sums:
        """Sums made once under a key and kept while they are in use."""
        made = self._sums.pop(key, None)
        if made is None:
            made = make()
            if len(self._sums) >= _KEPT:
                self._sums.pop(next(iter(self._sums)))
        self._sums[key] = made
        return made

    @cached_property
    def root_mean_c(self) -> Days:
        return _mean(self.zone.root_c)

    @cached_property
    def root_min_c(self) -> Days:
        return _min(self.zone.root_c)

    @cached_property
    def root_max_c(self) -> Days:
        return _max(self.zone.root_c)

    @cached_property
    def air_mean_c(self) -> Days:
        return _mean(self.zone.air_c)

    @cached_property
    def air_min_c(self) -> Days:
        return _min(self.zone.air_c)

    @cached_property
    def outdoor_min_c(self) -> NDArray[np.float32]:
        """Outdoor air. [°C] Shape (K, N)."""
        return _min(self.zone.outdoor_c)

    @cached_property
    def outdoor_mean_c(self) -> NDArray[np.float32]:
        """Outdoor air. [°C] Shape (K, N)."""
        return _mean(self.zone.outdoor_c)

    @cached_property
    def coldest_root(self) -> Minima:
        return Minima(self.root_min_c)

    @cached_property
    def hottest_root(self) -> Minima:
        """Of the negated maxima."""
        return Minima(-self.root_max_c)

    @cached_property
    def coldest_air(self) -> Minima:
        return Minima(self.air_min_c)

    @cached_property
    def hardiness(self) -> NDArray[np.float64]:
        """Of plants in leaf that stand there, each morning. 0..1 (V, K, N)"""
        state = hardened(self.air_mean_c)
        # the second step asks for weeks of frost: not counted on
        state[..., 1:] = np.minimum(state[..., :-1], 1.0)
        state[..., 0] = 0.0
        return state

    def hardened_margin(self, soft_c: float, hard_c: float) -> Minima:
        """Coldest air above what plants that stand there have come to stand. [K]"""
        key = ("hardened", soft_c, hard_c)
        if key not in self._minima:
            limit = frost_limit(soft_c, hard_c, self.hardiness)
            self._minima[key] = Minima((self.air_min_c - limit).astype(np.float32))
        return self._minima[key]

    def newcomer_margin(self, soft_c: float, hard_c: float) -> NDArray[np.float32]:
        """
        Coldest air of the first days above what a newcomer stands by then. [K]

        Shape (``FIRST_D``, V, K, N), by day of arrival.
        """
        key = (soft_c, hard_c)
        if key not in self._first_days:
            least = np.full(self.shape, np.inf, np.float32)
            state, air = self.hardiness.astype(np.float32), self.air_min_c
            runs = []
            for day in range(NEW_D):
                left = max(self.days - day, 0)
                now = newcomer(state[..., day:], state[..., :left], day)
                margin = air[..., day:] - frost_limit(soft_c, hard_c, now)
                least[..., :left] = np.minimum(least[..., :left], margin)
                if day + 1 in FIRST_D:
                    runs.append(least.copy())
            self._first_days[key] = np.stack(runs)
        return self._first_days[key]

    def coldest_roots_in(self, container: str) -> Minima:
        """Coldest hour of roots: in pots where these stand out, else in the ground."""
        out = [
            v
            for v, variant in enumerate(self.zone.variants)
            if stands_out(variant.space, container)
        ]
        if not out:
            return self.coldest_root
        width = WIDTH_CM[container]
        key = ("pots", width)
        if key not in self._minima:
            least = self.root_min_c.copy()
            least[out] = _min(in_pots(self.zone.air_c[out], width))
            self._minima[key] = Minima(least)
        return self._minima[key]

    @cached_property
    def root_sums(self) -> Sums:
        """Daily means of the root zone summed up. [°C·d] Shape (V, K, N + 1)."""
        return sums(self.root_mean_c)

    def felt_sums(self, share_air: float) -> Sums:
        """The same for a mix of air and root zone."""
        if share_air == 0.0:
            return self.root_sums
        key = round(share_air, 3)
        mix = self.root_mean_c + key * (self.air_mean_c - self.root_mean_c)
        return self.kept(("felt", key), lambda: sums(mix))

    @cached_property
    def light_sums(self) -> Sums:
        """Light summed up. [mol/m²] Shape (V, K, N + 1)."""
        return sums(self.zone.light_mol)


def _by_day(hourly: NDArray[np.float32]) -> NDArray[np.float32]:
    return hourly.reshape(*hourly.shape[:-1], -1, 24)


def _mean(hourly: NDArray[np.float32]) -> NDArray[np.float32]:
    # as a matrix product, which is far quicker than a mean over so short an axis
    mean: NDArray[np.float32] = _by_day(hourly) @ np.full(24, 1 / 24, np.float32)
    return mean


def _min(hourly: NDArray[np.float32]) -> NDArray[np.float32]:
    least: NDArray[np.float32] = _by_day(hourly).min(axis=-1)
    return least


def _max(hourly: NDArray[np.float32]) -> NDArray[np.float32]:
    most: NDArray[np.float32] = _by_day(hourly).max(axis=-1)
    return most


def _code(temp_c: NDArray[np.float32]) -> Codes:
    tenths = np.clip(temp_c, _COLDEST_C, _WARMEST_C) * np.float32(_PER_K)
    codes: Codes = (np.rint(tenths) - _COLDEST_C * _PER_K).astype(np.int16)
    return codes
