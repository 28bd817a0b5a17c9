"""What the page says of the space or the batch that is chosen."""

from datetime import date, timedelta
from math import isnan
from typing import TYPE_CHECKING

from propsched.domain.container import TRAY_M2
from propsched.domain.plan import BatchPlan
from propsched.report.words import clean, day_text
from propsched.tui.views.season_axis import Axis
from propsched.tui.views.season_book import SeasonBook, SpaceBook
from propsched.tui.views.season_open import Open, spell_of
from propsched.tui.views.season_routes import Spell
from propsched.tui.views.season_rows import (
    LEAST_WORTH,
    Cell,
    cell_of,
    room_text,
    trays_text,
)
from propsched.tui.views.stage_words import stage_words

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

NOTHING = "Nothing stands here then."


def detail(desk: "Desk", book: SeasonBook, at: Open, axis: Axis) -> list[str]:
    """Paragraphs, the one that matters most first."""
    spell = spell_of(book, at)
    if spell is not None:
        return batch_detail(desk, book, at, spell)
    own = book.of(at.row.space)
    return [] if own is None else space_detail(book, own, axis, at.day)


def space_detail(book: SeasonBook, own: SpaceBook, axis: Axis, day: date) -> list[str]:
    column = axis.column(day)
    first, last = axis.begins(column), axis.last(column)
    cell = cell_of(book, own, axis, column)
    when = axis.column_text(column)
    said = [f"{clean(own.space.id)}, {_size(own)}; {when}: {_warm(book, own, cell)}"]
    room = _room(own, cell, last)
    bed = _bed(own)
    said[0] += "".join(f"; {text}" for text in (room, bed) if text)
    if cell.heated:
        said[0] += "; heat on"
    if cell.cold:
        cold = ", ".join(f"{clean(s.batch)} ({s.least_c:.0f} °C)" for s in cell.cold)
        said.append(f"Too cold to grow, which needs more than: {cold}.")
    if cell.worth >= LEAST_WORTH:
        said.append(
            f"Short of room: one more tray would be worth {cell.worth:.2f} "
            "(1 is a whole priority-1 batch)."
        )
    said += _comings(book, own, first, last)
    return said


def overview(book: SeasonBook, axis: Axis, day: date) -> list[tuple[str, str]]:
    """By space, what stands in it in the chosen column, what comes and what goes."""
    column = axis.column(day)
    first, last = axis.begins(column), axis.last(column)
    found = []
    for own in book.spaces:
        texts = _comings(book, own, first, last)
        if own.tracks and texts != [NOTHING]:
            found.append((clean(own.space.id), " ".join(texts)))
    return found


def _size(own: SpaceBook) -> str:
    kind = own.space.kind.replace("-", " ")
    if not own.space.stands:
        return f"{kind}, measured only"
    trays = round(own.space.area_m2 / TRAY_M2)
    size = f"{kind} of {own.space.area_m2:.2f} m²"
    if own.space.kind == "open-ground":
        return size
    return f"{size}, {trays} {'tray' if trays == 1 else 'trays'}"


def _warm(book: SeasonBook, own: SpaceBook, cell: Cell) -> str:
    if isnan(cell.root_c):
        return "warmth not known" if book.warm else "warmth is being simulated"
    told = f"root zone {cell.root_c:.1f} °C"
    return told if own.simulated else f"{told} (as planned)"


def _room(own: SpaceBook, cell: Cell, last: date) -> str:
    room = room_text(own, cell, last)
    if room in ("measured", ""):
        return ""
    if room == "overfull":
        return f"overfull by {-cell.free_m2:.2f} m², {_more(-cell.free_m2)}"
    if room == "not made":
        return ""
    if room == "full":
        return "full"
    return f"room for {room}" if "tray" in room else f"{room} free"


def _more(area_m2: float) -> str:
    return f"{trays_text(area_m2 + TRAY_M2 * 0.999)} too many"


def _bed(own: SpaceBook) -> str:
    if own.make_up is None or own.space.kind not in ("hotbed", "heap"):
        return ""
    return f"{'made up' if own.made else 'to be made up'} {day_text(own.make_up)}"


