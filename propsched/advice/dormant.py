"""Seed that lies warm, then cold: where a move takes it."""

from datetime import date

from propsched.domain.crop import DORMANT, Crop
from propsched.domain.space import Space, SpaceKind

_WARM_KINDS: frozenset[SpaceKind] = frozenset(
    {"windowsill", "heated-bench", "propagator", "warm-cupboard", "hotbed", "heap"}
)
"""Warm where the season gives neither set point nor room (common practice)."""
_WEEK_D = 7


def stage_after_move(
    crop: Crop, index: int, since: date, space: Space | None, day: date
) -> int:
    """
    Stage of the crop in which a batch is once it is moved to a space.

    Parameters
    ----------
    index : int
        Of the present stage.
    since : date
        Day on which that began.
    space : Space or None
        None: the daybook does not say where, and it stays in its stage.
    day : date
        Of the move.

    Returns
    -------
    int
        The same, or the next one: out of the warmth into a cold space; out of the
        cold into a warm one, or anywhere once the weeks it asks for are over.
    """
    needs = crop.stages[index]
    if space is None or needs.stage not in DORMANT or index + 1 == len(crop.stages):
        return index
    into_cold = crop.stages[index + 1].stage == "chill"
    limit_c = crop.stages[index + 1 if into_cold else index].cold_to_c
    weeks = needs.warm_weeks + needs.cold_weeks
    over = (day - since).days >= weeks * _WEEK_D
    warm = _is_warm(space, limit_c)
    on = not warm if into_cold else over or (needs.stage == "chill" and warm)
    return index + on


def _is_warm(space: Space, limit_c: float) -> bool:
    """Whether it is kept warmer than seed has to lie to be chilled."""
    if space.heat is not None and space.heat.when != "never":
        return space.heat.set_c > limit_c
    if space.room_c is not None:
        return space.room_c > limit_c
    return space.kind in _WARM_KINDS
