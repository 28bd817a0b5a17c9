"""A batch made whole: its crop with the batch's container, its numbers."""

from dataclasses import dataclass, replace
from datetime import date
from math import ceil

from propsched.biology.seed_age import NEW, life_years, viability
from propsched.domain.batch import Batch, part_name
from propsched.domain.container import Container
from propsched.domain.crop import UNSTARTED, Crop, Needs
from propsched.domain.halves import half_of, halves_of

LARGEST_SPARE = 20.0
"""Seed sown over need is counted up to this multiple."""
HARVESTED = (10, 1)
"""Month and day from which seed of a year counts as stored."""
LEAST_ALIVE = 0.05
"""Older seed than that is sown all the same, thickly."""


@dataclass(frozen=True, slots=True)
class Raised:
    """A batch with the crop row that governs it."""

    batch: Batch
    crop: Crop
    """With the batch's own container in its stages."""
    sown: int
    """Seeds, cuttings or pieces started."""
    spare: float
    """Plants the seed sown would give at best ÷ plants wanted."""
    part: int = 0
    """1 or 2 for one half of a batch that may be split; 0: the whole."""
    moves_on: int | None = None
    """Day of the season on which it may be moved from where it stands: its present
    stage is there twice, until then and from then on. None: once it is through."""

    @property
    def name(self) -> str:
        """``leek``, or ``leek (1 of 2)``."""
        return part_name(self.batch.id, self.part) if self.part else self.batch.id

    @property
    def profile(self) -> tuple[str, str, str]:
        """Batches with the same profile share their tables."""
        own = "" if self.moves_on is None else f" {self.name} from {self.moves_on}"
        return self.crop.name, self.crop.method, container_text(self.crop) + own

    def plants(self, stage: int) -> int:
        """Plants that take up room: all that is sown until it has started.

        Seed sown in the row is thinned to the spacing, whatever was sown.
        """
        before = [needs.stage for needs in self.crop.stages[: stage + 1]]
        started = any(name not in UNSTARTED for name in before)
        row = self.crop.stages[stage].container.name == "row"
        thinned = started or (row and self.crop.method == "seed")
        return min(self.sown, self.batch.wanted) if thinned else self.sown


def container_text(crop: Crop) -> str:
    return " ".join(
        f"{n.container.name}/{n.container.holds}/{n.container.in_row_cm:g}"
        f"x{n.container.rows_cm:g}"
        for n in crop.stages
    )


def raised(batch: Batch, crop: Crop) -> Raised:
    """
    Join a batch to its crop row.

    A container that the crop's way already goes through confirms it; another one
    replaces that of the start stage and of the stages that keep the same.
    """
    crop = replace(crop, stages=_with_container(crop.stages, batch.container))
    rate = germination(batch, crop) * best_fraction(crop)
    sown = batch.sown or ceil(batch.wanted / rate - 1e-9)
    spare = min(LARGEST_SPARE, sown * rate / batch.wanted)
    return Raised(batch, crop, sown, spare)


def halves(one: Raised) -> tuple[Raised, ...]:
    """Its two halves, if it may be split and fills two containers somewhere."""
    stages = one.crop.stages
    most = max(n.container.number(one.plants(k)) for k, n in enumerate(stages))
    if most < 2 or one.sown < 2:
        return ()
    return tuple(
        replace(
            one,
            batch=replace(half, id=one.batch.id),
            sown=half_of(one.sown, part),
            part=part,
        )
        for part, half in enumerate(halves_of(one.batch), 1)
    )


def germination(batch: Batch, crop: Crop) -> float:
    """
    Share of the seed that is alive, as the packet says and age has left. 0..1

    Age counts from the autumn of ``seed_year`` to the first date of the batch.
    """
    packet = (batch.germination_pct or 100.0) / 100.0
    on = batch.available_from or batch.wanted_from or batch.wanted_by
    if crop.method != "seed" or batch.seed_year is None or on is None:
        return packet
    years = (on - date(batch.seed_year, *HARVESTED)).days / 365.25
    new = packet if batch.germination_pct else NEW
    left = viability(new, years, life_years(crop.latin)[0]) / new
    return max(packet * left, LEAST_ALIVE)


def best_fraction(crop: Crop) -> float:
    """Share that comes up or roots at the best temperature. 0..1"""
    best = 1.0
    for needs in crop.stages:
        if needs.fraction:
            best *= max(share for _, share in needs.fraction)
    return max(best, 0.01)


def _with_container(
    stages: tuple[Needs, ...], own: Container | None
) -> tuple[Needs, ...]:
    if own is None:
        return stages
    if any(needs.container.name == own.name for needs in stages):
        return tuple(
            replace(n, container=own) if n.container.name == own.name else n
            for n in stages
        )
    start = next(n.container for n in stages if n.stage in UNSTARTED)
    return tuple(
        _moved_to(n, own, by_the_piece=start.name == "row")
        if n.container == start
        else n
        for n in stages
    )


def _moved_to(needs: Needs, own: Container, *, by_the_piece: bool) -> Needs:
    """In another container; work told by the piece is as much for all it holds."""
    pieces = own.capacity if by_the_piece and own.name != "row" else 1
    minutes = needs.min_per_container * pieces
    return replace(needs, container=own, min_per_container=minutes)
