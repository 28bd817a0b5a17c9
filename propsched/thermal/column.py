"""
Conduction in one dimension, many columns at once.

A column is cut into layers; the temperature of every layer after a step follows from
the one before by a matrix that is worked out once. What changes from hour to hour (the
surface) enters as a correction of rank one, so no system is solved inside the loop.

References
----------
.. [1] S. V. Patankar, "Numerical Heat Transfer and Fluid Flow", 1980, ch. 3 and 4
   (control volumes, harmonic mean of conductances).
.. [2] J. Sherman, W. J. Morrison, "Adjustment of an inverse matrix corresponding to a
   change in one element of a given matrix", Ann. Math. Stat. 21:124-127, 1950.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

THETA = 0.6
"""Weight of the new time level: 0.5 rings on steps, 1 damps the daily wave."""
STEP_S = 3600.0
FUSION_J_M3 = 3.34e8
"""Heat set free by freezing a cubic metre of water. [J/m³]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """The layers of one column, from the top down; arrays have shape (n,)."""

    dz_m: Array
    """Thickness. [m]"""
    k_w_mk: Array
    """Conductivity. [W/m·K]"""
    c_j_m3k: Array
    """Heat capacity. [J/m³·K]"""
    water: Array
    """Water that can freeze, by volume. [-]"""
    base_w_m2k: float
    """From the lower face to what lies below; 0 is insulated. [W/m²·K]"""
    side_w_m3k: Array
    """From a layer to what lies beside it, per volume. [W/m³·K]"""
    probe_m: float
    """Depth at which the root zone is measured. [m]"""
    heater_m: float
    """Depth of a heater. [m]"""

    @property
    def middle_m(self) -> Array:
        """Depth of the middle of each layer. [m]"""
        return np.asarray(np.cumsum(self.dz_m) - self.dz_m / 2)

    @property
    def skin_m2k_w(self) -> float:
        """Resistance from the face to the middle of the first layer. [m²·K/W]"""
        return float(self.dz_m[0] / (2 * self.k_w_mk[0]))

    def share_at(self, depth_m: float) -> Array:
        """Weights that interpolate linearly between the layers' middles."""
        z = self.middle_m
        weights = np.zeros(z.size)
        i = int(np.clip(np.searchsorted(z, depth_m) - 1, 0, z.size - 2))
        part = float(np.clip((depth_m - z[i]) / (z[i + 1] - z[i]), 0.0, 1.0))
        weights[i], weights[i + 1] = 1 - part, part
        return weights


def growing_layers(first_m: float, total_m: float, n: int) -> Array:
    """Thicknesses that grow by a constant ratio and add up to the total. [m]"""
    low, high = 1.0 + 1e-9, 3.0
    for _ in range(80):
        ratio = (low + high) / 2
        if first_m * (ratio**n - 1) / (ratio - 1) < total_m:
            low = ratio
        else:
            high = ratio
    layers = first_m * low ** np.arange(n)
    return np.asarray(layers * total_m / layers.sum())


def _conduction(mesh: Mesh) -> tuple[Array, float]:
    """Matrix L of the flow out of each layer, and the conductance to the base."""
    half = mesh.dz_m / (2 * mesh.k_w_mk)
    between = 1 / (half[:-1] + half[1:])
    lap = np.diag(np.append(between, 0.0) + np.insert(between, 0, 0.0))
    lap -= np.diag(between, 1) + np.diag(between, -1)
    base = 1 / (1 / mesh.base_w_m2k + half[-1]) if mesh.base_w_m2k > 0 else 0.0
    lap[-1, -1] += base
    lap += np.diag(mesh.side_w_m3k * mesh.dz_m)
    return np.asarray(lap), float(base)


