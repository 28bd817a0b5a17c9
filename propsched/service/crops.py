"""The crop table searched, one row of it shown, and what its figures rest on."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import nan
from pathlib import Path

import numpy as np

from propsched.biology.response import rate_per_day
from propsched.domain.crop import BASES, METHODS, Crop, Figure, Needs
from propsched.domain.crop_names import plain_name, singulars
from propsched.domain.crop_table import CropTable
from propsched.errors import UnknownNameError
from propsched.files.crop_table import OWN_SOURCE, read_crop_table, shipped_table
from propsched.service.overridden import changed

NAMES = frozenset({"latin", "also", "like"})
"""Words about a crop, which are no figures of it."""
PLOTTED_C = tuple(float(t) for t in np.arange(-2.0, 45.5, 0.5))
"""Temperatures of the curves. [°C]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CropRow:
    """One row of the list; the keys of ``crops --format csv``."""

    crop: str
    method: str
    latin: str
    also: tuple[str, ...]
    stages: tuple[str, ...]
    figures: int
    memory: int
    """Figures recalled without a source."""
    own: int
    """Figures of the season's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """One figure of the crop shown; the keys of ``crops CROP --format csv``."""

    stage: str
    figure: str
    value: str
    basis: str
    source: str
    group: str
    """The group of crops it is shared with; blank for the crop's own."""
    note: str
    shipped: str | None
    """Value in the shipped table where the season overrides it."""
    overridden: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Rate and final fraction of one stage against temperature."""

    stage: str
    temps_c: tuple[float, ...]
    rate_per_day: tuple[float, ...]
    """Share of the way to half through, per day. [1/d]"""
    fraction: tuple[float, ...]
    """NaN all along where the table has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CropShown:
    crop: str
    method: str
    latin: str
    also: tuple[str, ...]
    figures: tuple[FigureRow, ...]
    curves: tuple[Curve, ...]
    sources: dict[str, str]
    """Citations of the sources used, by key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CropsAnswer:
    rows: tuple[CropRow, ...]
    shown: CropShown | None = None
    """Where one row is meant."""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BasesRow:
    """What the figures of some rows rest on; the keys of ``--bases --format csv``."""

    method: str
    """``all`` at the end; ``each once`` counts what crops share a single time."""
    rows: int
    figures: int
    published: int
    derived: int
    common_practice: int
    memory: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BasesAnswer:
    rows: tuple[BasesRow, ...]
    alike: tuple[tuple[str, ...], ...]
    """Rows that share every figure, as ``crop (method)``."""
    notes: tuple[str, ...] = ()


def crops(
    words: Sequence[str] = (),
    *,
    method: str | None = None,
    folder: Path | None = None,
) -> CropsAnswer:
    """
    Search the crop table.

    Parameters
    ----------
    words : sequence of str
        A crop as people type it, or words that its names hold; none lists all.
    method : str, optional
        Only rows of this method.
    folder : Path, optional
        A season, whose ``crops.csv`` is laid over the shipped table.

    Raises
    ------
    UnknownNameError
        If no row fits; the message offers what is near.
    InvalidInputError
        With every fault of the season's own figures.
    """
    table, shipped = _tables(folder)
    name = " ".join(words)
    found = table.find(name) if name else table.crops
    exact = bool(name and found)
    if not found:
        found = tuple(_holding(table, words))
    if not found:
        near = table.near(name)
        hint = f" – did you mean {' or '.join(near)}?" if near else ""
        raise UnknownNameError(f'no crop "{name}"{hint}')
    rows = [crop for crop in found if method in (None, crop.method)]
    if not rows:
        has = ", ".join(dict.fromkeys(crop.method for crop in found))
        raise UnknownNameError(f'nothing found by method "{method}" – {has}')
    before = {crop.key: crop for crop in shipped.crops}
    notes: tuple[str, ...] = ()
    if exact and len(rows) > 1 and len({crop.name for crop in rows}) == 1:
        ways = ", ".join(crop.method for crop in rows)
        notes = (f"{rows[0].name} has several rows: show one by --method, of {ways}",)
    return CropsAnswer(
        rows=tuple(_row(crop, before.get(crop.key)) for crop in rows),
        shown=_shown(rows[0], before.get(rows[0].key), table.citations)
        if name and len(rows) == 1
        else None,
        notes=notes,
    )


def bases(folder: Path | None = None) -> BasesAnswer:
    """Count the figures of the crop table by what they rest on."""
    table, _ = _tables(folder)
    rows = [
        _counted(method, [crop for crop in table.crops if crop.method == method])
        for method in METHODS
    ]
    each = {(f.crop, f.method, f.stage, f.name): f for f in _figures(table.crops)}
    return BasesAnswer(
        rows=(
            *(row for row in rows if row.rows),
            _counted("all", table.crops),
            _tally("each once", len(table.crops), each.values()),
        ),
        alike=tuple(alike(table.crops)),
    )


def alike(rows: Iterable[Crop]) -> Iterator[tuple[str, ...]]:
    """Yield the rows whose every figure, names apart, is the same as another's."""
    same: dict[frozenset[tuple[str, ...]], list[str]] = defaultdict(list)
    for crop in rows:
        figures = frozenset(
            (f.stage, f.name, f.value) for f in _figures([crop]) if f.name != "hazard"
        )
        same[figures].append(f"{crop.name} ({crop.method})")
    for names in same.values():
        if len(names) > 1:
            yield tuple(names)


