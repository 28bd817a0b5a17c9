"""The seasons of the benchmark, by name; the same name and seed, the same season."""

import re
from dataclasses import dataclass, replace

from benchmarks.seasons import Invented, invented_season
from benchmarks.snap_tables import near, snap

from propsched.optimise.problem import Route


@dataclass(frozen=True)
class Case:
    """
    A season: batches×spaces, such as 60x8, with w for moves at weekends only, h for
    two spaces heated by the week and a bed whose making up is open, and the fullness
    after a colon: 60x8w:0.7.
    """

    size: str
    seed: int = 1
    old: tuple[Route, ...] | None = None
    """A plan in force, before some days turned colder than its season had it."""

    def invented(self) -> Invented:
        if self.old is None:
            return season(self.size, self.seed)
        with snap():
            cold = season(self.size, self.seed)
        return replace(cold, problem=near(cold.problem, self.old))


def season(size: str, seed: int) -> Invented:
    """The season a size stands for."""
    found = re.fullmatch(r"(\d+)x(\d+)(w?)(h?)(?::([\d.]+))?", size)
    if found is None:
        raise SystemExit(f"{size}: a size is batches×spaces, such as 60x8 or 60x8w:0.7")
    batches, spaces, weekends, switched, fullness = found.groups()
    return invented_season(
        int(batches),
        int(spaces),
        seed=seed,
        weekends=bool(weekends),
        switched=bool(switched),
        fullness=float(fullness or 0.5),
    )
