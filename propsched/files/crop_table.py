"""Read the crop table: shipped figures, groups, and the grower's own on top."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import cast

import propsched
from propsched.domain.crop import BASES, METHODS, Crop, Figure, Method
from propsched.domain.crop_names import plain_name
from propsched.domain.crop_table import CropTable
from propsched.errors import InputProblem
from propsched.files.crop_figures import CROP_FIGURES, STAGE_FIGURES, Cell, build_crop
from propsched.files.source import Faults, Source, one_of, read_source
from propsched.files.table import Columns, read_table

_FIGURES = ("figure", "value")
_ORIGIN = ("basis", "source", "note")
_SHIPPED = Columns(("crop", *_FIGURES), ("stage", *_ORIGIN), exact=True)
_GROUPS = Columns(("group", *_FIGURES), ("stage", *_ORIGIN), exact=True)
OWN_COLUMNS = Columns(("crop", "method", *_FIGURES), ("stage", *_ORIGIN), exact=True)
_SOURCES = Columns(("key", "citation"))
_FILES = ("sources", "groups", *METHODS)
OWN_SOURCE = "own"
"""Source key of the grower's own figures."""

Figures = dict[tuple[str, str], Cell]
"""Figures of one crop or group by (stage, name)."""


@dataclass
class _Sheets:
    """All figures as they stand in the files."""

    groups: dict[str, Figures] = field(default_factory=dict)
    crops: dict[tuple[str, Method], Figures] = field(default_factory=dict)
    citations: dict[str, str] = field(default_factory=dict)
    first: dict[tuple[str, Method], tuple[str, int]] = field(default_factory=dict)


def shipped_folder() -> Path:
    """Return the folder of the shipped table, in the wheel or in the repository."""
    package = Path(propsched.__file__).parent
    packed = package / "_crops"
    return packed if packed.is_dir() else package.parent / "crops"


def read_crop_table(
    own: Path | None = None, *, shipped: Path | None = None
) -> CropTable:
    """
    Return the shipped crop table overlaid by the grower's own ``crops.csv``.

    Raises
    ------
    InvalidInputError
        With every fault of either.
    """
    faults = Faults()
    table = crop_table(own, faults, shipped=shipped)
    faults.raise_if_any()
    return table


@cache
def shipped_table() -> CropTable:
    """Return the shipped crop table, read once."""
    return read_crop_table()


def crop_table(
    own: Path | None, faults: Faults, *, shipped: Path | None = None
) -> CropTable:
    """Return what can be read of the table; its faults are added to ``faults``."""
    folder = shipped or shipped_folder()
    base = _shipped(folder, _stamps(folder))
    faults.found.extend(base.faults)
    mine = None if own is None else read_source(own, faults, needed=False)
    if mine is None:
        return base.table
    sheets = replace(
        base.sheets,
        crops={key: dict(figures) for key, figures in base.sheets.crops.items()},
        first=dict(base.sheets.first),
    )
    if not _read_own(mine, sheets, faults):
        return base.table
    return replace(base.table, crops=_all_resolved(sheets, faults))


@dataclass(frozen=True)
class _Shipped:
    """The table without a grower's rows, and what is wrong with it."""

    sheets: _Sheets
    table: CropTable
    faults: tuple[InputProblem, ...]


