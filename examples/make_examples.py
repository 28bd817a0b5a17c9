"""
Write the invented weather, history and readings of the example seasons.

Run from the project's root: ``python examples/make_examples.py [FOLDER]``.  The same
program writes the same bytes.  Nothing in it is measured.
"""

import sys
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from propsched.thermal.generator import generate

HERE = Path(__file__).parent
MADE_UP = "# invented by examples/make_examples.py, not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One season folder, and the days its invented weather covers."""

    folder: str
    seed: int
    weather_from: date
    today: date
    """Last observed day; a week of forecast follows."""
    history_from: date | None = None
    """None: no history, winters come from the normals."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Probed:
    """A space that somebody probes, as a smoothed copy of the weather."""

    space: str
    depth_cm: int
    memory_d: float
    """Days over which it forgets the weather; 0: does not feel it. [d]"""
    lift_c: float
    """Warmer than the smoothed air by this, or its temperature with no memory."""


EXAMPLES = (
    Example(
        folder="walled-garden",
        seed=1971,  # a mild first half of November, then a colder week
        history_from=date(2001, 8, 1),
        weather_from=date(2026, 8, 1),
        today=date(2026, 11, 15),
    ),
    Example(
        folder="windowsill-five",
        seed=5,
        weather_from=date(2026, 12, 1),
        today=date(2027, 3, 1),
    ),
)
PROBED = (
    Probed(space="border", depth_cm=15, memory_d=6, lift_c=0.6),
    Probed(space="leaf-bed", depth_cm=15, memory_d=9, lift_c=1.2),
    Probed(space="cold-frame", depth_cm=8, memory_d=4, lift_c=2.0),
    Probed(space="glasshouse", depth_cm=8, memory_d=3, lift_c=1.6),
    Probed(space="windowsill", depth_cm=8, memory_d=0, lift_c=16.4),
    Probed(space="heap", depth_cm=30, memory_d=0, lift_c=12.0),
    Probed(space="pond", depth_cm=15, memory_d=12, lift_c=0.2),
)
FORECAST_D = 7
READINGS_D = 21
"""Days of readings up to today."""


def write_example(example: Example, root: Path) -> list[Path]:
    """Write the made files of one example below a root folder; return their paths."""
    folder = root / example.folder
    folder.mkdir(parents=True, exist_ok=True)
    site = _season(example)["site"]
    first = example.history_from or example.weather_from
    last = example.today + timedelta(days=FORECAST_D)
    low, high = (
        np.round(values[0], 1) + 0.0  # no minus before a zero
        for values in generate(
            site["normals_tmin_c"],
            site["normals_tmax_c"],
            first,
            (last - first).days + 1,
            winters=1,
            seed=example.seed,
        )
    )
    history: list[str] = []
    weather: list[str] = []
    for i in range(low.size):
        day = first + timedelta(days=i)
        row = f"{day},{low[i]:.1f},{high[i]:.1f}"
        if day < example.weather_from:
            history.append(row)
        else:
            kind = "observed" if day <= example.today else "forecast"
            weather.append(f"{row},{kind}")
    written = [
        _write(folder / "weather.csv", "date,tmin_c,tmax_c,kind", weather),
    ]
    if history:
        header = "date,tmin_c,tmax_c"
        written.append(_write(folder / "history.csv", header, history))
    probes = _season(example).get("probe")
    if probes:
        mean_c = ((low + high) / 2)[:-FORECAST_D]
        rows = _readings(example, probes[0], mean_c)
        header = "time,space,depth_cm,temp_c,probe,note"
        written.append(_write(folder / "readings.csv", header, rows))
    return written


def _season(example: Example) -> dict[str, Any]:
    text = (HERE / example.folder / "season.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _readings(
    example: Example, probe: dict[str, Any], mean_c: NDArray[np.float64]
) -> list[str]:
    """A morning round at weekends and on Wednesdays."""
    noise = np.random.default_rng([example.seed, 1])
    rows = []
    for back in range(READINGS_D, -1, -1):
        day = example.today - timedelta(days=back)
        if day.weekday() not in (2, 5, 6):
            continue
        clock = datetime.combine(day, time(8, 30))
        until = mean_c[: mean_c.size - back]
        for probed in PROBED:
            truth = probed.lift_c + noise.normal(0, 0.25)
            if probed.memory_d:
                truth += _smoothed(until, probed.memory_d)
            shown = truth - probe["offset_c"]
            rows.append(
                f"{clock:%Y-%m-%d %H:%M},{probed.space},{probed.depth_cm},"
                f"{shown:.1f},{probe['id']},"
            )
            clock += timedelta(minutes=4)
    return rows


def _smoothed(daily: NDArray[np.float64], memory_d: float) -> float:
    """Mean of the days so far, each counting less by e in so many days."""
    weights = np.exp(-np.arange(daily.size)[::-1] / memory_d)
    return float(weights @ daily / weights.sum())


def _write(path: Path, header: str, rows: Sequence[str]) -> Path:
    text = "\n".join([MADE_UP, header, *rows]) + "\n"
    path.write_bytes(text.encode())
    return path


def main(root: Path = HERE) -> None:
    """Write every example and say what was written."""
    for example in EXAMPLES:
        for path in write_example(example, root):
            print(path)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
