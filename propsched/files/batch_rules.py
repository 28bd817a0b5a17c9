"""What has to hold between batches, pins, daybook, the season and the crop table."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from propsched.domain.batch import SPACE_EVENTS, Batch, Event, Pin
from propsched.domain.crop import Crop
from propsched.domain.crop_table import CropTable
from propsched.domain.repeats import expand, expanded_ids
from propsched.domain.season import Season
from propsched.domain.undone import HOW_TO_SAY, named_by
from propsched.files.source import name_fault, one_of

Rule = tuple[int, str, str]
"""Line, what is wrong, what would be right."""
Rows = list[tuple[int, Batch]]


@dataclass(frozen=True, slots=True)
class Names:
    """Names of batches that pins and the daybook may use."""

    right: set[str]
    """Written-out ids of the batches that could be read."""
    unread: set[str] | None
    """Ids of rows at fault, which are not faulted again; None: any name."""

    def __contains__(self, name: str) -> bool:
        if self.unread is None or name in self.right or name in self.unread:
            return True
        head, dash, tail = name.rpartition("-")
        return bool(dash) and tail.isdigit() and head in self.unread


def with_table_names(rows: Rows, table: CropTable) -> tuple[Rows, list[Rule]]:
    """Return the batches with the crop's name as in the table, and the faults."""
    named: Rows = []
    faults: list[Rule] = []
    for line, batch in rows:
        crops = table.find(batch.crop)
        names = sorted({crop.name for crop in crops})
        here = f'batch "{batch.id}": '
        if not names:
            near = " or ".join(f'"{name}"' for name in table.near(batch.crop))
            right = (
                f"did you mean {near}?"
                if near
                else "a name of the crop table, or a row of your own in crops.csv"
            )
            faults.append((line, f'{here}crop "{batch.crop}" is not known', right))
        elif len(names) > 1:
            what = f'{here}crop "{batch.crop}" may be {" or ".join(names)}'
            faults.append((line, what, "use one of these names"))
        elif batch.method not in (methods := [crop.method for crop in crops]):
            what = f'{here}{names[0]} has no method "{batch.method}"'
            faults.append((line, what, one_of(batch.method, methods)))
        else:
            named.append((line, replace(batch, crop=names[0])))
    return named, faults


def batch_faults(rows: Rows, season: Season | None) -> Iterator[Rule]:
    """Yield what is wrong with the list of batches."""
    lines: dict[str, int] = {}
    for line, batch in rows:
        fault = name_fault(batch.id)
        if fault:
            yield line, f'batch "{batch.id}" {fault[0]}', fault[1]
        for name in dict.fromkeys((batch.id, *expanded_ids(batch))):
            if name in lines:
                what = f'batch "{name}" is there twice (also in line {lines[name]})'
                yield line, what, "every batch must have its own name"
                break
        for name in (batch.id, *expanded_ids(batch)):
            lines.setdefault(name, line)
    for line, batch in rows:
        for what, right in _dates(batch, season):
            yield line, f'batch "{batch.id}": {what}', right


def _dates(batch: Batch, season: Season | None) -> Iterator[tuple[str, str]]:
    for first, last in (
        ("available_from", "available_to"),
        ("wanted_from", "wanted_by"),
        ("available_from", "wanted_by"),
    ):
        start: date | None = getattr(batch, first)
        end: date | None = getattr(batch, last)
        if start and end and end < start:
            yield f"{last} {end} is before {first} {start}", "must not be"
    if batch.repeat and batch.available_from is None:
        yield "repeat needs available_from", "give the day of the first sowing"
    if season is None:
        return
    *_, last_one = expand([batch])
    if last_one.available_from and last_one.available_from > season.end:
        what = f"available_from {last_one.available_from} is after the season's end"
        yield what, f"must be by {season.end}"


