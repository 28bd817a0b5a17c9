"""How cold is too cold for what stands somewhere on a night, and what it costs."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from propsched.biology.hardening import frost_limit, limits_c, newcomer
from propsched.biology.survival import below_ground
from propsched.domain.crop import Crop, Needs

Floats = NDArray[np.float64]
Harm = Literal["frost", "roots", "chill"]
"""Frost: tops, or seed and roots in the medium. Roots: those of pots and trays.
Chill: no damage, but it is set back."""

DAMAGE_OVER_K, KILL_OVER_K = 3.0, 1.0
"""From first harm to total loss, as in ``survival``; judgement."""
CHILL_SHORT_K = 4.0
"""So far below the night minimum it is grown on at, one night is worth a word: it
sets back by 2 %; judgement."""
CHILL_LOSS = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A temperature below which one night harms."""

    harm: Harm
    where: Literal["air", "root zone"]
    begins_c: float
    """First harm at. [°C]"""
    over_k: float
    """All is lost so far below. [K]"""
    most: float = 1.0
    """Greatest share that can be lost."""

    def lost(self, lowest_c: Floats) -> Floats:
        """Share lost in a night with such a lowest temperature. 0..1"""
        deep = (self.begins_c - lowest_c) / self.over_k
        return np.asarray(np.clip(deep, 0.0, 1.0) * self.most)


def limits_of(
    crop: Crop, needs: Needs, *, hardiness: float = 0.0, days_there: int = 0
) -> tuple[Limit, ...]:
    """
    The limits of a stage, as the crop table has them.

    What is still in the medium (seed, root cuttings, tubers) is harmed by the cold of
    the root zone, all else by that of the air.

    Parameters
    ----------
    hardiness : float
        Of plants that stand in that air (``Climate.hardiness``), which moves the frost
        limit of crops that harden once they have stood there for some days. 0..1
    days_there : int
        Days it has stood there in this stage.
    """
    found = []
    by_state = limits_c(crop, needs)
    if by_state is not None:
        soft_c, hard_c = by_state
        now = np.array(hardiness)
        state = newcomer(now, now, days_there)
        found.append(
            Limit(
                harm="frost",
                where="air",
                begins_c=round(float(frost_limit(soft_c, hard_c, state)), 1),
                over_k=DAMAGE_OVER_K,
            )
        )
    elif needs.damage_c is not None:
        found.append(
            Limit(
                harm="frost",
                where="root zone" if below_ground(crop, needs) else "air",
                begins_c=needs.damage_c,
                over_k=DAMAGE_OVER_K,
            )
        )
    if needs.root_kill_c is not None:
        found.append(
            Limit(
                harm="roots",
                where="root zone",
                begins_c=needs.root_kill_c,
                over_k=KILL_OVER_K,
            )
        )
    if needs.min_c is not None:
        found.append(
            Limit(
                harm="chill",
                where="air",
                begins_c=needs.min_c - CHILL_SHORT_K,
                over_k=CHILL_SHORT_K,
                most=2 * CHILL_LOSS,
            )
        )
    return tuple(found)
