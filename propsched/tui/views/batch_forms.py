"""What is asked when a batch is pinned, noted, or wanted by another day."""

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from propsched.advice.by_itself import ends_with
from propsched.advice.state import STAGE_OF
from propsched.domain.batch import EventName, Pin
from propsched.domain.crop import UNSTARTED, StageName
from propsched.report.words import day_text
from propsched.tui.views.asking import Asking, Question
from propsched.tui.views.batch import pin_text, pins_of
from propsched.tui.views.batches_book import BEGUN, BatchRow
from propsched.tui.views.stage_words import stage_words

if TYPE_CHECKING:
    from propsched.service.opened import Opened

UNPINNED = "-"
"""The space that stands for: not pinned, the plan decides."""
EVENT_OF: dict[str, EventName] = {
    "prick-out": "pricked-out",
    "pot-up": "potted-up",
    "pot-on": "potted-on",
    "harden": "hardening",
}
"""What is noted when a stage begins; the other way round from the daybook's reader."""
assert {event: stage for stage, event in EVENT_OF.items()} == STAGE_OF
NAMED: dict[str, EventName] = {
    "sown": "sown", "struck": "struck", "divided": "divided", "started": "started",
}  # fmt: skip


def pin_form(opened: "Opened", row: BatchRow, stage: str = "") -> Asking | None:
    """
    Stage, space and day of a pin; None where there is no stage left to pin.

    Parameters
    ----------
    stage : str
        The one asked about; blank: the first that is still to come.
    """
    stages = _stages_left(row)
    if not stages:
        return None
    stage = stage if stage in stages else stages[0]
    pin = pins_of(opened, row).get(stage)
    spell = next(
        (s for way in row.ways for s in way if s.stage == stage and s.by != "over"),
        None,
    )
    method = row.raised.crop.method
    spaces = [(space.id, space.id) for space in opened.season.spaces if space.stands]
    start = spell.start if spell else row.raised.batch.available_from
    if pin is not None:
        space = pin.space
    else:
        space = spell.space if spell else spaces[0][0] if spaces else ""
    planned = f" Planned: {spell.space}, {day_text(spell.start)}." if spell else ""
    now = f"Now {pin_text(pin)}" if pin else "Not pinned now"
    return Asking(
        title=f"Pin {row.name}",
        today=opened.today,
        hint=f"{now}.{planned}",
        questions=(
            Question(
                name="stage", kind="one", value=stage,
                options=tuple((name, stage_words(name, method)) for name in stages),
            ),
            Question(
                name="space", kind="one", value=space,
                options=(
                    *spaces, ("", "any space"), (UNPINNED, "not pinned: as planned"),
                ),
            ),
            Question(
                name="from", kind="day", blank="any day",
                value=pin.start.isoformat() if pin and pin.start else "",
                start=max(start or opened.today, opened.season.start).isoformat(),
                first=opened.season.start, last=opened.season.end,
            ),
        ),
    )  # fmt: skip


def pin_of(form: Asking, row: BatchRow) -> Pin | None:
    """What the form pins; None: nothing, so that the plan decides."""
    space, day = form.text("space"), form.day("from")
    if space == UNPINNED or (not space and day is None):
        return None
    stage = stage_named(form, row)
    return Pin(batch=row.name, stage=stage, space=space, start=day)


def stage_named(form: Asking, row: BatchRow) -> StageName:
    named = form.text("stage")
    return next(n.stage for n in row.raised.crop.stages if n.stage == named)


def _stages_left(row: BatchRow) -> list[str]:
    """Its stages from the present one on; that may still be moved."""
    stages = [needs.stage for needs in row.raised.crop.stages]
    if row.noted is None:
        return list(stages)
    return list(stages[row.noted.stage_index :]) if row.noted.standing else []


def note_form(opened: "Opened", row: BatchRow) -> Asking | None:
    """What happened to it; None where nothing can happen any more."""
    events = tuple(events_now(row))
    if not events:
        return None
    stays = "where it is planned" if row.noted is None else "where it stands"
    spaces = [(space.id, space.id) for space in opened.season.spaces if space.stands]
    planned = row.space if row.noted is None else ""
    return Asking(
        title=f"Note of {row.name}",
        today=opened.today,
        questions=(
            Question(
                name="event", kind="one", value=events[0],
                options=tuple((one, one.replace("-", " ")) for one in events),
            ),
            Question(
                name="day", kind="day", value=opened.today.isoformat(),
                first=min(opened.season.start, opened.today), last=opened.today,
            ),
            Question(
                name="space", kind="one", value=planned,
                options=(("", "not said" if row.noted is None else stays), *spaces),
            ),
            Question(name="count", kind="number", blank="not counted",
                     start=_usual(row)),
        ),
    )  # fmt: skip


def _usual(row: BatchRow) -> str:
    if row.noted is None:
        return str(row.raised.sown)
    return "" if row.noted.count is None else str(row.noted.count)


def lacking(form: Asking) -> str:
    """What an event cannot do without and has not; blank: nothing."""
    event = form.text("event")
    if event == "lost" and form.number("count") is None:
        return "Lost: say how many."
    if event == "moved" and not form.text("space"):
        return "Moved: say where to."
    return ""


def told(form: Asking) -> tuple[EventName, tuple[str, ...]]:
    """The event, and the count as a word behind the batch."""
    named, count = form.text("event"), form.number("count")
    events: tuple[EventName, ...] = (
        *NAMED.values(), *EVENT_OF.values(), "emerged", "rooted", "established",
        "moved", "lost", "planted-out",
    )  # fmt: skip
    event = next(one for one in events if one == named)
    return event, () if count is None else (str(count),)


def events_now(row: BatchRow) -> Iterator[EventName]:
    """What may well happen to it next, the likeliest first."""
    crop, noted = row.raised.crop, row.noted
    begins = NAMED[BEGUN.get(crop.method, "struck")]
    if noted is None:
        yield begins
        return
    if not noted.standing:
        return
    ahead = [needs.stage for needs in crop.stages[noted.stage_index + 1 :]]
    if noted.stage in UNSTARTED:
        if "start" in ahead:
            yield begins
        yield ends_with(crop)
    yield from (EVENT_OF[stage] for stage in ahead if stage in EVENT_OF)
    yield from ("moved", "lost", "planted-out")


def wanted_form(opened: "Opened", row: BatchRow) -> Asking:
    """The day it is wanted by."""
    day = row.raised.batch.wanted_by
    usual = day or (row.plan.ready if row.plan else None) or opened.season.end
    return Asking(
        title=f"{row.name} is wanted by",
        today=opened.today,
        hint="Changes its row in batches.csv; backspace: no day.",
        questions=(
            Question(
                name="day", kind="day", value="" if day is None else day.isoformat(),
                blank="no day: any will do", start=usual.isoformat(),
                first=opened.season.start,
                last=date(opened.season.end.year + 1, 12, 31),
            ),
        ),
    )  # fmt: skip
