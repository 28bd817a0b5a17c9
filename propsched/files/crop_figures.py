"""Figures of one crop, as text with their lines, to a Crop."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import Any, cast, get_args

from pydantic import TypeAdapter, ValidationError

from propsched.domain.container import CONTAINERS, Container
from propsched.domain.crop import (
    STAGES,
    AirWish,
    Crop,
    Destination,
    Figure,
    Method,
    Needs,
    StageName,
)
from propsched.domain.quantities import STRICT, Celsius
from propsched.files.cells import CellError, number, whole, yes_no
from propsched.files.source import Faults, one_of
from propsched.files.words import field_names, say


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure and where it stands."""

    path: str
    line: int
    figure: Figure
    decimal_comma: bool = False
    own: bool = False
    """Whether it is the grower's."""

    @property
    def where(self) -> str:
        f = self.figure
        return f"{f.crop}, {f.stage + ' ' if f.stage else ''}{f.name}"


def _fraction(text: str, _: bool) -> tuple[tuple[float, float], ...]:
    right = "must be temperature:fraction pairs, rising, such as 10:0.82 15:0.98"
    pairs = [pair.split(":") for pair in text.split()]
    if not pairs or any(len(pair) != 2 for pair in pairs):
        raise CellError(f'is "{text}"', right)
    values = tuple((number(t), number(f)) for t, f in pairs)
    rising = all(a[0] < b[0] for a, b in pairwise(values))
    if not rising or not all(0 <= f <= 1 for _, f in values):
        raise CellError(f'is "{text}"', right + ", fractions 0 to 1")
    return values


def _months(text: str, _: bool) -> tuple[int, ...]:
    months = tuple(whole(part) for part in text.split())
    if not all(1 <= month <= 12 for month in months):
        raise CellError(f'is "{text}"', "must be months 1 to 12, such as 11 12 1")
    return months


def _stages(text: str, _: bool) -> tuple[str, ...]:
    names = tuple(text.split())
    for name in names:
        if name not in STAGES:
            raise CellError(f'names "{name}"', one_of(name, STAGES))
    order = [STAGES.index(cast(StageName, name)) for name in names]
    if order != sorted(set(order)) or "start" not in names:
        right = f"must hold start and keep the order {' '.join(STAGES)}"
        raise CellError(f'is "{text}"', right)
    return names


def _word(options: Iterable[str]) -> Callable[[str, bool], str]:
    known = tuple(options)

    def parse(text: str, _: bool) -> str:
        if text not in known:
            raise CellError(f'is "{text}"', one_of(text, known))
        return text

    return parse


def _names(text: str, _: bool) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())


def _float(text: str, decimal_comma: bool) -> float:
    return number(text, decimal_comma=decimal_comma)


def _int(text: str, decimal_comma: bool) -> int:
    return whole(text, decimal_comma=decimal_comma)


def _bool(text: str, _: bool) -> bool:
    return yes_no(text)


def _text(text: str, _: bool) -> str:
    return text


CROP_FIGURES: dict[str, Callable[[str, bool], Any]] = {
    "latin": _text,
    "also": _names,
    "like": _text,
    "stages": _stages,
    "destination": _word(get_args(Destination)),
    "out_min_c": _float,
    "out_soil_c": _float,
    "stands_over": _bool,
    "material": _months,
    "hazard": _text,
    "edible": _bool,
    "bolts_below_c": _float,
}
"""How each figure of a crop as a whole is read."""

_SPECIAL: dict[str, Callable[[str, bool], Any]] = {
    "fraction": _fraction,
    "light_to_start": _bool,
    "any_day": _bool,
    "wait_d": _int,
    "air": _word(get_args(AirWish)),
}
_CONTAINER: dict[str, Callable[[str, bool], Any]] = {
    "container": _word(CONTAINERS),
    "holds": _int,
    "in_row_cm": _float,
    "rows_cm": _float,
}
STAGE_FIGURES: dict[str, Callable[[str, bool], Any]] = {
    **_CONTAINER,
    **{
        name: _SPECIAL.get(name, _float)
        for name in field_names(Needs)
        if name not in ("stage", "container")
    },
}
"""How each figure of a stage is read: the fields of Needs, and its container's."""


