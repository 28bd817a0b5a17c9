"""Where a probe that still creeps will end, as far as its readings tell."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from propsched.errors import PropschedError
from propsched.service.noted import named_probe, only_season
from propsched.thermal.probe import DEFAULT_RESOLUTION_C
from propsched.thermal.settling import Unsettled, settle

EIGHTY = 1.28
"""Standard deviations to either side that hold 80 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """What readings on their way to rest say; stored is nothing."""

    temps_c: tuple[float, ...]
    """As shown, those it is told from. [°C]"""
    minutes: tuple[float, ...]
    end_c: float | None = None
    """As the probe would show it in the end; None: that cannot be told yet. [°C]"""
    half_c: float | None = None
    """80 % of such ends lie within so much of it. [K]"""
    at_rest: bool = False
    """They have come to rest: their mean, not where a curve ends."""
    longer: bool = False
    """A longer wait would be surer than arithmetic."""
    why: str = ""
    """Why it cannot be told."""


def so_far(
    folder: Path,
    temps_c: Sequence[float],
    minutes: Sequence[float],
    *,
    probe: str | None = None,
) -> SoFar:
    """
    Say where a sequence ends, without storing it.

    Parameters
    ----------
    temps_c : sequence of float
        As shown. [°C]
    minutes : sequence of float
        When each was taken, increasing. [min]
    probe : str, optional
        None: the season's only one, if there is one.

    Raises
    ------
    PropschedError
        Where times do not increase, or there is no such probe.
    """
    if any(b <= a for a, b in pairwise(minutes)):
        raise PropschedError("readings of one moment cannot tell where they end")
    known = named_probe(only_season(folder), probe)
    digit = known.resolution_c if known else DEFAULT_RESOLUTION_C
    found = settle(temps_c, minutes, resolution_c=digit)
    shown = SoFar(temps_c=tuple(temps_c), minutes=tuple(minutes))
    if isinstance(found, Unsettled):
        return replace(shown, why=found.why)
    return replace(
        shown,
        end_c=round(found.end_c, 2),
        half_c=round(EIGHTY * found.sd_c, 2),
        at_rest=found.how == "averaged",
        longer=found.longer_would_help,
    )
