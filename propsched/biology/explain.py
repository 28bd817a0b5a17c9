"""Why the ranking of spaces came out as it did, in sentences."""

from collections.abc import Iterator

import numpy as np

from propsched.biology.climate import Climate
from propsched.biology.hardening import limits_c
from propsched.biology.light import USUAL_K, least_light_mol
from propsched.biology.limits import spoken_date
from propsched.biology.pots import WIDTH_CM
from propsched.biology.rank import Ranked
from propsched.biology.survival import DAMPING_CLOSE_PER_WEEK as _CLOSE
from propsched.biology.survival import DAMPING_PER_WEEK as _AIRY
from propsched.domain.crop import UNSTARTED, Crop, Needs

_WEEK_D = 7
_WARMER_K = 6.0
"""Told beside the usual temperature: a room beside a frame."""
_CALLUS_D = 90
"""Slower than this, what is struck before winter roots after it."""
_NO_DIFFERENCE_K = 0.3
"""Less than a grower's probe can tell."""


def explain(
    crop: Crop, climate: Climate, day: int, ranked: tuple[Ranked, ...]
) -> tuple[str, ...]:
    """
    What decides for this crop on this day.

    Parameters
    ----------
    crop : Crop
    climate : Climate
    day : int
        Day of the start.
    ranked : tuple of Ranked
        From ``rank_spaces`` for the same crop and day.

    Returns
    -------
    tuple of str
        Sentences: what the method asks for, what the ground gives against the
        air just now, and when the outdoor ones will have rooted.
    """
    needs = next((n for n in crop.stages if n.stage == "start"), crop.stages[0])
    sentences = [*_dormancy(crop), *_method(crop, needs), *_later(crop)]
    ground = _ground(climate)
    if ground is None:
        return tuple(sentences)
    if crop.method not in {"seed", "tuber"}:
        sentences.append(_ground_and_air(climate, ground, day))
    row = next((row for row in ranked if row.variant == ground), None)
    if row is not None and row.allowed:
        sentences.append(_outdoors(climate, row, crop))
    return tuple(sentences)


def _dormancy(crop: Crop) -> Iterator[str]:
    """What seed asks for before it can germinate."""
    warm = next((n for n in crop.stages if n.stage == "warm"), None)
    cold = next((n for n in crop.stages if n.stage == "chill"), None)
    if cold is None:
        return
    window = f"at {_degrees(cold.cold_from_c)} to {_degrees(cold.cold_to_c)}"
    weeks = f"{cold.cold_weeks:g} weeks {window}"
    if warm is None:
        yield f"It comes only after {weeks}; days outside that do not count."
        return
    first = f"{_degrees(warm.warm_from_c)} to {_degrees(warm.warm_to_c)}"
    yield (
        f"It asks first for {warm.warm_weeks:g} weeks at {first}, then for {weeks}:"
        " cold before the warmth counts for nothing, and days outside do not count."
        " Outdoors it lies through a summer for its warmth."
    )


def _method(crop: Crop, needs: Needs) -> tuple[str, ...]:
    if needs.bud_base_c is not None:
        return (
            "Two clocks run: roots come on the warmth at the base, buds on the"
            " warmth of the air. Roots must not come much later than leaves, so"
            " a warm base with cool tops is right and warm air is wrong.",
        )
    if needs.air == "close":
        return (
            "Leafy cuttings have no bud race; they fail by drying, so they need"
            " close air until rooted.",
        )
    if needs.air == "dry":
        return (
            "Leafy cuttings of this kind rot in close air: keep it dry and open"
            " until rooted.",
        )
    if needs.floor_c is not None and crop.method == "seed":
        return (
            f"Below {needs.floor_c:g} °C it does not wait but rots; development"
            f" begins above {needs.base_c:g} °C.",
        )
    return ()


def _later(crop: Crop) -> Iterator[str]:
    """What the stages after it come to stand, and what goes wrong with them."""
    stands = [pair for n in crop.stages if (pair := limits_c(crop, n))]
    if stands:
        soft_c, hard_c = stands[0]
        yield (
            f"Soft plants are harmed from {_degrees(soft_c)}, hardened ones from"
            f" {_degrees(hard_c)}: they harden as the air they stand in cools below"
            " 10 °C, most of it within a fortnight, and soften again in warmth."
        )
    seedling = next((n for n in crop.stages if n.stage == "seedling"), None)
    if seedling is not None and seedling.light_min_mol > 0:
        usual_c = seedling.base_c + USUAL_K
        warmer_mol = least_light_mol(seedling, usual_c + _WARMER_K)
        yield (
            f"Seedlings draw under {seedling.light_min_mol:.3g} mol/m² of light a day"
            f" at {_degrees(usual_c)} and under {warmer_mol:.2g} where they are"
            f" {_WARMER_K:g} K warmer, and damp off at {_CLOSE:.0%} a week where it is"
            f" close and dim, {_AIRY:.0%} where it is airy."
        )
    potted = [
        n.root_kill_c
        for n in crop.stages
        if n.root_kill_c is not None
        and n.container.name in WIDTH_CM
        and n.stage not in UNSTARTED
    ]
    if potted:
        yield (
            f"Roots die at {_degrees(max(potted))}: pots out in the open come to"
            " that with the air, the ground much later."
        )
    if crop.bolts_below_c is not None:
        yield (
            f"Days under {crop.bolts_below_c:g} °C after pricking out may make it"
            " bolt: about ten are enough."
        )


def _degrees(temp_c: float) -> str:
    return f"{temp_c:g} °C".replace("-", "−")


def _ground(climate: Climate) -> int | None:
    """First variant of open ground that has standing area."""
    for v, variant in enumerate(climate.zone.variants):
        if variant.space.kind == "open-ground" and variant.space.stands:
            return v
    return None


def _ground_and_air(climate: Climate, ground: int, day: int) -> str:
    first = max(day - _WEEK_D, 0)
    last = max(day, first + 1)
    root_c = float(np.mean(climate.root_mean_c[ground, :, first:last]))
    air_c = float(np.mean(climate.outdoor_mean_c[:, first:last]))
    name = climate.zone.variants[ground].space.id
    week = f"In the week to {spoken_date(climate, day)} the root zone of {name}"
    more = root_c - air_c
    figures = f"{root_c:.1f} °C against {air_c:.1f} °C in the air"
    if more > _NO_DIFFERENCE_K:
        return (
            f"{week} is {more:.1f} K warmer than the air ({figures}): a warmer"
            " base than tops, for nothing."
        )
    if more < -_NO_DIFFERENCE_K:
        return f"{week} is {-more:.1f} K colder than the air ({figures})."
    return f"{week} is as warm as the air ({figures})."


def _outdoors(climate: Climate, row: Ranked, crop: Crop) -> str:
    name = climate.zone.variants[row.variant].space.id
    done = "come up" if crop.method == "seed" else "rooted"
    if row.half_by is None:
        return f"In {name} it will not have {done} by the season's end; it stands over."
    words = f"In {name} half will have {done} about {spoken_date(climate, row.half_by)}"
    if crop.method in {"hardwood", "root"} and (row.days or 0) > _CALLUS_D:
        words += ", callus before and most of the roots in spring"
    if row.stands_over:
        return f"{words}; they stand over."
    return f"{words} and may stand over." if crop.stands_over else f"{words}."