@cache
def _adapter(kind: type) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def build_crop(
    key: tuple[str, Method],
    figures: dict[tuple[str, str], Cell],
    place: tuple[str, int],
    faults: Faults,
) -> Crop | None:
    """
    Return the crop its figures describe, or None with the faults added.

    A group's figure for a stage the crop does not go through is left out; one of
    the crop's own is a fault.
    """
    stages_cell = figures.get(("", "stages"))
    if stages_cell is None:
        what = f'crop "{key[0]}" ({key[1]}): figure "stages" is missing'
        faults.add(*place, what, "give it, or like a group that has it")
        return None
    before = len(faults.found)
    values = _parsed(figures, faults)
    stages = values.get(("", "stages"))
    if stages is None:
        return None
    used = {at: cell for at, cell in figures.items() if at[0] in ("", *stages)}

    def shortened(cell: Cell) -> bool:
        """Whether the grower left out a stage that the shipped table has."""
        return stages_cell.own and not cell.own

    for at in figures.keys() - used.keys():
        cell = figures[at]
        if at[0] not in STAGES:
            faults.add(
                cell.path, cell.line, f'stage is "{at[0]}"', one_of(at[0], STAGES)
            )
        elif cell.figure.crop == key[0] and not shortened(cell):
            what = f"{cell.where}: it does not go through this stage"
            faults.add(cell.path, cell.line, what, f"stages are {' '.join(stages)}")
    needs = [_needs(stage, key, figures, values, place, faults) for stage in stages]
    whole_crop = {name: v for (stage, name), v in values.items() if not stage}
    for name in ("like", "stages"):
        whole_crop.pop(name, None)
    crop = _valid(
        _HeadCheck, whole_crop, {n: figures["", n] for n in whole_crop}, faults
    )
    if crop is None or len(faults.found) > before or None in needs:
        return None
    order = ("", *stages)
    kept = sorted(used, key=lambda at: order.index(at[0]))
    return Crop(
        name=key[0],
        method=key[1],
        stages=tuple(n for n in needs if n is not None),
        figures=tuple(_figure(used[at], values[at]) for at in kept),
        **whole_crop,
    )


def _figure(cell: Cell, value: Any) -> Figure:
    """Return the figure, a number with a decimal point however it was typed."""
    if isinstance(value, float) and "," in cell.figure.value:
        return replace(cell.figure, value=str(value))
    return cell.figure


@dataclass(frozen=True, slots=True, kw_only=True)
class _HeadCheck:
    """Limits of the crop-level numbers, which Crop itself carries."""

    __pydantic_config__ = STRICT

    latin: str = ""
    also: tuple[str, ...] = ()
    destination: Destination = "outdoors"
    out_min_c: Celsius = 0.0
    out_soil_c: Celsius = 0.0
    stands_over: bool = False
    material: tuple[int, ...] = ()
    hazard: str = ""
    edible: bool = False
    bolts_below_c: Celsius | None = None


def _parsed(
    figures: dict[tuple[str, str], Cell], faults: Faults
) -> dict[tuple[str, str], Any]:
    values: dict[tuple[str, str], Any] = {}
    for (stage, name), cell in figures.items():
        parse = STAGE_FIGURES[name] if stage else CROP_FIGURES[name]
        try:
            values[stage, name] = parse(cell.figure.value, cell.decimal_comma)
        except CellError as error:
            faults.add(cell.path, cell.line, f"{cell.where} {error.what}", error.right)
    return values


def _needs(
    stage: str,
    key: tuple[str, Method],
    figures: dict[tuple[str, str], Cell],
    values: dict[tuple[str, str], Any],
    place: tuple[str, int],
    faults: Faults,
) -> Needs | None:
    mine = {name: v for (at, name), v in values.items() if at == stage}
    cells = {name: c for (at, name), c in figures.items() if at == stage}
    if "container" not in cells:
        what = f'crop "{key[0]}" ({key[1]}): container of stage {stage} is missing'
        faults.add(*place, what, f"one of {', '.join(CONTAINERS)}")
        return None
    box = {name: mine.pop(name) for name in _CONTAINER if name in mine}
    if "container" not in box:
        return None
    box["name"] = box.pop("container")
    renamed = {**cells, "name": cells["container"]}
    container = _valid(Container, box, renamed, faults)
    if container is None:
        return None
    needs = _valid(
        Needs, {"stage": stage, "container": container, **mine}, cells, faults
    )
    if needs is not None:
        _check_order(needs, cells, (*place, f"{key[0]}, {stage}"), faults)
    return cast("Needs | None", needs)


def _valid(
    kind: type, values: dict[str, Any], cells: dict[str, Cell], faults: Faults
) -> Any:
    try:
        return _adapter(kind).validate_python(values)
    except ValidationError as invalid:
        for error in invalid.errors(include_url=False):
            cell = cells[str(error["loc"][0])]
            what, right = say(error)
            faults.add(cell.path, cell.line, f"{cell.where} {what}", right)
        return None


def _check_order(
    needs: Needs,
    cells: dict[str, Cell],
    place: tuple[str, int, str],
    faults: Faults,
) -> None:
    """Refuse cardinal temperatures and windows that are the wrong way round."""
    flat_to = needs.opt_c if needs.opt_to_c is None else needs.opt_to_c
    for low, high, below, names in (
        (needs.base_c, needs.opt_c, True, ("base_c", "opt_c")),
        (needs.opt_c, flat_to, False, ("opt_to_c", "opt_c")),
        (flat_to, needs.max_c, True, ("max_c", "opt_to_c", "opt_c")),
        (needs.warm_from_c, needs.warm_to_c, True, ("warm_from_c", "warm_to_c")),
        (needs.cold_from_c, needs.cold_to_c, True, ("cold_from_c", "cold_to_c")),
    ):
        if low < high or (low == high and not below):
            continue
        cell = next((cells[name] for name in names if name in cells), None)
        path, line = (cell.path, cell.line) if cell else place[:2]
        what = f"{place[2]}: {low:g} °C is not below {high:g} °C"
        order = "base_c < opt_c ≤ opt_to_c < max_c, windows from < to"
        faults.add(path, line, what, f"must be {order}")
