"""One batch: its way stage by stage, why there, what was noted of it, and cautions."""

from collections.abc import Iterable, Iterator, Sequence
from math import isnan
from typing import TYPE_CHECKING

from propsched.domain.batch import Event, Pin
from propsched.domain.halves import half_names
from propsched.report.words import clean, day_text
from propsched.tui.views.batches_book import BatchRow
from propsched.tui.views.buttons import buttons_of, moved_spots
from propsched.tui.views.jobs_book import plain_what
from propsched.tui.views.pieces import Line, Look, Spot, fitted, line, wrapped
from propsched.tui.views.season_routes import Spell
from propsched.tui.views.stage_words import stage_words

if TYPE_CHECKING:
    from propsched.service.opened import Opened

NARROW = 60
MOST_JOBS = 4
"""Jobs to come that are told."""
_BY = {"daybook": "stands there", "over": "past", "plan": ""}


def batch_lines(
    opened: "Opened", row: BatchRow, width: int, *, buttons: bool
) -> tuple[list[Line], list[Spot]]:
    """
    All of one batch, and what can be pressed in it.

    Parameters
    ----------
    buttons : bool
        Whether it can be changed here.
    """
    lines: list[Line] = [line(part, "bold") for part in wrapped(_title(row), width)]
    spots: list[Spot] = []
    for text in _state(row):
        lines += [line(part) for part in wrapped(text, width, hanging=2)]
    if buttons:
        for together in _buttons(row, width):
            own, there = buttons_of(together, big=width < NARROW)
            spots += moved_spots(there, len(lines), 0)
            lines += own
    if row.left_out:
        lines += _part("Left out" if row.plan is None else "Half left out", width, (
            f"{clean(row.left_out)}.",
        ))  # fmt: skip
    lines += _way(opened, row, width)
    if row.plan is not None and row.plan.reason:
        lines += _part("Why there", width, (f"{clean(row.plan.reason)}.",))
    lines += _part("To do", width, _jobs(row))
    lines += _part(
        "Noted in the daybook", width, map(event_text, noted_of(opened, row))
    )
    hazard = row.raised.crop.hazard
    if hazard:
        lines += _part("Take care", width, (f"{clean(hazard).rstrip('.')}.",), "! ")
    if row.raised.batch.note:
        lines += _part("Your note", width, (clean(row.raised.batch.note),))
    return lines, spots


def _part(title: str, width: int, texts: Iterable[str], mark: str = "") -> list[Line]:
    """A heading and paragraphs below it; nothing without paragraphs."""
    parts = [
        line(part)
        for text in texts
        for part in wrapped(f"  {mark}{text}", width, hanging=4)
    ]
    return [line(""), line(title, "bold"), *parts] if parts else []


def _title(row: BatchRow) -> str:
    batch, crop = row.raised.batch, row.raised.crop
    name = " ".join(part for part in (crop.name, batch.variety) if part)
    return f"{clean(batch.id)} – {clean(name)} from {crop.method}"


def _state(row: BatchRow) -> Iterator[str]:
    batch, noted = row.raised.batch, row.noted
    wanted = f"{batch.wanted} wanted"
    if batch.wanted_by is not None:
        wanted += f" by {day_text(batch.wanted_by)}"
    yield f"{wanted}, priority {batch.priority} (5 matters most)."
    if noted is None:
        said = {"left out": "Left out of the plan", "waiting": "Waiting to be begun"}
        start = f", {row.raised.sown} to start" if row.state == "waiting" else ""
        yield f"{said.get(row.state, row.state)}{start}."
    elif noted.done:
        out = f", {noted.count} planted out" if noted.count else ""
        yield f"Out{out}."
    elif noted.lost:
        yield "Lost: nothing is left."
    else:
        where = f" in {clean(noted.space)}" if noted.space else ""
        number = f", {noted.count} of them" if noted.count is not None else ""
        words = stage_words(noted.stage, row.raised.crop.method)
        told = words if words.startswith(row.state) else f"{row.state}: {words}"
        yield (
            f"{told[0].upper()}{told[1:]}{where} since {day_text(noted.since)}{number}."
        )
    yield from _expected(row)


def _expected(row: BatchRow) -> Iterator[str]:
    own = row.plan
    if own is None or row.state in ("out", "lost"):
        return
    plants = f"Expected: {own.plants_expected:.0f} plants"
    if own.ready is None:
        yield f"{plants}; stands over the season's end."
        return
    latest = ""
    if own.ready_latest is not None and own.ready_latest != own.ready:
        latest = f", at the latest {day_text(own.ready_latest)}"
    late = " – later than wanted!" if row.late else ""
    yield f"{plants}, ready {day_text(own.ready)}{latest}{late}."


