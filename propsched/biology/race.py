"""The race of dormant wood: roots on the warmth below, buds on the warmth above."""

from collections.abc import Callable
from typing import overload

import numpy as np
from numpy.typing import NDArray

from propsched.biology.climate import Climate
from propsched.biology.response import thermal_time
from propsched.biology.stay import Ends, Stays, Sums, at, first_reaching, sums
from propsched.domain.crop import Needs

Floats = NDArray[np.float64]

CHILLED_D = 60.0
"""Days at full chilling after which wood is as ready as winter makes it. About
1,400 chilling hours, what currants ask for (common practice). [d]"""
HALF_LOST_AT = 2.5
"""Half the cuttings fail when leaves have drained them, at 10 °C, for two and a half
times the warmth it took to open the buds; judgement."""

_UTAH_C = np.array([0.0, 1.4, 2.4, 2.5, 9.1, 9.2, 12.4, 15.9])
_UTAH = np.array([0.0, 0.0, 0.5, 1.0, 1.0, 0.5, 0.5, 0.0])


@overload
def chilling(temp_c: float) -> float: ...
@overload
def chilling(temp_c: Floats) -> Floats: ...
def chilling(temp_c: float | Floats) -> float | Floats:
    """
    How well a temperature chills dormant wood.

    Parameters
    ----------
    temp_c : numeric
        Air temperature. [°C]

    Returns
    -------
    numeric
        1 at 2.5 to 9.1 °C, 0 below 1.4 and above 15.9 °C; shape of ``temp_c``.

    Notes
    -----
    Utah units [1]_ with straight lines between the steps and without the
    negative ones: a warm spell stops chilling and does not undo it.

    References
    ----------
    .. [1] E. A. Richardson, S. D. Seeley and D. R. Walker, "A model for
       estimating the completion of rest for 'Redhaven' and 'Elberta' peach
       trees," HortScience, vol. 9, pp. 331–332, 1974.
    """
    units = np.interp(temp_c, _UTAH_C, _UTAH, left=0.0, right=0.0)
    return units if isinstance(temp_c, np.ndarray) else float(units)


def chill_state(chilled_d: Floats) -> Floats:
    """
    How far winter has made the wood ready.

    Parameters
    ----------
    chilled_d : array
        Days at full chilling so far. [d]

    Returns
    -------
    array
        0 at leaf fall … 1, shape of ``chilled_d``.
    """
    return np.clip(chilled_d / CHILLED_D, 0.0, 1.0)


def wakefulness(chill: Floats) -> Floats:
    """
    Share of the warmth on the parent plant that brings its buds on.

    Parameters
    ----------
    chill : array
        From ``chill_state``.

    Returns
    -------
    array
        0 up to half chilled, then rising to 1; shape of ``chill``. Autumn warmth
        does nothing for resting buds. The half is judgement, held to the months
        in which cut grape wood was seen to move.
    """
    return np.clip(2.0 * chill - 1.0, 0.0, 1.0)


def bud_push_day(
    forcing: Sums,
    chilled: Sums,
    head_start: Floats,
    chilled_before: Floats,
    needs: Needs,
) -> Ends:
    """
    Day on which buds move, for every day of striking.

    Parameters
    ----------
    forcing : array, shape (V, K, N + 1)
        Warmth of the air above ``bud_base_c``, summed up. [°C·d]
    chilled : array, shape (V, K, N + 1)
        Days at full chilling in that air, summed up. [d]
    head_start : array, shape (K, N + 1)
        Warmth the wood had on the parent plant before each day. [°C·d]
    chilled_before : array, shape (K, N + 1)
        Days at full chilling it had there. [d]
    needs : Needs
        ``bud_sum_c_d`` for chilled wood, ``bud_sum_unchilled_c_d`` at leaf fall.

    Returns
    -------
    array
        Shape (V, K, N); N + 1 where they do not move.

    Notes
    -----
    Buds move when the warmth since striking, and that on the parent plant as far
    as its buds were awake, reaches a sum that falls in a straight line with
    chilling.  Both "reaches the sum of chilled wood" and "reaches the
    sum less what chilling has taken off" are crossings of sums that only grow,
    and the later of the two is the day.
    """
    full = needs.bud_sum_c_d
    off_per_d = max(needs.bud_sum_unchilled_c_d - full, 0.0) / CHILLED_D
    days = forcing.shape[-1] - 1
    from_here = forcing[..., :days] - head_start[None, :, :days]
    chilled_then = chilled_before[None, :, :days] - chilled[..., :days]
    ready = first_reaching(forcing, full + from_here)
    most = full + off_per_d * CHILLED_D
    rested = first_reaching(
        forcing + off_per_d * chilled, most + from_here - off_per_d * chilled_then
    )
    return np.maximum(np.maximum(ready, rested), np.arange(days))


