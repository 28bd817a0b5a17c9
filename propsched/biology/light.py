"""What too little light does to a stage, and how warmth makes it worse."""

from typing import overload

import numpy as np
from numpy.typing import NDArray

from propsched.domain.crop import UNSTARTED, Needs

Floats = NDArray[np.float64]

_DARK_MOL = 0.3
"""Less than a dim room; seed that needs light to germinate stays asleep."""
USUAL_K = 10.0
"""Above its base temperature, where the crop table's light holds: 13 °C for hardy, 16
for half-hardy and 18 for tender plants, about what the trade grows them on at. [K]"""
_LEAST_K, _MOST_K = 5.0, 20.0
"""What stands still breathes on all the same, and no more was tried than 22 K."""


@overload
def light_factor(
    light_mol: float, needs: Needs, above_base_k: float | None = None
) -> float: ...
@overload
def light_factor(
    light_mol: Floats, needs: Needs, above_base_k: Floats | None = None
) -> Floats: ...
def light_factor(
    light_mol: float | Floats, needs: Needs, above_base_k: float | Floats | None = None
) -> float | Floats:
    """
    Share of plants worth having at a mean light over the stage.

    Parameters
    ----------
    light_mol : numeric
        Photosynthetic light. [mol/m²·d]
    needs : Needs
        ``light_min_mol`` (weak and drawn below), ``light_want_mol`` (no better
        above), ``light_to_start``.
    above_base_k : numeric, optional
        Warmth above the base temperature that the plants grow in, a mean of the
        stage. [K] None: as much as the figures hold for.

    Returns
    -------
    numeric
        0..1, shape of ``light_mol``.

    Notes
    -----
    1 from the wanted light up, 0.9 at the minimum, 0.3 at half of it and nothing
    at a quarter, straight between.  The minimum and the wanted light are the
    trade's; the shape between them is the project's judgement.

    Light feeds a plant and warmth drives it on, so that its build goes with light
    per degree-day: poinsettias between 19 and 27 °C in 5 to 20 mol/m²·d had thin,
    weak stems at 0.2 mol/m² per degree-day, and stems by 35 to 45 % stouter and
    leaves twice as heavy at 1.2 [1]_, [2]_.  The light that is asked for goes
    therefore in proportion to the warmth above base; with the crop table's figures
    the minimum is 0.3 to 0.6 and no more is wanted than 0.8 to 1.1 mol/m² per
    degree-day.

    References
    ----------
    .. [1] B. Liu and R. D. Heins, "Is plant quality related to the ratio of radiant
       energy to thermal energy?," Acta Hortic., vol. 435, pp. 171–182, 1997.
    .. [2] B. Liu and R. D. Heins, "Effect of radiant-to-thermal energy ratio on
       poinsettia plant quality," HortScience, vol. 31, p. 584, 1996 (abstract).
    """
    light = np.asarray(light_mol, dtype=np.float64)
    if above_base_k is not None:
        fed = light * USUAL_K / np.clip(above_base_k, _LEAST_K, _MOST_K)
    else:
        fed = light
    factor: Floats = np.ones_like(fed)
    least = needs.light_min_mol
    if least > 0:
        want = max(needs.light_want_mol, least)
        steps = np.array([0.25 * least, 0.5 * least, least])
        at_least = 0.9 if want > least else 1.0
        factor = np.interp(fed, steps, [0.0, 0.3, at_least])
        if want > least:
            above = np.interp(fed, [least, want], [at_least, 1.0])
            factor = np.where(fed > least, above, factor)
    if needs.light_to_start:
        factor = np.where(light < _DARK_MOL, 0.0, factor)
    return factor if isinstance(light_mol, np.ndarray) else float(factor)


def draws(needs: Needs) -> bool:
    """Whether the stage grows on, and so needs the more light the warmer it stands."""
    return needs.stage not in UNSTARTED and needs.sum_c_d > 0


def least_light_mol(needs: Needs, temp_c: float) -> float:
    """Light below which it is drawn at a temperature. [mol/m²·d]"""
    if not draws(needs):
        return needs.light_min_mol
    above = min(max(temp_c - needs.base_c, _LEAST_K), _MOST_K)
    return needs.light_min_mol * above / USUAL_K
