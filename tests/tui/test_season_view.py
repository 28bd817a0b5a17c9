"""The season as it is drawn, in every state, without a terminal."""

import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from tui_desks import State, make_desk, read_garden
from tui_season import TODAY

from propsched.service.opened import fill_of
from propsched.tui.desk import Desk
from propsched.tui.views.pieces import text_of
from propsched.tui.views.season import (
    SeasonView,
    screen_text,
    season_lines,
    season_view,
)
from propsched.tui.views.season_axis import CELL, axis_for, monday
from propsched.tui.views.season_book import SeasonBook, season_book
from propsched.tui.views.season_open import (
    Open,
    Row,
    at_batch,
    moved,
    opened_on,
    passed,
    rows_of,
    unfolded,
    zoomed,
)
from propsched.tui.views.season_rows import LABEL, bar_of, cell_of
from propsched.tui.views.warmth import warmth_lines

SIZES = ((80, 20), (80, 21), (120, 36), (160, 46), (44, 22))


def book_of(desk: Desk) -> SeasonBook:
    book = season_book(desk)
    assert book is not None
    return book


def view_of(
    desk: Desk, at: Open | None = None, *, width: int = 80, height: int = 20
) -> SeasonView:
    book = season_book(desk)
    if at is None and book is not None:
        at = opened_on(book, "")
    return season_view(desk, book, at, width=width, height=height)


def row_text(view: SeasonView, row: Row) -> str:
    return text_of(view.drawn[view.keys.index(row)])


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "state",
    ["unread", "faulty", "empty", "unplanned", "planned", "planning", "tried"],
)
def test_nothing_is_wider_or_higher_than_the_screen(
    state: State, size: tuple[int, int]
) -> None:
    desk = make_desk(state)
    view = view_of(desk, width=size[0], height=size[1])
    assert len(view.drawn) <= size[1]
    assert max(len(text_of(one)) for one in view.drawn) <= size[0]
    assert all(one.strip() for one in view.lines)


def test_what_to_do_while_there_is_nothing_to_show() -> None:
    assert "Reading" in screen_text(view_of(make_desk("unread")))
    faulty = screen_text(view_of(make_desk("faulty")))
    assert "3 faults" in faulty
    assert "Press x" in faulty
    unplanned = view_of(make_desk("unplanned"))
    assert "No plan yet: p plans" in screen_text(unplanned)
    assert any("No plan yet" in one for one in unplanned.lines)


def test_all_spaces_fit_on_a_small_screen_and_none_is_cut() -> None:
    desk = make_desk()
    text = screen_text(view_of(desk))
    for space in read_garden().opened.season.spaces:
        assert space.id in text
    assert "…" not in text


def test_use_by_day_is_that_of_the_plan() -> None:
    """Held against the service's own sum, where the daybook agrees with the plan."""
    opened = read_garden().opened
    assert opened.plan is not None
    expected = fill_of(opened.plan, opened.season)
    book = book_of(make_desk())
    for own in book.spaces:
        if own.space.id not in ("bench", "hotbed", "house"):
            continue
        for day in range(book.day(TODAY) + 21, len(own.used_m2)):
            share = own.used_m2[day] / own.free_m2[day]
            assert share == pytest.approx(expected[own.space.id][day])


def test_a_column_tells_the_fullest_day_and_the_mean_warmth() -> None:
    desk = make_desk()
    book = book_of(desk)
    own = book.of("bench")
    assert own is not None
    axis = axis_for("weeks", book.first, book.last, day=TODAY, left=None, columns=11)
    column = axis.column(date(2027, 4, 20))
    cell = cell_of(book, own, axis, column)
    # vine is gone; tomato 0.20 + chilli 0.10 + cucumber 0.10 of 0.6 m²
    assert cell.share == pytest.approx(0.4 / 0.6)
    assert cell.free_m2 == pytest.approx(0.2)
    assert desk.temps is not None
    week = [
        row.root_mean_c
        for row in desk.temps.rows
        if row.space == "bench" and date(2027, 4, 19) <= row.date <= date(2027, 4, 25)
    ]
    assert cell.root_c == pytest.approx(sum(week) / 7)


def test_what_is_overfull_scarce_made_up_and_heated_is_marked() -> None:
    desk = make_desk()
    book = book_of(desk)
    at = replace(opened_on(book, "propagator"), day=TODAY)
    view = view_of(desk, at)
    assert "+" in row_text(view, Row("propagator"))[LABEL:]
    assert "h" in row_text(view, Row("bench"))[LABEL:]
    early = view_of(desk, replace(at, day=date(2027, 2, 10)))
    assert "m" in row_text(early, Row("hotbed"))[LABEL:]
    assert desk.opened is not None
    assert desk.opened.plan is not None
    crowded = tuple(
        replace(p, area_m2=0.9) if p.batch == "tomato" else p
        for p in desk.opened.plan.placements
    )
    plan = replace(desk.opened.plan, placements=crowded)
    full = replace(desk, opened=replace(desk.opened, plan=plan))
    text = row_text(view_of(full, at), Row("propagator"))
    assert "overfull" in text
    assert "!" in text
    said = " ".join(view_of(full, at).lines)
    assert "overfull by 0.75 m²" in said  # 0.9 + chilli 0.05 − 0.2


