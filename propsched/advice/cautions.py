"""Hazards of manure, mains heat, water and stock, where a season calls for them."""

from collections.abc import Iterable, Mapping

from propsched.domain.batch import Batch
from propsched.domain.crop import Crop
from propsched.domain.plan import Plan
from propsched.domain.season import Season
from propsched.domain.space import Space

MANURES = frozenset({"fresh", "strawy", "old", "leaf-diluted"})
"""Materials of a hotbed or heap with stable manure in them."""
_WATER_WORDS = ("pond", "water", "pool", "lake", "stream")


def cautions(
    season: Season,
    batches: Iterable[Batch],
    crops: Mapping[str, Crop],
    *,
    plan: Plan | None = None,
) -> tuple[str, ...]:
    """
    What to be careful of; each only where a space or a batch calls for it.

    ``crops`` is by batch. With a ``plan``, the food interval is given only if
    edible crops stand on manure in it, without one if they could.
    """
    batches = tuple(batches)
    found = [
        *_manure(season, batches, crops, plan),
        *_mains(season.spaces),
        *_water(season.spaces),
        *_stock(batches, crops),
    ]
    return tuple(found)


def _manure(
    season: Season,
    batches: tuple[Batch, ...],
    crops: Mapping[str, Crop],
    plan: Plan | None,
) -> list[str]:
    piles = [s for s in season.spaces if s.kind in ("hotbed", "heap")]
    if not piles:
        return []
    names = _names(s.id for s in piles)
    out = [
        f"{names}: wash hands after handling manure or compost and cover cuts "
        "(tetanus); turn and open heaps and bags in the open air and do not breathe "
        "the dust, which can carry Legionella and mould spores."
    ]
    dung = [s for s in piles if s.material in MANURES]
    if not dung:
        return out
    out.append(
        f"{_names(s.id for s in dung)}: bought manure, hay or straw can hold "
        "weed-killer that cripples seedlings; grow a few beans in a potful first, "
        "and keep it off the beds if they come up twisted."
    )
    if _food_on({s.id for s in dung if s.kind == "hotbed"}, batches, crops, plan):
        out.append(
            "Food on raw manure: leave 120 days between raw manure and harvest where "
            "the part that is eaten touches the soil, 90 days where it does not "
            "(US National Organic Program, 7 CFR 205.203(c)(1)); where local rules "
            "ask for more, they come first."
        )
    return out


def _food_on(
    beds: set[str],
    batches: tuple[Batch, ...],
    crops: Mapping[str, Crop],
    plan: Plan | None,
) -> bool:
    edible = {b.id for b in batches if b.id in crops and crops[b.id].edible}
    if plan is None:
        return bool(beds and edible)
    return any(p.batch in edible and p.space in beds for p in plan.placements)


def _mains(spaces: tuple[Space, ...]) -> list[str]:
    heated = [s.id for s in spaces if s.heat is not None or s.lamp is not None]
    if not heated:
        return []
    return [
        f"{_names(heated)}: mains electricity near water. Use gear rated for wet "
        "places behind residual-current protection, have the wiring done by a "
        "qualified electrician, and follow the local wiring rules."
    ]


def _water(spaces: tuple[Space, ...]) -> list[str]:
    wet = [
        s.id
        for s in spaces
        if s.kind == "check-point" and any(w in s.id.lower() for w in _WATER_WORDS)
    ]
    if not wet:
        return []
    return [
        f"{_names(wet)}: do not take readings alone at deep water, and never push a "
        "probe through a liner."
    ]


def _stock(batches: tuple[Batch, ...], crops: Mapping[str, Crop]) -> list[str]:
    by_crop = {
        crops[b.id].name: crops[b.id].hazard
        for b in batches
        if b.id in crops and crops[b.id].hazard
    }
    return [f"{name}: {_clause(by_crop[name])}." for name in sorted(by_crop)]


def _clause(sentence: str) -> str:
    return (sentence[:1].lower() + sentence[1:]).rstrip(".")


def _names(ids: Iterable[str]) -> str:
    return ", ".join(ids)
