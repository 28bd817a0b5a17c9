"""Hardening: what cold but harmless days do to the frost a plant stands."""

import numpy as np
from numpy.typing import NDArray

from propsched.domain.crop import Crop, Needs

Floats = NDArray[np.floating]

TAKES_D = 6.0
"""Hardening goes nine tenths of its way in a fortnight (hardening off takes 7 to 14
days, extension pages). [d]"""
NEW_D = 14
"""So long a newcomer is told from what stands in a place: nine tenths of the difference
are gone by then. [d]"""
FIRST_D = (2, 4, 7, 10, NEW_D)
"""Runs of first days that are told apart; a stay is judged by the next longer. [d]"""
_LOST_D, _LOST_WARM_D = 6.0, 3.0
"""Hardiness goes as fast as it came at 10 °C and twice as fast at 20; judgement, after
the finding that it goes faster at 20 °C than at 10 and 15."""
_TARGET_C = np.array([-3.0, 3.0, 10.0])
_TARGET = np.array([3.6, 1.0, 0.0])
_SOFT = frozenset({"seedling", "prick-out", "pot-up", "pot-on", "grow"})


def settles_at(mean_c: Floats) -> NDArray[np.float64]:
    """
    Hardiness that a plant comes to if a temperature lasts.

    Parameters
    ----------
    mean_c : array
        Daily mean of the air. [°C]

    Returns
    -------
    array
        0 soft, from 10 °C up; 1 hardened as at +3 °C; more below; shape of
        ``mean_c``.

    Notes
    -----
    Plants harden at 0 to 10 °C [1]_.  Cabbage that was soft to −3 °C was killed at
    −7 to −10 °C after +3 °C and at −20 °C after six weeks falling to −3 °C [2]_:
    so far the second step takes it, the delay of ``hardened`` being counted.

    References
    ----------
    .. [1] M. F. Thomashow, "Plant cold acclimation: freezing tolerance genes and
       regulatory mechanisms," Annu. Rev. Plant Physiol. Plant Mol. Biol., vol. 50,
       pp. 571–599, 1999.
    .. [2] S. W. Kohn and J. Levitt, "Frost hardiness studies on cabbage grown under
       controlled conditions," Plant Physiol., vol. 40, pp. 476–480, 1965.
    """
    return np.asarray(np.interp(mean_c, _TARGET_C, _TARGET))


def hardened(mean_c: Floats) -> NDArray[np.float64]:
    """
    Hardiness on the morning after each day.

    Parameters
    ----------
    mean_c : array, shape (…, N)
        Daily means of the air, the plant being soft on the first. [°C]

    Returns
    -------
    array
        As of ``settles_at``, shape of ``mean_c``.

    Notes
    -----
    A state that follows the weather with a delay, sooner in losing than in gaining
    when it is warm [1]_.

    References
    ----------
    .. [1] L. V. Gusta and D. B. Fowler, "Effects of temperature on dehardening and
       rehardening of winter cereals," Can. J. Plant Sci., vol. 56, pp. 673–678, 1976.
    """
    aims = settles_at(mean_c)
    lost_d = np.interp(mean_c, [10.0, 20.0], [_LOST_D, _LOST_WARM_D])
    gained, lost = 1 - np.exp(-1 / TAKES_D), 1 - np.exp(-1 / lost_d)
    state = np.zeros(mean_c.shape)
    now = np.zeros(mean_c.shape[:-1])
    for day in range(mean_c.shape[-1]):
        gap = aims[..., day] - now
        now = now + gap * np.where(gap > 0, gained, lost[..., day])
        state[..., day] = now
    return state


def newcomer(
    resident: Floats, on_arrival: Floats, days: float | Floats
) -> NDArray[np.float64]:
    """
    Hardiness of a plant that came soft to where others have stood all along.

    Parameters
    ----------
    resident, on_arrival : array
        Of those others, now and on the day on which it came.
    days : numeric
        Since then. [d]

    Returns
    -------
    array
        As of ``settles_at``, shape of ``resident``.

    Notes
    -----
    Both follow the same weather with the same delay, so that the difference between
    them dies away at the rate at which plants harden.  Where a plant of a stage to
    come will have stood before is not known, and it may have been on a windowsill:
    it is taken to be soft.  That does some injustice to one from a frame; how much
    is judgement, as of warm spells only the order of loss is known [1]_.

    References
    ----------
    .. [1] M. Rapacz, "Cold-deacclimation of oilseed rape in response to fluctuating
       temperatures and photoperiod," Ann. Bot., vol. 89, pp. 543–549, 2002.
    """
    behind = np.maximum(on_arrival, 0.0) * np.exp(-np.asarray(days) / TAKES_D)
    return np.asarray(np.maximum(resident - behind, 0.0))


def frost_limit(soft_c: float, hard_c: float, state: Floats) -> Floats:
    """
    Air temperature that begins to harm.

    Parameters
    ----------
    soft_c, hard_c : float
        Of soft plants and of plants hardened as at +3 °C. [°C]
    state : array
        From ``hardened``.

    Returns
    -------
    array
        [°C] Shape of ``state``.
    """
    return soft_c - (soft_c - hard_c) * state


def limits_c(crop: Crop, needs: Needs) -> tuple[float, float] | None:
    """
    What plants in leaf stand soft and hardened in a stage. [°C]

    None where the crop table has no frost limit for the stage, or the same for both.
    Hardened is the ``damage_c`` of hardening off, soft that of the stage before it.
    """
    off = next((n for n in crop.stages if n.stage == "harden"), None)
    if off is None or off.damage_c is None:
        return None
    before = [n.damage_c for n in crop.stages if n.stage in _SOFT]
    soft = needs.damage_c
    if needs.stage == "harden" and before:
        soft = before[-1]
    if needs.stage not in _SOFT | {"harden"} or soft is None or soft <= off.damage_c:
        return None
    return soft, off.damage_c