def test_the_daybook_is_told_from_the_plan() -> None:
    desk = make_desk()
    book = book_of(desk)
    at = unfolded(opened_on(book, "propagator"))
    view = view_of(desk, at)
    tomato = row_text(view, Row("propagator", "tomato"))
    assert "●" in tomato
    assert "━" in tomato
    cucumber = row_text(view, Row("propagator", "cucumber"))
    assert "○" in cucumber
    assert "━" not in cucumber
    stands = view_of(desk, replace(at, row=Row("propagator", "tomato")))
    assert "by the daybook" in " ".join(screen_text(stands).split())


def test_a_batch_tells_stage_reason_next_and_plants() -> None:
    desk = make_desk()
    book = book_of(desk)
    at = at_batch(book, opened_on(book, ""), "lettuce-1")
    assert (at.row.space, at.opened) == ("hotbed", "hotbed")
    text = " ".join(screen_text(view_of(desk, at, height=30)).split())
    assert "sown, until it is up" in text
    assert "the next best place is the windowsill" in text
    assert "23 of 24 wanted" in text
    assert "Next:" in text


def test_all_that_is_said_of_a_batch_is_there_on_a_small_screen() -> None:
    desk = make_desk()
    book = book_of(desk)
    for batch in book.batches:
        at = at_batch(book, opened_on(book, ""), batch)
        text = " ".join(screen_text(view_of(desk, at)).split())
        assert "Expected:" in text
        assert "wanted plants" in text
        assert "9 days later." in text  # the end of why


def test_lost_and_planted_out_batches_take_no_room() -> None:
    book = book_of(make_desk())
    for batch in ("leek", "onion"):
        spells = [s for way in book.routes.get(batch, ()) for s in way]
        assert all(s.end <= TODAY for s in spells)


def test_what_stands_against_the_plan_is_shown_where_it_stands() -> None:
    desk = make_desk()
    assert desk.opened is not None
    states = dict(desk.opened.states)
    states["tomato"] = replace(states["tomato"], space="windowsill")
    book = book_of(replace(desk, opened=replace(desk.opened, states=states)))
    here = [s for s in book.routes["tomato"][0] if s.on(TODAY)]
    assert [(s.space, s.by) for s in here] == [("windowsill", "daybook")]


def test_a_batch_that_is_late_stands_in_one_place_only() -> None:
    """Whatever the day, and however far the plan has gone on without it."""
    desk = make_desk()
    assert desk.opened is not None
    for days in range(0, 80, 4):
        loaded = replace(desk.opened.loaded, today=TODAY + timedelta(days=days))
        book = book_of(replace(desk, opened=replace(desk.opened, loaded=loaded)))
        for way in (way for ways in book.routes.values() for way in ways):
            for before, after in pairwise(way):
                assert before.end <= after.start
        chilli = [s for s in book.routes["chilli"][0] if s.on(book.today)]
        assert [(s.stage, s.by) for s in chilli] == [("start", "daybook")]


def test_a_tall_wide_screen_tells_what_stands_in_every_space() -> None:
    text = screen_text(view_of(make_desk(), width=160, height=46))
    told = text[text.index("What stands where, week of 1 Mar") :]
    assert "Stands: bean (harden)." in told
    assert "Comes: lettuce-1 (start) Sat 6 Mar." in told


def test_where_there_is_room_the_space_at_the_cursor_is_shown_unopened() -> None:
    desk = make_desk()
    book = book_of(desk)
    at = opened_on(book, "frame")
    view = view_of(desk, at, width=160, height=46)
    text = screen_text(view)
    told = text[text.index("In frame (enter opens it)") :]
    assert "free trays" in told
    assert "● bean" in told
    assert "○ tomato" in told
    assert len(view.drawn) <= 46
    opened = screen_text(view_of(desk, unfolded(at), width=160, height=46))
    assert "enter opens it" not in opened
    pond = screen_text(view_of(desk, opened_on(book, "pond"), width=160, height=46))
    assert "enter opens it" not in pond
    assert "enter opens it" not in screen_text(view_of(desk, at, width=80, height=46))


def test_an_unplanned_season_shows_what_stands() -> None:
    desk = make_desk("unplanned")
    book = book_of(desk)
    own = book.of("propagator")
    assert own is not None
    assert {t.batch for t in own.tracks} == {"tomato", "chilli"}
    assert own.used_m2[book.day(TODAY)] > 0


def test_warmth_is_the_plans_until_it_is_simulated() -> None:
    book = book_of(make_desk(temps=None))
    own = book.of("bench")
    assert own is not None
    assert not own.simulated
    # tomato 16.4 °C on 0.20 m², vine 16.1 °C on 0.16 m²
    day = book.day(date(2027, 3, 20))
    assert own.root_c[day] == pytest.approx((16.4 * 0.2 + 16.1 * 0.16) / 0.36)
    text = screen_text(view_of(make_desk(temps=None)))
    assert "as planned" in text
    assert "simulated" in text