def drain(temp_c: Floats, base_c: float) -> Floats:
    """
    Strain of air on leaves that have no roots yet.

    Parameters
    ----------
    temp_c : array
        Air temperature. [°C]
    base_c : float
        Base of the bud clock. [°C]

    Returns
    -------
    array
        Warmth above base, as much at 10 °C; shape of ``temp_c``. [°C·d]

    Notes
    -----
    Leaves grow with the warmth above base, and what they lose at a given
    humidity goes with saturation vapour pressure (Eq. 11 in [1]_), which nearly
    doubles in 10 K.  So a warm house drains in days a cutting that cool spring
    air spares for weeks.

    References
    ----------
    .. [1] R. G. Allen, L. S. Pereira, D. Raes and M. Smith, "Crop
       evapotranspiration," FAO Irrigation and Drainage Paper 56, 1998.
    """
    thirst = _saturation_kpa(temp_c) / _saturation_kpa(np.array(10.0))
    return thermal_time(temp_c, base_c) * thirst


def _saturation_kpa(temp_c: Floats) -> Floats:
    return np.asarray(0.6108 * np.exp(17.27 * temp_c / (temp_c + 237.3)))


def survivors(ahead: Floats) -> Floats:
    """
    Share of cuttings that live although their buds moved first.

    Parameters
    ----------
    ahead : array
        Drain from bud push to rooting, as a share of the warmth that opens
        chilled buds.

    Returns
    -------
    array
        1 where roots come first; shape of ``ahead``. The curve is the project's
        judgement.
    """
    return 1.0 / (1.0 + np.power(np.maximum(ahead, 0.0) / HALF_LOST_AT, 4))


class Buds:
    """Bud clock of one kind of wood in every variant and winter."""

    def __init__(self, climate: Climate, needs: Needs) -> None:
        base = needs.bud_base_c
        if base is None:
            raise ValueError("wood without a bud clock runs no race")
        self._needs = needs
        forcing = climate.kept(
            ("forcing", base),
            lambda: sums(climate.daily(lambda c: thermal_time(c, base), 1.0)),
        )
        self._drain = climate.kept(
            ("drain", base),
            lambda: sums(climate.daily(lambda c: drain(c, base), 1.0)),
        )
        chilled = climate.kept(("chilled",), lambda: sums(climate.daily(chilling, 1.0)))
        before = climate.kept(
            ("chilled outdoors",), lambda: sums(_outdoors(climate, chilling))
        )
        head_start = climate.kept(
            ("forced outdoors", base),
            lambda: sums(
                _outdoors(climate, lambda c: thermal_time(c, base))
                * wakefulness(chill_state(before[..., :-1]))
            ),
        )
        self.push = bud_push_day(forcing, chilled, head_start, before, needs)
        """Day on which they move, or N + 1. Shape (V, K, N)."""

    def survivors(self, stays: Stays) -> Floats:
        """Share that lives when roots come at the end of each stay."""
        push = np.minimum(self.push[..., : stays.end.shape[-1]], stays.end)
        lost = stays.at_end(self._drain) - at(self._drain, push)
        return survivors(lost / max(self._needs.bud_sum_c_d, 1.0))


def _outdoors(climate: Climate, response: Callable[[Floats], Floats]) -> Floats:
    """Daily mean of a response to outdoor air. Shape (K, N)."""
    hours = response(climate.zone.outdoor_c.astype(np.float64))
    mean: Floats = hours.reshape(hours.shape[0], -1, 24).mean(axis=-1)
    return mean
