"""Hazards of manure, mains heat, water and stock, where a season calls for them."""

from collections.abc import Iterable, Mapping

from propsched.advice.job import DUTIES, Job
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
    return (
        *_of_spaces(season.spaces, batches, crops, plan),
        *_stock(batches, crops),
    )


def cautions_of_jobs(
    jobs: Iterable[Job],
    season: Season,
    batches: Iterable[Batch],
    crops: Mapping[str, Crop],
    *,
    plan: Plan | None = None,
) -> tuple[str, ...]:
    """
    Only what the jobs touch.

    Stock that is handled; beds made up or put something on; heated spaces that
    something goes to or that are switched; water where readings are due.
    """
    jobs, batches = tuple(jobs), tuple(batches)
    touched = {job.space for job in jobs if job.kind not in DUTIES}
    reading = any(job.kind == "take readings" for job in jobs)
    spaces = tuple(
        space
        for space in season.spaces
        if space.id in touched or (reading and space.kind == "check-point")
    )
    handled = {job.batch for job in jobs}
    stock = tuple(batch for batch in batches if batch.id in handled)
    return (*_of_spaces(spaces, batches, crops, plan), *_stock(stock, crops))


def _of_spaces(
    spaces: tuple[Space, ...],
    batches: tuple[Batch, ...],
    crops: Mapping[str, Crop],
    plan: Plan | None,
) -> list[str]:
    return [
        *_manure(spaces, batches, crops, plan),
        *_mains(spaces),
        *_water(spaces),
    ]


def _manure(
    spaces: tuple[Space, ...],
    batches: tuple[Batch, ...],
    crops: Mapping[str, Crop],
    plan: Plan | None,
) -> list[str]:
    piles = [s for s in spaces if s.kind in ("hotbed", "heap")]
    if not piles:
        return []
    names = _names(s.id for s in piles)
    out = [
        f"{names}: wash hands after manure or compost and cover cuts (tetanus); turn "
        "heaps and open bags outdoors, out of the dust (Legionella, mould spores)."
    ]
    dung = [s for s in piles if s.material in MANURES]
    if not dung:
        return out
    out.append(
        f"{_names(s.id for s in dung)}: bought manure or straw can hold weed-killer "
        "that cripples seedlings: grow beans in a potful first; it is no good if they "
        "come up twisted."
    )
    if _food_on({s.id for s in dung if s.kind == "hotbed"}, batches, crops, plan):
        out.append(
            "Food on raw manure: 120 days to harvest where the eaten part touches the "
            "soil, else 90 days (US 7 CFR 205.203(c)(1)); stricter local rules come "
            "first."
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
        f"{_names(heated)}: mains near water: gear for wet places, residual-current "
        "protection, a qualified electrician for the wiring, local wiring rules first."
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


def _stock(batches: Iterable[Batch], crops: Mapping[str, Crop]) -> list[str]:
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