def _comings(book: SeasonBook, own: SpaceBook, first: date, last: date) -> list[str]:
    """What stands there, what comes and what goes in those days."""
    here = [s for s in own.standing(first, last) if s.by != "over"]
    begun = first <= book.today
    stands = [s for s in here if s.by == "daybook" or (not begun and s.start < first)]
    due = [s for s in here if begun and s.by == "plan" and s.start < book.today]
    comes = [s for s in here if s not in stands and s not in due]
    leaves = [t for t in own.tracks if first <= t.end - timedelta(days=1) <= last]
    goes = [t.spells[-1] for t in leaves if t.spells[-1].by != "over"]
    parts = []
    if stands:
        parts.append("Stands: " + _listed([_short(s) for s in stands]))
    if due:
        told = [f"{_short(s)} {day_text(s.start)}" for s in due]
        parts.append("Planned, not in the daybook: " + _listed(told))
    if comes:
        told = [f"{_short(s)} {s.start:%a} {day_text(s.start)}" for s in comes]
        parts.append("Comes: " + _listed(told))
    if goes:
        told = [f"{clean(s.batch)} {day_text(s.end)}" for s in goes]
        parts.append("Goes: " + _listed(told))
    if not parts and own.space.stands:
        parts = [NOTHING]
    return parts


def _listed(parts: list[str]) -> str:
    return ", ".join(dict.fromkeys(parts)) + "."


def _short(spell: Spell) -> str:
    return f"{clean(spell.batch)} ({spell.stage})"


def batch_detail(desk: "Desk", book: SeasonBook, at: Open, spell: Spell) -> list[str]:
    what = f"{clean(spell.batch)}: {stage_words(spell.stage, spell.method)}"
    name, crop = clean(spell.batch), clean(spell.crop)
    if name.rpartition("-")[0] != crop and name.replace("-", " ") != crop:
        what += f" ({crop}, {spell.method})"
    said = [f"{what}; {clean(spell.container)}, {_stay(book, spell)}"]
    said.append(_next(desk, book, at, spell))
    plan = book.batches.get(spell.batch)
    if plan is not None:
        said.append(_expected(plan))
        said.append(f"Why: {clean(plan.reason)}." if plan.reason else "")
    return [text for text in said if text]


def _expected(plan: BatchPlan) -> str:
    ready = (
        "stands over the season's end"
        if plan.ready is None
        else f"ready {day_text(plan.ready)}"
    )
    wanted = f", wanted by {day_text(plan.wanted_by)}" if plan.wanted_by else ""
    of = f" of {plan.wanted} wanted" if plan.wanted else ""
    return f"Expected: {plan.plants_expected:.0f}{of} plants, {ready}{wanted}."


def _stay(book: SeasonBook, spell: Spell) -> str:
    place = f"in {clean(spell.space)}" + (f" ({spell.state})" if spell.state else "")
    span = f"{day_text(spell.start)} – {day_text(spell.end)}"
    how = {
        "daybook": f"stands {place} since {day_text(spell.start)} by the daybook",
        "over": f"was planned {place} {span}, now past",
        "plan": f"planned {place} {span}",
    }[spell.by]
    if spell.by == "plan" and spell.start < book.today:
        how += ", not in the daybook yet"
    if isnan(spell.root_c):
        return f"{how}."
    return f"{how}; root zone {spell.root_c:.1f} °C then."


def _next(desk: "Desk", book: SeasonBook, at: Open, spell: Spell) -> str:
    """When next: the job that is due, else the next stage of its way."""
    jobs = () if desk.jobs is None else desk.jobs.rows
    due = [job for job in jobs if job.batch == spell.batch]
    if due and (spell.by == "daybook" or spell.start <= due[0].date <= spell.end):
        job = due[0]
        return f"Next: {job.date:%a} {day_text(job.date)}, {clean(job.what)}."
    ways = book.routes.get(spell.batch, ())
    way = ways[at.row.part] if at.row.part < len(ways) else ()
    later = [s for s in way if s.start >= spell.end]
    if later:
        one = later[0]
        to = "" if one.space == spell.space else f", to {clean(one.space)}"
        words = stage_words(one.stage, one.method)
        return f"Next: {one.start:%a} {day_text(one.start)}, {words}{to}."
    plan = book.batches.get(spell.batch)
    if plan is not None and plan.ready is not None:
        return f"Next: {plan.ready:%a} {day_text(plan.ready)}, ready to plant out."
    return ""