def _tables(folder: Path | None) -> tuple[CropTable, CropTable]:
    """The table in use and the shipped one."""
    shipped = shipped_table()
    return (
        shipped if folder is None else read_crop_table(folder / "crops.csv")
    ), shipped


def _holding(table: CropTable, words: Sequence[str]) -> Iterator[Crop]:
    """Rows in whose names every word is found, short ones as a beginning only."""
    wanted = [singulars(plain_name(word)) for word in words]
    for crop in table.crops:
        names = plain_name(" ".join((crop.name, *crop.also, crop.latin))).split()
        if all(any(_within(f, n) for n in names for f in forms) for forms in wanted):
            yield crop


def _within(form: str, name: str) -> bool:
    return name.startswith(form) or (len(form) >= 4 and form in name)


def _figures(rows: Iterable[Crop]) -> Iterator[Figure]:
    return (f for crop in rows for f in crop.figures if f.name not in NAMES)


def _row(crop: Crop, shipped: Crop | None) -> CropRow:
    figures = list(_figures([crop]))
    if shipped is None:
        own = sum(f.source == OWN_SOURCE for f in figures)
    else:
        own = len(list(changed(crop, shipped)))
    return CropRow(
        crop=crop.name,
        method=crop.method,
        latin=crop.latin,
        also=crop.also,
        stages=tuple(needs.stage for needs in crop.stages),
        figures=len(figures),
        memory=sum(f.basis == "memory" for f in figures),
        own=own,
    )


def _shown(crop: Crop, shipped: Crop | None, citations: dict[str, str]) -> CropShown:
    mine = {} if shipped is None else {
        (one.stage, one.figure): one for one in changed(crop, shipped)
    }  # fmt: skip
    rows = []
    for f in crop.figures:
        if f.name in ("latin", "also"):
            continue
        one = mine.get((f.stage, f.name))
        rows.append(
            FigureRow(
                stage=f.stage,
                figure=f.name,
                value=f.value,
                basis=f.basis,
                source=f.source,
                group=f.crop if f.crop != crop.name else "",
                note=f.note,
                shipped=one.shipped if one else None,
                overridden=one is not None or f.source == OWN_SOURCE,
            )
        )
    keys = dict.fromkeys(f.source for f in crop.figures if f.source)
    return CropShown(
        crop=crop.name,
        method=crop.method,
        latin=crop.latin,
        also=crop.also,
        figures=tuple(rows),
        curves=tuple(_curve(n) for n in crop.stages if n.sum_c_d > 0 or n.fraction),
        sources={key: citations.get(key, "the season's own") for key in keys},
    )


def _curve(needs: Needs) -> Curve:
    temps = np.array(PLOTTED_C)
    rate = (
        rate_per_day(temps, needs) if needs.sum_c_d > 0 else np.full(temps.shape, nan)
    )
    if needs.fraction:
        at, share = np.array(needs.fraction).T
        fraction = np.interp(temps, at, share)
    else:
        fraction = np.full(temps.shape, nan)
    return Curve(
        stage=needs.stage,
        temps_c=PLOTTED_C,
        rate_per_day=tuple(float(r) for r in rate),
        fraction=tuple(float(f) for f in fraction),
    )


def _counted(method: str, rows: Sequence[Crop]) -> BasesRow:
    return _tally(method, len(rows), _figures(rows))


def _tally(method: str, rows: int, figures: Iterable[Figure]) -> BasesRow:
    count = dict.fromkeys(BASES, 0)
    for figure in figures:
        count[figure.basis] += 1
    return BasesRow(
        method=method,
        rows=rows,
        figures=sum(count.values()),
        published=count["published"],
        derived=count["derived"],
        common_practice=count["common practice"],
        memory=count["memory"],
    )