def pin_faults(
    rows: Iterable[tuple[int, Pin]],
    batches: Iterable[Batch],
    names: Names,
    season: Season | None,
    spaces: set[str],
    table: CropTable,
) -> Iterator[Rule]:
    """Yield what is wrong with the pins; whose batches may be named."""
    whole = tuple(batches)
    known = {single.id: single for single in expand(whole)}
    crops = {crop.key: crop for crop in table.crops}
    seen: dict[tuple[str, str], int] = {}
    for line, pin in rows:
        here = f'batch "{pin.batch}": '
        yield from _unknown_batch(line, pin.batch, whole, names)
        first = seen.setdefault((pin.batch, pin.stage), line)
        if first != line:
            what = f"{here}stage {pin.stage} is pinned twice (also in line {first})"
            yield line, what, "keep one"
        if not pin.space and pin.start is None:
            yield line, f"{here}pins nothing", "give a space, a start or both"
        if pin.space and spaces and pin.space not in spaces:
            right = one_of(pin.space, sorted(spaces))
            yield line, f'{here}space is "{pin.space}", no space', right
        if pin.batch in known:
            batch = known[pin.batch]
            crop = crops.get((batch.crop, batch.method))
            yield from _unknown_stage(line, pin, crop)
        if season is not None:
            yield from _misplaced(line, pin, season)


def _unknown_stage(line: int, pin: Pin, crop: Crop | None) -> Iterator[Rule]:
    if crop is None:
        return
    stages = [needs.stage for needs in crop.stages]
    if pin.stage not in stages:
        what = f'batch "{pin.batch}": {crop.name} ({crop.method}) has no {pin.stage}'
        yield line, what, one_of(pin.stage, stages)


def _misplaced(line: int, pin: Pin, season: Season) -> Iterator[Rule]:
    here = f'batch "{pin.batch}": '
    if pin.start and not season.start <= pin.start <= season.end:
        right = f"must be in the season, {season.start} to {season.end}"
        yield line, f"{here}start is {pin.start}", right
    for space in season.spaces:
        if space.id == pin.space and not space.stands:
            what = f'{here}nothing can stand in "{pin.space}"'
            yield line, what, "must be a space with area_m2"


def event_faults(
    rows: Iterable[tuple[int, Event]],
    batches: Iterable[Batch],
    names: Names,
    spaces: set[str],
) -> Iterator[Rule]:
    """Yield what is wrong with the daybook."""
    whole = tuple(batches)
    for line, event in rows:
        of_space = event.event in SPACE_EVENTS
        if event.batch:
            yield from _unknown_batch(line, event.batch, whole, names)
        elif not of_space:
            yield line, f"{event.event} without a batch", "name the batch"
        if event.space and spaces and event.space not in spaces:
            right = one_of(event.space, sorted(spaces))
            yield line, f'space is "{event.space}", no space', right
        if not event.space and (of_space or event.event == "moved"):
            yield line, f"{event.event} without a space", "name the space"
        if event.event == "lost" and event.count is None:
            yield line, "lost without a count", "say how many"


def undone_faults(rows: Iterable[tuple[int, Event]]) -> Iterator[Rule]:
    """Yield rows that take back something, but do not say what."""
    for line, event in rows:
        if event.event == "undone" and named_by(event) is None:
            said = f'"{event.note}"' if event.note else "nothing"
            yield line, f"undone: note is {said}", HOW_TO_SAY


def _unknown_batch(
    line: int, name: str, batches: tuple[Batch, ...], names: Names
) -> Iterator[Rule]:
    if name in names:
        return
    for batch in batches:
        if batch.id == name and batch.repeat:
            ids = expanded_ids(batch)
            what = f'batch "{name}" is sown {len(ids)} times'
            yield line, what, f'must be one of "{ids[0]}" to "{ids[-1]}"'
            return
    right = one_of(name, sorted(names.right)) or "batches.csv lists none"
    yield line, f'batch is "{name}", no batch', right
