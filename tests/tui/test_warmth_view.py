"""The warmth of one space as it is drawn, without a terminal."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from tui_desks import State, make_desk
from tui_season import TODAY

from propsched.service.answers import TempsAnswer, TempsRow
from propsched.tui.desk import Desk
from propsched.tui.views.pieces import text_of
from propsched.tui.views.season_book import SeasonBook, season_book
from propsched.tui.views.warmth import (
    Sight,
    WarmthView,
    closer,
    days_in_view,
    next_day,
    next_space,
    sight_on,
    warmth_view,
)
from propsched.tui.views.warmth_needs import need_text, needs_on
from propsched.tui.views.warmth_plot import MARGIN, Frame, Level, frame_for, plot


def book_of(desk: Desk) -> SeasonBook:
    book = season_book(desk)
    assert book is not None
    return book


def view_of(
    desk: Desk, at: Sight | None = None, *, width: int = 80, height: int = 20
) -> WarmthView:
    book = season_book(desk)
    if at is None and book is not None:
        at = sight_on(book, "frame")
    return warmth_view(desk, book, at, width=width, height=height)


def all_text(view: WarmthView) -> str:
    return "\n".join(text_of(one) for one in view.drawn)


def row(day: date, mean_c: float, **over: object) -> TempsRow:
    plain: dict[str, object] = {
        "date": day, "space": "frame", "root_mean_c": mean_c,
        "root_min_c": mean_c - 1, "root_max_c": mean_c + 1, "low_c": mean_c - 2,
        "high_c": mean_c + 2, "air_min_c": mean_c - 5, "source": "model",
    }  # fmt: skip
    return TempsRow(**{**plain, **over})  # type: ignore[arg-type]


@pytest.mark.parametrize("size", [(80, 20), (120, 36), (160, 46), (44, 22)])
@pytest.mark.parametrize(
    "state",
    ["unread", "faulty", "empty", "unplanned", "planned", "planning", "tried"],
)
def test_nothing_is_wider_or_higher_than_the_screen(
    state: State, size: tuple[int, int]
) -> None:
    desk = make_desk(state)
    book = season_book(desk)
    spans = ["season", "two months", "fortnight"]
    for span in spans if book is not None else spans[:1]:
        at = None
        if book is not None:
            at = replace(sight_on(book, "frame"), span=span)  # type: ignore[arg-type]
        view = view_of(desk, at, width=size[0], height=size[1])
        assert len(view.drawn) <= size[1]
        assert max(len(text_of(one)) for one in view.drawn) <= size[0]


def test_what_to_do_while_there_is_nothing_to_show() -> None:
    assert "Reading" in all_text(view_of(make_desk("unread")))
    assert "Press x" in all_text(view_of(make_desk("faulty")))


def test_needs_are_shown_while_the_spaces_are_simulated() -> None:
    text = all_text(view_of(make_desk(temps=None)))
    assert "being simulated" in text
    assert "bean" in text
    assert "⠒" not in text


def test_the_chosen_day_is_told_in_figures() -> None:
    desk = make_desk()
    assert desk.temps is not None
    one = next(r for r in desk.temps.rows if (r.space, r.date) == ("frame", TODAY))
    text = " ".join(all_text(view_of(desk)).split())
    assert f"root zone {one.root_mean_c:.1f} °C" in text
    assert f"({one.low_c:.1f} to {one.high_c:.1f} in 8 of 10 winters)" in text
    assert f"air at night {one.air_min_c:.1f} °C" in text
    assert "today" in text


def test_a_reading_is_a_point_in_the_row_of_its_degrees() -> None:
    frame = Frame(TODAY, 4, 8, 10, 10.5, 1.0)  # rows 10, 9 … 1 °C, two columns a day
    temps = {TODAY: row(TODAY, 5.0, source="reading", reading_c=7.2)}
    drawn = plot(frame, temps, [], today=TODAY, chosen=TODAY)
    found = [(n, text_of(one)) for n, one in enumerate(drawn) if "●" in text_of(one)]
    assert [n for n, _ in found] == [3]  # 10, 9, 8, then 7 °C
    assert found[0][1].strip().startswith("7")
    assert found[0][1].index("●") == MARGIN + 1


def test_the_range_covers_the_rows_between_its_ends() -> None:
    days = [TODAY + timedelta(days=n) for n in range(4)]
    frame = Frame(TODAY, 4, 8, 12, 12.5, 1.0)
    temps = {day: row(day, 6.0, air_min_c=-50) for day in days}
    far = TODAY - timedelta(days=40)
    drawn = plot(frame, temps, [], today=far, chosen=far)
    shaded = [
        int(text_of(one)[:4]) for one in drawn[: frame.height] if "░" in text_of(one)
    ]
    assert shaded == [8, 7, 5, 4]  # 6 itself has the median all along
    median = text_of(drawn[6])
    assert all(0x2800 < ord(sign) < 0x2900 for sign in median[MARGIN:])


def test_needs_are_lines_over_the_days_they_hold() -> None:
    frame = Frame(TODAY, 10, 40, 12, 12.5, 1.0)
    level = Level(5.0, " bean best 5 ", TODAY, TODAY + timedelta(days=5))
    drawn = plot(frame, {}, [level], today=TODAY, chosen=TODAY)
    text = text_of(drawn[7])
    assert text.strip().startswith("5")
    assert "bean best 5" in text
    assert len(text) <= MARGIN + 20


def test_names_of_lines_at_one_height_stand_beside_each_other() -> None:
    frame = Frame(TODAY, 10, 60, 12, 12.5, 1.0)
    end = TODAY + timedelta(days=10)
    levels = [Level(5.0, f" {n} best 5 ", TODAY, end) for n in ("bean", "pea", "leek")]
    text = text_of(plot(frame, {}, levels, today=TODAY, chosen=TODAY)[7])
    assert all(f"{n} best 5" in text for n in ("bean", "pea", "leek"))
    short = Level(5.0, " pea best 5 ", TODAY, TODAY + timedelta(days=1))
    text = text_of(plot(frame, {}, [short], today=TODAY, chosen=end)[7])
    assert text.index("┄") < text.index("pea best 5")
    long = Level(5.0, "x" * 61, TODAY, end)
    text = text_of(plot(frame, {}, [long], today=TODAY, chosen=end)[7])
    assert "x" not in text  # it is told below, and a piece of it tells nothing
    assert "┄" in text


def test_what_was_forecast_and_outlook_are_told_apart_in_words() -> None:
    text = all_text(view_of(make_desk()))
    last = next(one for one in text.splitlines() if "outlook" in one and "was" in one)
    assert last.index("was") < last.index("forecast"[0]) < last.index("outlook")
    assert "▲today" in text


@pytest.mark.parametrize("temps", [(3.1, 3.2), (-12.0, 31.0), (0.0, 0.0), ()])
@pytest.mark.parametrize("height", [4, 9, 30])
def test_every_temperature_is_inside_the_frame(
    temps: tuple[float, ...], height: int
) -> None:
    frame = frame_for(TODAY, 17, temps, width=60, height=height)
    for temp in temps:
        assert 0 <= frame.row(temp) < height


def test_needs_of_what_stands_there_come_from_the_crop_table() -> None:
    desk = make_desk()
    assert desk.opened is not None
    needs = needs_on(desk.opened, book_of(desk), "propagator", TODAY)
    assert {n.batch for n in needs} == {"tomato", "chilli"}
    for need in needs:
        stages = desk.opened.crops[need.batch].stages
        own = next(n for n in stages if n.stage == need.stage)
        assert need.best_c == own.opt_c
        assert need.least_c == max(own.base_c, own.floor_c or own.base_c)
        assert need.night_c == own.min_c
    assert [n.least_c for n in needs] == sorted(
        (n.least_c for n in needs), reverse=True
    )
    chosen = needs_on(desk.opened, book_of(desk), "propagator", TODAY, batch="tomato")
    assert chosen[0].batch == "tomato"


def test_how_a_batch_fares_is_said_in_words() -> None:
    desk = make_desk()
    assert desk.opened is not None
    needs = needs_on(desk.opened, book_of(desk), "propagator", TODAY)
    need = replace(
        needs[0], least_c=10.0, least_word="grows above", best_c=20.0, best_to_c=24.0,
        night_c=None, stage="start",
    )  # fmt: skip
    assert "TOO COLD, stands still" in need_text(need, 10.0, 9.0)
    assert "4.0 °C short of its best" in need_text(need, 16.0, 9.0)
    assert need_text(need, 22.0, 9.0).endswith("at its best")
    assert "2.0 °C above its best" in need_text(need, 26.0, 9.0)
    rots = replace(need, least_word="rots below")
    assert "may rot" in need_text(rots, 9.0, 9.0)
    nights = replace(need, night_c=7.0)
    assert "NIGHT TOO COLD, air down to 4.0 °C" in need_text(nights, 22.0, 4.0)
    chill = replace(need, stage="chill", best_c=-1.0, best_to_c=10.0)
    assert "TOO WARM to chill" in need_text(chill, 12.0, 9.0)
    assert need_text(chill, 5.0, 2.0).endswith("it chills")


def test_spaces_go_round_with_one_key() -> None:
    book = book_of(make_desk())
    at = sight_on(book, book.spaces[0].space.id)
    seen = []
    for _ in book.spaces:
        seen.append(at.space)
        at = next_space(book, at, 1)
    assert seen == [one.space.id for one in book.spaces]
    assert at.space == seen[0]
    assert next_space(book, at, -1).space == seen[-1]


@pytest.mark.parametrize("span", ["season", "two months", "fortnight"])
def test_the_chosen_day_stays_in_view_and_in_the_season(span: str) -> None:
    book = book_of(make_desk())
    at = replace(sight_on(book, "frame"), span=span)  # type: ignore[arg-type]
    for by in [1] * 100 + [-1] * 200 + [30] * 9:
        at = next_day(book, at, by)
        first, days = days_in_view(book, at)
        at = replace(at, left=first)
        assert book.first <= first <= at.day < first + timedelta(days=days)
        assert first + timedelta(days=days - 1) <= book.last
    assert at.day == book.last
    assert closer(closer(at, 9), 9).span == "fortnight"
    assert closer(at, -9).span == "season"


def test_a_space_without_rows_says_that_it_is_simulated_not_that_it_is_cold() -> None:
    desk = make_desk(temps=TempsAnswer(rows=()))
    assert "TOO COLD" not in all_text(view_of(desk))


def test_the_same_is_said_in_plain_lines() -> None:
    view = view_of(make_desk())
    assert view.lines[0].startswith("frame")
    assert any("root zone" in one for one in view.lines)
    assert any("bean (harden)" in one for one in view.lines)