def _buttons(row: BatchRow, width: int) -> list[list[tuple[str, str]]]:
    """What can be done with it, as rows of buttons."""
    priorities = [
        (f"▸{n}" if n == row.raised.batch.priority else f"{n}", f"priority({n})")
        for n in range(1, 6)
    ]
    if width < NARROW:
        return [
            [("note", "note"), ("pin", "pin"), ("wanted by", "wanted_by")],
            [("take back", "undo_note")],
            priorities,
        ]
    return [
        [
            ("n  note", "note"), ("i  pin", "pin"), ("d  wanted by", "wanted_by"),
            ("u  take back", "undo_note"), ("esc  list", "close"),
        ],
        [(f"priority {priorities[0][0]}", "priority(1)"), *priorities[1:]],
    ]  # fmt: skip


def pins_of(opened: "Opened", row: BatchRow) -> dict[str, Pin]:
    """Its pins, by stage."""
    return {pin.stage: pin for pin in opened.files.pins if pin.batch == row.name}


def pin_text(pin: Pin) -> str:
    """``pinned: bench from 21 Nov``."""
    where = clean(pin.space) if pin.space else "any space"
    return f"pinned: {where}" + (f" from {day_text(pin.start)}" if pin.start else "")


def _way(opened: "Opened", row: BatchRow, width: int) -> list[Line]:
    """Its stages with days, spaces, containers and root zone."""
    pins, method = pins_of(opened, row), row.raised.crop.method
    lines: list[Line] = []
    for part, way in enumerate(row.ways, 1):
        title = "Way" if len(row.ways) == 1 else f"Way of half {part}"
        lines += [line(""), line(title, "bold")]
        for spell in way:
            lines += _stop(spell, pins.get(spell.stage), width)
    told = {spell.stage for way in row.ways for spell in way}
    unmet = [pin for stage, pin in pins.items() if stage not in told]
    if not row.ways or unmet:
        texts = [f"{stage_words(p.stage, method)}: {pin_text(p)}" for p in unmet]
        lines += _part("Pinned, not in the plan", width, texts)
    return lines


def _stop(spell: Spell, pin: Pin | None, width: int) -> list[Line]:
    days = f"{day_text(spell.start)} – {day_text(spell.end)}"
    place = clean(spell.space) + (f" ({clean(spell.state)})" if spell.state else "")
    warm = "" if isnan(spell.root_c) else f"{spell.root_c:.1f} °C"
    words = stage_words(spell.stage, spell.method)
    remarks = ", ".join(
        text for text in (_BY[spell.by], pin_text(pin) if pin else "") if text
    )
    look: Look = (
        "dim" if spell.by == "over" else "accent" if spell.by == "daybook" else ""
    )
    mark = "●" if spell.by == "daybook" else "○" if spell.by == "plan" else "·"
    if width < NARROW:
        more = ", ".join(p for p in (clean(spell.container), warm, remarks) if p)
        texts = (f"{mark} {days} {place}", f"    {words}", f"    {more}")
        return [line(p, look) for t in texts for p in wrapped_at(t, width)]
    cells = (
        f"  {mark} {fitted(days, 16)} {fitted(place, 22)}{warm:>8}  "
        f"{words}; {clean(spell.container)}"
    )
    text = f"{cells}; {remarks}" if remarks else cells
    if width >= 100:
        return [line(part, look) for part in wrapped_at(text, width, 53)]
    first = f"  {mark} {fitted(days, 16)} {fitted(place, 22)}{warm:>8}"
    below = f"{words}; {clean(spell.container)}" + (f"; {remarks}" if remarks else "")
    return [
        line(first, look),
        *(line(p, look) for p in wrapped_at(f"      {below}", width)),
    ]


def wrapped_at(text: str, width: int, hanging: int = 6) -> list[str]:
    """Wrapped with its indent kept."""
    return wrapped(text, width, hanging=min(hanging, width // 2))


def _jobs(row: BatchRow) -> Iterator[str]:
    for job in row.jobs[:MOST_JOBS]:
        late = "overdue, " if job.overdue else ""
        yield f"{late}{job.date:%a} {day_text(job.date)}: {plain_what(job)}"


def noted_of(opened: "Opened", row: BatchRow) -> Sequence[Event]:
    """What the daybook has of it, of its row before it was halved too."""
    names = {row.name}
    for batch in opened.files.batches:
        if row.name in half_names(batch):
            names.add(batch.id)
    return [one for one in opened.files.daybook if one.batch in names]


def event_text(event: Event) -> str:
    """``6 Feb sown 240 in windowsill``."""
    parts = [day_text(event.time.date()), event.event.replace("-", " ")]
    if event.count is not None:
        parts.append(str(event.count))
    if event.space:
        parts.append(f"in {clean(event.space)}")
    text = " ".join(parts)
    return f"{text} – {clean(event.note)}" if event.note else text
