"""What the thermal model hands on: temperatures of every variant, winter, hour."""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon
from propsched.domain.space import Variant


@dataclass(frozen=True, slots=True, kw_only=True)
class RootZone:
    """
    Modelled warmth, light and heater energy.

    V variants, K winters, N days from ``horizon.first``, 24 N hours.
    """

    variants: tuple[Variant, ...]
    horizon: Horizon
    winters: tuple[str, ...]
    """A label for each winter of the outlook."""
    root_c: NDArray[np.float32]
    """Root zone at the space's depth. [°C] (V, K, 24 N)"""
    air_c: NDArray[np.float32]
    """Air among the plants. [°C] (V, K, 24 N)"""
    light_mol: NDArray[np.float32]
    """Photosynthetic light reaching the plants, lamp included. [mol/m²·d] (V, K, N)"""
    kwh: NDArray[np.float32]
    """Electric energy of heater and lamp for the whole space. [kWh/d] (V, K, N)"""
    outdoor_c: NDArray[np.float32]
    """Outdoor air. [°C] (K, 24 N)"""

    def of(self, space: str, name: str | None = None) -> int:
        """Index of a space's first or named variant; KeyError where there is none."""
        for i, variant in enumerate(self.variants):
            if variant.space.id == space and name in (None, variant.name):
                return i
        raise KeyError(space)

    def day(self, when: date) -> int:
        return self.horizon.day(when)


def followed(
    hourly: NDArray[np.float32], rows: NDArray[np.int64]
) -> NDArray[np.float32]:
    """
    Hours of a space that goes from state to state.

    Parameters
    ----------
    hourly : ndarray
        Shape (V, K, 24 N).
    rows : ndarray
        Variant of each day, shape (N,).

    Returns
    -------
    ndarray
        Shape (K, 24 N).
    """
    if not rows.size or (rows == rows[0]).all():
        return np.asarray(hourly[int(rows[0]) if rows.size else 0])
    hours = np.arange(hourly.shape[-1])
    return np.ascontiguousarray(hourly[np.repeat(rows, 24), :, hours].T)


def along(zone: RootZone, rows: NDArray[np.int64]) -> RootZone:
    """One variant made of those that ``rows`` names day by day, shape (N,)."""
    if not rows.size or (rows == rows[0]).all():
        v = int(rows[0]) if rows.size else 0
        root_c, air_c = zone.root_c[v : v + 1], zone.air_c[v : v + 1]
        light_mol, kwh = zone.light_mol[v : v + 1], zone.kwh[v : v + 1]
    else:
        v, day = int(rows[0]), np.arange(rows.size)
        root_c = followed(zone.root_c, rows)[None]
        air_c = followed(zone.air_c, rows)[None]
        light_mol = np.ascontiguousarray(zone.light_mol[rows, :, day].T)[None]
        kwh = np.ascontiguousarray(zone.kwh[rows, :, day].T)[None]
    return replace(
        zone,
        variants=zone.variants[v : v + 1],
        root_c=root_c,
        air_c=air_c,
        light_mol=light_mol,
        kwh=kwh,
    )
