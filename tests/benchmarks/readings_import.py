"""
How long the import of a logger's file takes.

A file of so many rows (default 100,000; days first, 12-hour clock, °F, two columns
for the time, so nothing is easy), first into an empty season, then the same again on
top of itself, then one that has grown by a tenth. Each run is a fresh process, its
start included.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

ROOT = Path(__file__).resolve().parents[2]
SEASON = """\
format = 1
[season]
name = "invented"
start = 2026-11-01
end = 2027-05-31
[site]
latitude = 53.0
[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 1.0
"""


def logger_file(path: Path, rows: int) -> None:
    """Write readings two minutes apart."""
    times = pd.date_range("2026-11-01", periods=rows, freq="2min")
    temps = 48 + 6 * np.sin(np.arange(rows) / 720)
    lines = (
        f"{stamp:%d/%m/%Y},{stamp:%I:%M:%S %p},{temp:.1f}"
        for stamp, temp in zip(times, temps, strict=True)
    )
    path.write_text("Logger 7\n\nDate,Time,Temp (°F)\n" + "\n".join(lines) + "\n")


def imported(season: Path, file: Path) -> tuple[float, float, str]:
    """Seconds by the clock and of the processor, and the answer of one import."""
    command = [sys.executable, "-m", "propsched", "note", str(season), "--import"]
    options = [str(file), "--space", "frame", "--today", "2027-05-31"]
    start, busy = time.perf_counter(), sum(os.times()[2:4])
    run = subprocess.run(
        [*command, *options], capture_output=True, text=True, check=True, cwd=ROOT
    )
    seconds = time.perf_counter() - start
    return seconds, sum(os.times()[2:4]) - busy, run.stdout.splitlines()[1]


def main(rows: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        season = Path(name)
        (season / "season.toml").write_text(SEASON)
        file = season / "logger.csv"
        logger_file(file, rows)
        print(f"{rows:,} rows, {file.stat().st_size / 1e6:.1f} MB")
        for what in ("into an empty season", "the same file again", "a tenth longer"):
            if what == "a tenth longer":
                logger_file(file, rows + rows // 10)
            seconds, busy, answer = imported(season, file)
            print(f"{what:<22} {seconds:5.2f} s ({busy:.2f} s processor)  {answer}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
