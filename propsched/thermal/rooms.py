"""Air of rooms, sheds and sills, which follows no cover's balance."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from propsched.thermal import materials as m
from propsched.thermal.places import Place
from propsched.thermal.surface import Hours

Array = NDArray[np.float64]


def shed_air(outdoor_c: Array, lag_h: float = m.SHED_LAG_H.value) -> Array:
    """
    Air of an unheated shed: outdoor air, damped.

    Parameters
    ----------
    outdoor_c : ndarray
        Shape (T, K), one row an hour. [°C]
    lag_h : float
        Time constant of the building. [h]
    """
    keep = np.exp(-1 / lag_h)
    out = np.empty_like(outdoor_c)
    state = outdoor_c[:24].mean(axis=0)
    for t, now in enumerate(outdoor_c):
        state = keep * state + (1 - keep) * now
        out[t] = state
    return out


def sill_air(room_c: float, outdoor_c: Array, share: Array | float) -> Array:
    """Air at a window: so much of outdoors in the room's air. [°C]"""
    return np.asarray(room_c - share * (room_c - outdoor_c))


def room_air(places: Sequence[Place], hours: Hours) -> Array:
    """Air around the pots of each place. [°C] (N, 24, R, K)"""
    n, _, k = hours.air_c.shape
    out = np.empty((n, 24, len(places), k))
    for r, place in enumerate(places):
        space = place.space
        if space.room_c is None and space.kind == "store":
            out[:, :, r] = shed_air(hours.air_c.reshape(-1, k)).reshape(n, 24, k)
            continue
        usual = m.ROOM_C.get(space.kind)
        room = (
            space.room_c if space.room_c is not None or usual is None else usual.value
        )
        share: Array | float = 0.0
        if space.kind == "windowsill":
            night = m.SILL_CURTAIN if space.night_mat else m.SILL_OUTDOOR
            share = np.where(hours.dark, night.value, m.SILL_OUTDOOR.value)
        out[:, :, r] = sill_air(room or 0.0, hours.air_c, share)
    return out
