"""Harrington & Minges 1954, as reprinted in Knott's Handbook (1997)."""

import csv
from pathlib import Path

SOURCE = Path(__file__).with_name("emergence_by_soil_temperature.csv")
NOT_USABLE = {
    # reprints contradict one another there
    ("celery", 25), ("bean, snap (French)", 35), ("asparagus", 35), ("asparagus", 40),
    ("turnip", 0), ("turnip", 5),
}  # fmt: skip


def cells(crop: str) -> tuple[list[float], list[float], list[float]]:
    """Temperatures, days, and temperatures at which none came."""
    return TABLE[crop]


def _read() -> dict[str, tuple[list[float], list[float], list[float]]]:
    table = {}
    with SOURCE.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            temps: list[float] = []
            days: list[float] = []
            tried = [float(t) for t in row["tested_no_emergence_c"].split(";") if t]
            none = [t for t in tried if (row["crop"], t) not in NOT_USABLE]
            for temp in range(0, 45, 5):
                if row[f"days_{temp}c"] and (row["crop"], temp) not in NOT_USABLE:
                    temps.append(float(temp))
                    days.append(float(row[f"days_{temp}c"]))
                elif row[f"pct_normal_{temp}c"] == "0":
                    none.append(float(temp))
            table[row["crop"]] = temps, days, none
    return table


TABLE = _read()
