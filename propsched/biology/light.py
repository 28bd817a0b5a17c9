"""What too little light does to a stage."""

from typing import overload

import numpy as np
from numpy.typing import NDArray

from propsched.domain.crop import Needs

Floats = NDArray[np.float64]

_DARK_MOL = 0.3
"""Less than a dim room; seed that needs light to germinate stays asleep."""


@overload
def light_factor(light_mol: float, needs: Needs) -> float: ...
@overload
def light_factor(light_mol: Floats, needs: Needs) -> Floats: ...
def light_factor(light_mol: float | Floats, needs: Needs) -> float | Floats:
    """
    Share of plants worth having at a mean light over the stage.

    Parameters
    ----------
    light_mol : numeric
        Photosynthetic light. [mol/m²·d]
    needs : Needs
        ``light_min_mol`` (weak and drawn below), ``light_want_mol`` (no better
        above), ``light_to_start``.

    Returns
    -------
    numeric
        0..1, shape of ``light_mol``.

    Notes
    -----
    1 from the wanted light up, 0.9 at the minimum, 0.3 at half of it and nothing
    at a quarter, straight between.  The minimum and the wanted light are the
    trade's; the shape between them is the project's judgement.
    """
    light = np.asarray(light_mol, dtype=np.float64)
    factor: Floats = np.ones_like(light)
    least = needs.light_min_mol
    if least > 0:
        want = max(needs.light_want_mol, least)
        steps = np.array([0.25 * least, 0.5 * least, least])
        at_least = 0.9 if want > least else 1.0
        factor = np.interp(light, steps, [0.0, 0.3, at_least])
        if want > least:
            above = np.interp(light, [least, want], [at_least, 1.0])
            factor = np.where(light > least, above, factor)
    if needs.light_to_start:
        factor = np.where(light < _DARK_MOL, 0.0, factor)
    return factor if isinstance(light_mol, np.ndarray) else float(factor)