@pytest.mark.parametrize("zoom", ["season", "weeks", "days"])
@pytest.mark.parametrize("columns", [1, 4, 11, 40])
def test_the_chosen_day_is_always_in_view(zoom: str, columns: int) -> None:
    first, last = date(2026, 11, 1), date(2027, 5, 31)
    left = None
    for number in range(0, 212, 5):
        day = first + timedelta(days=number)
        axis = axis_for(zoom, first, last, day=day, left=left, columns=columns)  # type: ignore[arg-type]
        assert 0 <= axis.column(day) < axis.columns <= columns
        assert axis.begins(axis.column(day)) <= day <= axis.last(axis.column(day))
        if zoom != "days":
            assert axis.first.weekday() == 0
        left = axis.first


def test_the_whole_season_fits_when_zoomed_out() -> None:
    first, last = date(2026, 11, 1), date(2027, 5, 31)
    for columns in (4, 11, 18):
        axis = axis_for("season", first, last, day=first, left=None, columns=columns)
        assert axis.first == monday(first)
        assert axis.end > last


def test_going_along_a_batch_follows_it_through_its_spaces() -> None:
    book = book_of(make_desk())
    at = at_batch(book, opened_on(book, ""), "tomato")
    axis = axis_for("weeks", book.first, book.last, day=at.day, left=None, columns=11)
    places = []
    for _ in range(5):
        places.append(at.row.space)
        at = passed(book, at, axis, 1)
    assert places == ["propagator", "bench", "frame", "frame", "frame"]
    for _ in range(5):
        at = passed(book, at, axis, -1)
    assert at.row.space == "propagator"


def test_rows_run_from_space_to_batch_and_stop_at_the_ends() -> None:
    book = book_of(make_desk())
    at = unfolded(opened_on(book, "propagator"))
    axis = axis_for("weeks", book.first, book.last, day=at.day, left=None, columns=11)
    rows = rows_of(book, at, axis.first)
    assert moved(book, at, axis, -1).row == rows[0]
    assert moved(book, at, axis, 1).row.batch
    assert moved(book, at, axis, 999).row == rows[-1]


def test_every_row_can_be_reached_and_is_in_view() -> None:
    desk = make_desk()
    book = book_of(desk)
    at = unfolded(opened_on(book, "frame"))
    view = view_of(desk, at, height=14)
    assert view.axis is not None
    for _ in rows_of(book, at, view.axis.first):
        assert view.at is not None
        assert view.at.row in view.keys
        view = view_of(desk, moved(book, view.at, view.axis, 1), height=14)
        assert view.axis is not None


def test_zoom_stops_at_both_ends() -> None:
    at = opened_on(book_of(make_desk()), "")
    assert [zoomed(at, n).zoom for n in (-9, -1, 1, 9)] == [
        "season", "season", "days", "days",
    ]  # fmt: skip


def test_bars_are_whole_only_when_full_and_empty_only_when_empty() -> None:
    assert bar_of(0.0) == "·"
    assert bar_of(0.001) == "▁"
    assert bar_of(0.98) == "▇"
    assert bar_of(1.0) == "█"


def test_text_of_files_is_never_obeyed() -> None:
    desk = make_desk()
    assert desk.opened is not None
    plan = desk.opened.plan
    assert plan is not None
    batches = tuple(
        replace(b, reason="\x1b[31mred\u202e [bold]x[/bold]") for b in plan.batches
    )
    opened = replace(desk.opened, plan=replace(plan, batches=batches))
    desk = replace(desk, opened=opened)
    at = at_batch(book_of(desk), opened_on(book_of(desk), ""), "tomato")
    text = screen_text(view_of(desk, at))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert "[bold]x[/bold]" in text


@pytest.mark.parametrize("state", ["unread", "faulty", "empty", "unplanned", "planned"])
def test_season_and_warmth_can_be_heard(state: State) -> None:
    desk = make_desk(state)
    told = season_lines(desk), warmth_lines(desk)
    for lines in told:
        assert lines
        assert all(one.strip() and one.isprintable() for one in lines)
    if desk.opened is not None:
        for space in desk.opened.season.spaces:
            assert all(any(one.startswith(space.id) for one in lines) for lines in told)


def test_a_column_is_as_wide_as_its_cell() -> None:
    view = view_of(make_desk())
    assert view.axis is not None
    row = view.drawn[view.keys.index(Row("border"))]
    assert sum(len(p.text) for p in row) == LABEL + view.axis.columns * CELL


def test_views_load_nothing_heavy() -> None:
    code = (
        "import sys, propsched.tui.views.season, propsched.tui.views.warmth\n"
        "bad = {'textual', 'numpy', 'pandas', 'scipy', 'ortools'} & set(sys.modules)\n"
        "sys.exit(', '.join(sorted(bad)) or 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