def _stamps(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """By which it is told whether a file of the table has changed."""
    paths = (folder / f"{name}.csv" for name in _FILES)
    stats = ((path.name, path.stat()) for path in paths if path.exists())
    return tuple((name, stat.st_mtime_ns, stat.st_size) for name, stat in stats)


@lru_cache(maxsize=4)  # every reading of a season asks for it
def _shipped(folder: Path, stamps: tuple[tuple[str, int, int], ...]) -> _Shipped:
    del stamps
    faults, sheets, digest = Faults(), _Sheets(), sha256()
    sources: list[tuple[str, Source]] = []
    for name in _FILES:
        path = folder / f"{name}.csv"
        source = read_source(path, faults, needed=name == "sources")
        if source:
            digest.update(f"{name} {source.digest}\n".encode())
            sources.append((name, source))
    for name, source in sources:
        if name == "sources":
            _read_citations(source, sheets, faults)
        elif name == "groups":
            _read_groups(source, sheets, faults)
        else:
            _read_crops(source, cast(Method, name), sheets, faults)
    _refuse_same_names(sheets, faults)
    table = CropTable(
        crops=_all_resolved(sheets, faults),
        citations=sheets.citations,
        digest=digest.hexdigest(),
    )
    return _Shipped(sheets, table, tuple(faults.found))


def _all_resolved(sheets: _Sheets, faults: Faults) -> tuple[Crop, ...]:
    return tuple(
        crop for key in sheets.crops if (crop := _resolved(key, sheets, faults))
    )


def _read_citations(source: Source, sheets: _Sheets, faults: Faults) -> None:
    table = read_table(source, _SOURCES, faults)
    for line, cells in table.records() if table else ():
        key, citation = cells.get("key", ""), cells.get("citation", "")
        if not key or not citation:
            faults.add(source.path, line, "has a blank cell", "needs key and citation")
        elif key in sheets.citations:
            faults.add(source.path, line, f'key "{key}" is there twice', "keep one")
        else:
            sheets.citations[key] = citation


def _read_groups(source: Source, sheets: _Sheets, faults: Faults) -> None:
    for line, cells in _figure_rows(source, _GROUPS, faults):
        group = cells["group"]
        if not group.startswith("@"):
            what, right = f'group is "{group}"', f'must start with @: "@{group}"'
            faults.add(source.path, line, what, right)
            continue
        cell = _cell(source.path, line, cells, group, "", sheets, faults)
        if cell:
            _put(sheets.groups.setdefault(group, {}), cell, faults)


def _read_crops(
    source: Source, method: Method, sheets: _Sheets, faults: Faults
) -> None:
    for line, cells in _figure_rows(source, _SHIPPED, faults):
        crop = cells["crop"]
        cell = _cell(source.path, line, cells, crop, method, sheets, faults)
        if cell:
            key = crop, method
            sheets.first.setdefault(key, (source.path, line))
            _put(sheets.crops.setdefault(key, {}), cell, faults)


def _read_own(source: Source, sheets: _Sheets, faults: Faults) -> bool:
    """Lay the grower's rows over the table; whether there are any."""
    names = {plain_name(name): name for name, _ in sheets.crops}
    mine: dict[tuple[str, Method], Figures] = {}
    for line, cells in _figure_rows(source, OWN_COLUMNS, faults):
        method = cells["method"].casefold()
        if method not in METHODS:
            what = f'method is "{cells["method"]}"'
            faults.add(source.path, line, what, one_of(method, METHODS))
            continue
        given = {"basis": "common practice", "source": OWN_SOURCE, **cells}
        crop = names.get(plain_name(cells["crop"]), cells["crop"])
        cell = _cell(source.path, line, given, crop, method, sheets, faults)
        if cell:
            cell = replace(cell, own=True)
            key: tuple[str, Method] = crop, method
            sheets.first.setdefault(key, (source.path, line))
            _put(mine.setdefault(key, {}), cell, faults)
    for key, figures in mine.items():
        sheets.crops.setdefault(key, {}).update(figures)
    return bool(mine)


def _figure_rows(
    source: Source, columns: Columns, faults: Faults
) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield the rows that name a crop or group, a known figure and a value."""
    table = read_table(source, columns, faults)
    if table is None:
        return
    for line, cells in table.records():
        blank = [name for name in columns.needed if name not in cells]
        if blank:
            what = f"{' and '.join(blank)} blank"
            faults.add(source.path, line, what, "every row needs them")
            continue
        figure, stage = cells["figure"], cells.get("stage", "")
        known = STAGE_FIGURES if stage else CROP_FIGURES
        other = CROP_FIGURES if stage else STAGE_FIGURES
        if figure in known:
            cells["decimal_comma"] = "yes" if table.decimal_comma else ""
            yield line, cells
        elif figure in other:
            belongs = "the crop: leave stage blank" if stage else "a stage: name it"
            what = f'figure "{figure}" with stage "{stage}"'
            faults.add(source.path, line, what, f"belongs to {belongs}")
        else:
            what = f'figure is "{figure}"'
            faults.add(source.path, line, what, one_of(figure, known))


def _cell(
    path: str,
    line: int,
    cells: dict[str, str],
    crop: str,
    method: str,
    sheets: _Sheets,
    faults: Faults,
) -> Cell | None:
    """Return one figure with its origin checked."""
    basis, source = cells.get("basis", ""), cells.get("source", "")
    where = f"{crop}, {cells['figure']}"
    if basis not in BASES:
        what = f'{where}: basis is "{basis}"'
        faults.add(path, line, what, f"must be one of {', '.join(BASES)}")
        return None
    if not source and basis in ("published", "derived"):
        right = f"{basis} figures need a key of sources.csv"
        faults.add(path, line, f"{where}: source is blank", right)
    elif source and source not in (*sheets.citations, OWN_SOURCE):
        right = one_of(source, sheets.citations)
        faults.add(path, line, f'{where}: source is "{source}"', right)
    figure = Figure(
        crop=crop,
        method=method,
        stage=cells.get("stage", ""),
        name=cells["figure"],
        value=cells["value"],
        basis=basis,
        source=source,
        note=cells.get("note", ""),
    )
    return Cell(path, line, figure, decimal_comma=bool(cells["decimal_comma"]))


def _put(figures: Figures, cell: Cell, faults: Faults) -> None:
    key = cell.figure.stage, cell.figure.name
    if key in figures:
        what = f"{cell.where} is given twice (first in line {figures[key].line})"
        faults.add(cell.path, cell.line, what, "keep one")
    else:
        figures[key] = cell


def _refuse_same_names(sheets: _Sheets, faults: Faults) -> None:
    seen: dict[str, str] = {}
    for (name, _), (path, line) in sheets.first.items():
        first = seen.setdefault(plain_name(name), name)
        if first != name:
            what = f'crop "{name}" is also written "{first}"'
            faults.add(path, line, what, "must have one spelling")


def _resolved(key: tuple[str, Method], sheets: _Sheets, faults: Faults) -> Crop | None:
    """Return the crop with its groups' figures filled in, its own on top."""
    figures = _with_likes(key, sheets, faults, seen=(key,))
    if figures is None:
        return None
    return build_crop(key, figures, sheets.first[key], faults)


def _lay(below: Figures, above: Figures) -> None:
    """Lay figures over others; another container does not keep the old one's size."""
    for stage, name in above:
        if name == "container":
            for size in ("holds", "in_row_cm", "rows_cm"):
                below.pop((stage, size), None)
    below.update(above)


def _with_likes(
    key: tuple[str, Method],
    sheets: _Sheets,
    faults: Faults,
    *,
    seen: tuple[tuple[str, Method], ...],
) -> Figures | None:
    own = sheets.crops[key]
    like = own.get(("", "like"))
    if like is None:
        return own
    merged: Figures = {}
    for name in _liked(like.figure.value, key[1], sheets):
        other = (name, key[1])
        if name in sheets.groups:
            _lay(merged, sheets.groups[name])
        elif other in sheets.crops and other not in seen:
            inherited = _with_likes(other, sheets, faults, seen=(*seen, other))
            if inherited is None:
                return None
            names = {("", "also"), ("", "latin"), ("", "like")}
            _lay(merged, {at: c for at, c in inherited.items() if at not in names})
        else:
            known = [*sheets.groups, *(n for n, m in sheets.crops if m == key[1])]
            round_ = " leads round in a circle" if other in seen else ""
            what = f'{like.where}: "{name}"{round_}'
            right = "" if round_ else one_of(name, known)
            faults.add(like.path, like.line, what, right or "no group or crop so named")
            return None
    _lay(merged, own)
    return merged


def _liked(value: str, method: Method, sheets: _Sheets) -> list[str]:
    """Part the value: groups and one-word crops by spaces, or one crop's full name."""
    whole = next((n for n, m in sheets.crops if m == method and n == value), None)
    return [whole] if whole else value.split()