class Columns:
    """
    V columns of n layers in K winters, stepped together.

    Attributes
    ----------
    temp_c : ndarray
        Shape (V, n + 2, K): layers, then what lies below and beside. [°C]
    ice_j_m2 : ndarray
        Heat set free so far by ice in each layer, shape (V, n, K). [J/m²]
    probe_c : ndarray
        Temperature at the probe's depth after the last step, shape (V, K). [°C]
    """

    def __init__(self, meshes: Sequence[Mesh], winters: int) -> None:
        v, n = len(meshes), meshes[0].dz_m.size
        self.n = n
        self.meshes = list(meshes)
        self._move = np.zeros((v, n + 1, n + 2))
        self._top = np.zeros((v, n + 1, 1))
        self._heat = np.zeros((v, n + 1, 1))
        self._source = np.zeros((v, n + 1, n))
        self._probe = np.zeros((v, 1, n))
        self._capacity = np.zeros((v, n, 1))
        self._latent = np.zeros((v, n, 1))
        self.top0 = np.zeros((v, 1))
        self.heat0 = np.zeros((v, 1))
        self.top_probe = np.zeros((v, 1))
        self.heat_probe = np.zeros((v, 1))
        for i, mesh in enumerate(meshes):
            self.put(i, mesh)
        self.spread(np.zeros((v, n + 2, 1)), np.zeros((v, n, 1)), winters)

    def spread(self, temp_c: Array, ice_j_m2: Array, winters: int) -> None:
        """Set the state, the same in every winter where it comes with one."""
        v, n = temp_c.shape[0], self.n
        self.temp_c = np.array(np.broadcast_to(temp_c, (v, n + 2, winters)))
        self.ice_j_m2 = np.array(np.broadcast_to(ice_j_m2, (v, n, winters)))
        self._new = np.empty((v, n + 1, winters))
        self._work = np.empty((v, n + 1, winters))
        self._icy = bool(self.ice_j_m2.any())
        self.probe_c = self._new[:, n]

    def put(self, i: int, mesh: Mesh) -> None:
        """Give column ``i`` these layers."""
        self.meshes[i] = mesh
        lap, base = _conduction(mesh)
        store = np.diag(mesh.c_j_m3k * mesh.dz_m / STEP_S)
        inverse = np.linalg.inv(store + THETA * lap)
        probe = mesh.share_at(mesh.probe_m)
        rows = np.vstack([inverse, probe @ inverse])
        n = self.n
        self._move[i, :, :n] = rows @ (store - (1 - THETA) * lap)
        self._move[i, :, n] = rows[:, -1] * base
        self._move[i, :, n + 1] = rows @ (mesh.side_w_m3k * mesh.dz_m)
        self._source[i] = rows
        self._top[i, :, 0] = rows[:, 0]
        self._heat[i, :, 0] = rows @ mesh.share_at(mesh.heater_m)
        self._probe[i, 0] = probe
        self._capacity[i, :, 0] = mesh.c_j_m3k * mesh.dz_m
        self._latent[i, :, 0] = FUSION_J_M3 * mesh.water * mesh.dz_m
        self.top0[i], self.top_probe[i] = self._top[i, 0], self._top[i, n]
        self.heat0[i], self.heat_probe[i] = self._heat[i, 0], self._heat[i, n]

    @property
    def top_c(self) -> Array:
        """First layer before the step. [°C] (V, K)"""
        return self.temp_c[:, 0]

    def predict(self) -> Array:
        """First layer after a step with a closed surface. [°C] (V, K)"""
        np.matmul(self._move, self.temp_c, out=self._new)
        return self._new[:, 0]

    def add_source(self, columns: slice, layers: slice, w_m2: Array) -> None:
        """Heat set free inside layers, after ``predict``. [W/m²] (B, L, K)"""
        self._new[columns] += self._source[columns, :, layers] @ w_m2

    def finish(
        self, surface_w_m2: Array, heater_w_m2: Array | None, heated: slice
    ) -> None:
        """Add what flows in through the surface and from heaters. [W/m²] (V, K)"""
        n = self.n
        np.multiply(self._top, surface_w_m2[:, None, :], out=self._work)
        self._new += self._work
        if heater_w_m2 is not None:
            self._new[heated] += self._heat[heated] * heater_w_m2[:, None, :]
        self.temp_c[:, :n] = self._new[:, :n]
        if self._icy or self._new.min() < 0:
            self._freeze()

    def _freeze(self) -> None:
        """
        Let water freeze or ice melt at 0 °C so that heat is neither made nor lost.

        Isothermal freezing: all of a layer's water freezes before it cools further.
        """
        temp = self.temp_c[:, : self.n]
        heat = temp * self._capacity
        heat -= self.ice_j_m2
        np.clip(-heat, 0.0, self._latent, out=self.ice_j_m2)
        heat += self.ice_j_m2
        np.divide(heat, self._capacity, out=temp)
        self._new[:, self.n :] = self._probe @ temp
        self._icy = bool(self.ice_j_m2.any())

    def heat_j_m2(self) -> Array:
        """Heat held above 0 °C, ice counted as a debt. [J/m²] (V, K)"""
        stored = self.temp_c[:, : self.n] * self._capacity - self.ice_j_m2
        return np.asarray(stored.sum(axis=1))


def surface_flow(
    columns: Columns, predicted_c: Array, g_w_m2k: Array, around_c: Array, q_w_m2: Array
) -> tuple[Array, Array]:
    """
    Heat through the surface during a step.

    Parameters
    ----------
    columns : Columns
    predicted_c : ndarray
        First layer after ``predict``. [°C] (V, K)
    g_w_m2k, around_c : ndarray
        Conductance from the first layer to its surroundings, and these. (V, K)
    q_w_m2 : ndarray
        What flows in whatever the temperature (radiation). (V, K)

    Returns
    -------
    flow : ndarray
        Into the column, the average over the step. [W/m²] (V, K)
    back : ndarray
        Flow lost per kelvin that anything else adds to the first layer. [W/m²·K]

    Notes
    -----
    With T¹ = y + u s and s = g (Te − (1−θ) T⁰ − θ T¹) + q the surface's share of the
    inverse drops out, the rank-one form of [2].
    """
    damp = 1 / (1 + THETA * g_w_m2k * columns.top0)
    drive = around_c - (1 - THETA) * columns.top_c - THETA * predicted_c
    return (g_w_m2k * drive + q_w_m2) * damp, THETA * g_w_m2k * damp


def thermostat(short_k: Array, per_w: Array, greatest_w_m2: Array) -> Array:
    """
    Power that brings the sensor to its set point, or as near as there is power.

    Parameters
    ----------
    short_k : ndarray
        Set point less the sensor after a step without heat. [K]
    per_w : ndarray
        What one W/m² adds to the sensor in the step. [K·m²/W]
    greatest_w_m2 : ndarray
        Power there is. [W/m²]

    Returns
    -------
    ndarray
        [W/m²]
    """
    return np.asarray(np.clip(short_k / per_w, 0.0, greatest_w_m2))
