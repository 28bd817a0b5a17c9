"""A probe held in ice or beside a better thermometer into its ``offset_c``."""

from collections.abc import Sequence
from pathlib import Path

from propsched.errors import PropschedError
from propsched.service.noted import NoteAnswer, named_probe, only_season
from propsched.thermal.probe import DEFAULT_RESOLUTION_C, offset_against

FAR_K = 3.0
"""More than a thermometer is likely to be wrong by; judgement. [K]"""
SCATTER_K = 0.5
"""More than a probe at rest scatters; judgement. [K]"""


def probe_offset(
    folder: Path, name: str, temps_c: Sequence[float], *, true_c: float = 0.0
) -> NoteAnswer:
    """
    The line that belongs into ``season.toml``; nothing is written.

    Parameters
    ----------
    temps_c : sequence of float
        What the probe showed at rest. [°C]
    true_c : float
        What a better thermometer showed; 0 is crushed ice in water. [°C]
    """
    if not temps_c:
        raise PropschedError("no temperature given")
    probe = named_probe(only_season(folder), name)
    digit = probe.resolution_c if probe else DEFAULT_RESOLUTION_C
    offset, sd = offset_against(temps_c, digit, true_c=true_c)
    offset = round(offset, 2) + 0.0
    notes = []
    if abs(offset) > FAR_K:
        notes.append(
            f"{abs(offset):.1f} K is a lot: is it a sound probe, well stirred?"
        )
    if max(temps_c) - min(temps_c) > max(SCATTER_K, 2 * digit):
        notes.append("the readings lie far apart: wait until the probe rests")
    where = "in ice" if true_c == 0 else f"at {true_c:g} °C"
    was = f" (now {probe.offset_c:g})" if probe else ""
    line = (
        f"Probe {name} {where}: write offset_c = {offset:g}{was} under its [[probe]] "
        f"in season.toml; known to ±{1.28 * sd:.1f} K (80 %)."
    )
    return NoteAnswer(lines=(line,), notes=tuple(notes))
