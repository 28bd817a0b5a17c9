"""What the page of the season has open: rows, the chosen one, the chosen day."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeAlias

from propsched.tui.views.season_axis import ZOOMS, Axis, Zoom
from propsched.tui.views.season_book import SeasonBook, Track
from propsched.tui.views.season_routes import Spell


@dataclass(frozen=True, slots=True)
class Row:
    """What can be chosen: a space, or a batch in the space that is open."""

    space: str
    batch: str = ""
    part: int = 0


Key: TypeAlias = Row | None
"""Of a line on the page; None: nothing to choose there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    row: Row
    day: date
    opened: str = ""
    """The space whose batches are shown; blank: none."""
    zoom: Zoom = "weeks"
    left: date | None = None
    """First day in view; None: near the chosen day."""
    top: int = 0
    """First row in view."""


def opened_on(book: SeasonBook, space: str) -> Open:
    """As the page is when it is opened first: this week, nothing unfolded."""
    known = book.of(space)
    if known is None and book.spaces:
        known = book.spaces[0]
    return Open(
        row=Row("" if known is None else known.space.id), day=book.within(book.today)
    )


def still(book: SeasonBook, at: Open) -> Open:
    """The same once the files were read again; what is gone is let go."""
    if book.of(at.row.space) is None:
        return replace(opened_on(book, ""), zoom=at.zoom, day=book.within(at.day))
    if book.of(at.opened) is None:
        at = replace(at, opened="")
    at = replace(at, day=book.within(at.day))
    if at.row.batch and track_of(book, at.row) is None:
        at = replace(at, row=Row(at.row.space))
    return at


def tracks_shown(book: SeasonBook, at: Open, first: date) -> list[Track]:
    """Batches of the open space that do not leave before the first day in view."""
    own = book.of(at.opened)
    if own is None:
        return []
    return [
        track
        for track in own.tracks
        if track.end > first
        or (own.space.id, track.batch, track.part)
        == (at.row.space, at.row.batch, at.row.part)
    ]


def rows_of(book: SeasonBook, at: Open, first: date) -> list[Row]:
    """All that can be chosen, from top to bottom."""
    found = []
    for one in book.spaces:
        found.append(Row(one.space.id))
        if one.space.id == at.opened:
            found += [
                Row(one.space.id, t.batch, t.part)
                for t in tracks_shown(book, at, first)
            ]
    return found


def track_of(book: SeasonBook, row: Row) -> Track | None:
    own = book.of(row.space)
    if own is None:
        return None
    return next(
        (t for t in own.tracks if (t.batch, t.part) == (row.batch, row.part)), None
    )


def spell_of(book: SeasonBook, at: Open) -> Spell | None:
    """The stage of the chosen batch that is meant: on the day, else the nearest."""
    track = track_of(book, at.row)
    if track is None:
        return None
    return min(track.spells, key=lambda spell: _away(spell, at.day))


def _away(spell: Spell, day: date) -> int:
    if spell.on(day):
        return 0
    if day < spell.start:
        return (spell.start - day).days
    return (day - spell.end).days + 1


# what keys do


def moved(book: SeasonBook, at: Open, axis: Axis, by: int) -> Open:
    """To another row, up or down."""
    rows = rows_of(book, at, axis.first)
    if not rows:
        return at
    now = rows.index(at.row) if at.row in rows else 0
    return replace(at, row=rows[min(max(now + by, 0), len(rows) - 1)])


def passed(book: SeasonBook, at: Open, axis: Axis, by: int) -> Open:
    """Earlier or later: by a column; on a batch to its stage before or after."""
    if at.row.batch:
        return _followed(book, at, by)
    return replace(at, day=book.within(at.day + timedelta(days=by * axis.step)))


def _followed(book: SeasonBook, at: Open, by: int) -> Open:
    """Along the way of a batch, from space to space."""
    spell = spell_of(book, at)
    ways = book.routes.get(at.row.batch, ())
    if spell is None or at.row.part >= len(ways):
        return at
    way = ways[at.row.part]
    to = way[min(max(way.index(spell) + by, 0), len(way) - 1)]
    return chosen_spell(book, at, to)


def chosen_spell(book: SeasonBook, at: Open, spell: Spell) -> Open:
    row = replace(at.row, space=spell.space)
    if track_of(book, row) is None:  # a space that the season has no more
        return at
    opened = at.opened if at.opened == spell.space else spell.space
    now = spell.on(book.today) and not spell.on(at.day)
    day = book.within(book.today if now else max(spell.start, book.first))
    return replace(at, row=row, day=day, opened=opened)


def unfolded(at: Open) -> Open:
    """The chosen space opened into its batches, or closed again."""
    opened = "" if at.opened == at.row.space else at.row.space
    return replace(at, opened=opened, row=Row(at.row.space))


def closed(at: Open) -> Open:
    return replace(at, opened="", row=Row(at.row.space))


def zoomed(at: Open, by: int) -> Open:
    """Closer or wider; the chosen day stays in view."""
    now = ZOOMS.index(at.zoom) + by
    return replace(at, zoom=ZOOMS[min(max(now, 0), len(ZOOMS) - 1)], left=None)


def at_batch(book: SeasonBook, at: Open, batch: str) -> Open:
    """On a batch chosen elsewhere, where it stands on the chosen day or next."""
    spells = [s for way in book.routes.get(batch, ()) for s in way]
    if not spells:
        return at
    spell = min(spells, key=lambda one: _away(one, at.day))
    part = next(k for k, way in enumerate(book.routes[batch]) if spell in way)
    row = Row(spell.space, batch, part)
    if track_of(book, row) is None:
        return at
    return replace(at, row=row, opened=spell.space)
