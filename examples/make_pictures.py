"""
The pictures of the README, drawn from the examples.

    python examples/make_pictures.py

Writes into ``examples/pictures``: how warm the walled garden's frame is (warmth), how
quick three crops are at what temperature (plants), who stands where in the small
example (plan).
"""

import shutil
import sys
import tempfile
import threading
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402

from propsched.biology.response import rate_per_day  # noqa: E402
from propsched.files.crop_table import shipped_table  # noqa: E402
from propsched.report.figures import (  # noqa: E402
    drawn,
    timeline_figure,
    warmth_figure,
)
from propsched.service.opened import open_season  # noqa: E402
from propsched.service.planner import make_plan  # noqa: E402
from propsched.service.request import Request  # noqa: E402
from propsched.service.temps import temps  # noqa: E402

PICTURES = ROOT / "examples" / "pictures"
GARDEN, TODAY = ROOT / "examples" / "walled-garden", date(2026, 11, 15)
SMALL, SMALL_TODAY = ROOT / "examples" / "windowsill-five", date(2027, 3, 1)
CROPS = (("leek", "seed", "-"), ("tomato", "seed", "--"), ("holly", "evergreen", ":"))


def warmth() -> Figure:
    answer = temps(GARDEN, today=TODAY, spaces=["cold-frame"])
    season = open_season(GARDEN, today=TODAY).season
    return warmth_figure(answer.rows, season, TODAY)


def plants() -> Figure:
    """Per cent of the way to half through, made in a day at a constant temperature."""
    figure = Figure(figsize=(12, 4.5), layout="constrained")
    axes = figure.add_subplot()
    temp_c = np.arange(0.0, 40.1, 0.1)
    for name, method, line in CROPS:
        (crop,) = shipped_table().find(name, method)
        start = next(needs for needs in crop.stages if needs.stage == "start")
        rate = 100 * rate_per_day(temp_c, start)
        axes.plot(temp_c, rate, f"k{line}", label=f"{name}, {method}")
        least, most = start.base_c, start.opt_c
        told = f"{name}: from {least:g}, quickest at {most:g} °C"
        axes.annotate(
            told,
            (most, 100 * float(rate_per_day(most, start))),
            xytext=(4, 4),
            textcoords="offset points",
            fontsize=9,
        )
    axes.set_xlim(0, 40)
    axes.set_ylim(0)
    axes.set_xlabel("root zone, °C")
    axes.set_ylabel("% of the way in a day")
    axes.set_title("How far seed or cuttings get in a day")
    axes.legend(loc="upper left", fontsize=9)
    return figure


def plan() -> Figure:
    with tempfile.TemporaryDirectory() as where:
        folder = Path(where) / "season"
        shutil.copytree(SMALL, folder)
        request = Request(folder=folder, today=SMALL_TODAY, reproducible=True)
        found = make_plan(request, lambda event: None, threading.Event()).plan
        season = open_season(folder, today=SMALL_TODAY).season
        return timeline_figure(found, season, SMALL_TODAY)


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    for make in (warmth, plants, plan):
        path = PICTURES / f"{make.__name__}.svg"
        path.write_bytes(drawn(make(), "svg"))
        print(path.relative_to(ROOT))


if __name__ == "__main__":
    main()
