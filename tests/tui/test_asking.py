"""Questions turned, typed and rubbed out."""

from dataclasses import replace
from datetime import date

import pytest

from propsched.tui.views import asking
from propsched.tui.views.asking import Asking, Question, answer_text, drawn_asking
from propsched.tui.views.pieces import text_of
from propsched.tui.views.typed_day import day_typed

TODAY = date(2027, 3, 6)
DAY = Question(name="day", kind="day", value="2027-03-06", first=date(2027, 3, 4),
               last=TODAY)  # fmt: skip
OPEN = Question(name="from", kind="day", blank="any day", start="2027-04-01")
LOST = Question(name="lost", kind="number", blank="0")
COUNT = Question(name="count", kind="number", blank="200, as the job says", start="200")
SPACE = Question(name="space", kind="one", value="", options=(
    ("", "any space"), ("house", "house"), ("bench", "bench")))  # fmt: skip


def _form(*questions: Question) -> Asking:
    return Asking(title="Asked", questions=questions, today=TODAY)


def test_a_day_stays_between_its_bounds() -> None:
    form = _form(DAY)
    assert asking.turned(form, 1).day("day") == TODAY
    assert asking.turned(form, -1).day("day") == date(2027, 3, 5)
    assert asking.turned(form, -9).day("day") == date(2027, 3, 4)
    assert asking.rubbed(asking.turned(form, -9)).day("day") == TODAY


def test_a_day_may_be_left_open() -> None:
    form = _form(OPEN)
    assert form.day("from") is None
    assert answer_text(form, form.here) == "any day"
    form = asking.turned(form, 1)
    assert form.day("from") == date(2027, 4, 1)
    assert asking.turned(form, asking.WEEK).day("from") == date(2027, 4, 8)
    assert asking.rubbed(form).day("from") is None
    assert asking.turned(form, -(10**7)).day("from") == date.min


def _keyed(form: Asking, text: str) -> Asking:
    for sign in text:
        assert asking.takes(form, sign)
        form = asking.typed(form, sign)
    return form


def test_a_day_is_typed_and_taken_as_far_as_it_makes_sense() -> None:
    form = _keyed(_form(OPEN, LOST), "12")
    assert form.day("from") == date(2027, 3, 12)
    assert _keyed(form, ".4").day("from") == date(2027, 4, 12)
    assert _keyed(_form(OPEN), "2027-05-01").day("from") == date(2027, 5, 1)
    odd = _keyed(form, ".13")
    assert "12.13?" in _drawn(odd)
    assert "a day: 12, 12.1 or 2027-01-12" in _drawn(odd)
    back = asking.rubbed(asking.rubbed(odd))
    assert (back.day("from"), back.refused) == (date(2027, 3, 12), "")
    assert "(12.)" in _drawn(back)
    for _ in range(3):
        back = asking.rubbed(back)
    assert (back.typed, back.day("from")) == ("", date(2027, 4, 1))
    assert asking.rubbed(back).day("from") is None
    left = asking.moved(odd, 1)
    assert (left.typed, left.refused) == ("", "")
    assert not asking.takes(left, ".")
    assert asking.turned(odd, 1).refused == ""


def test_of_what_has_happened_the_last_such_day_is_meant() -> None:
    noted = _form(replace(DAY, first=date(2026, 11, 1)))
    assert _keyed(noted, "6").day("day") == TODAY
    assert _keyed(noted, "7").day("day") == date(2027, 2, 7)
    assert _keyed(noted, "24.12").day("day") == date(2026, 12, 24)
    early = _keyed(_form(DAY), "12")
    assert early.refused == "12 Feb – must be 4 Mar to 6 Mar"
    assert early.day("day") == TODAY
    assert _keyed(noted, "1.10").refused == "1 Oct 2026 – must be 1 Nov to 6 Mar"


@pytest.mark.parametrize(
    ("text", "day"),
    [("12", date(2027, 3, 12)), ("5", date(2027, 4, 5)), ("31", date(2027, 3, 31)),
     ("12.1", date(2028, 1, 12)), ("12-1", date(2028, 1, 12)), ("6.3.", TODAY),
     ("2027-01-12", date(2027, 1, 12)), ("32", None), ("12.13", None), (".", None),
     ("30.2", None), ("29.2", date(2028, 2, 29))],
)  # fmt: skip
def test_a_day_is_understood_as_it_is_said(text: str, day: date | None) -> None:
    assert day_typed(text, TODAY) == day


def _drawn(form: Asking) -> str:
    lines, _ = drawn_asking(form, 80, big=False)
    return "\n".join(text_of(one) for one in lines)


def test_numbers_are_typed_turned_and_rubbed_out() -> None:
    form = _form(LOST)
    assert form.number("lost") is None
    form = asking.typed(asking.typed(form, "1"), "2")
    assert form.number("lost") == 12
    assert asking.rubbed(form).number("lost") == 1
    assert asking.turned(form, -10).number("lost") == 2
    assert asking.turned(form, -99).number("lost") == 0
    assert asking.turned(form, 10**9).number("lost") == asking.MOST
    many = _form(COUNT)
    assert asking.turned(many, -10).number("count") == 190
    assert asking.typed(many, "5").number("count") == 5


def test_one_of_several_is_turned_round_and_round() -> None:
    form = _form(SPACE)
    seen = []
    for _ in range(4):
        form = asking.turned(form, 7)
        seen.append(form.text("space"))
    assert seen == ["house", "bench", "", "house"]
    assert asking.turned(form, -1).text("space") == ""
    assert asking.rubbed(form) == form


def test_the_cursor_stays_on_a_question() -> None:
    form = asking.moved(_form(DAY, LOST), 9)
    assert form.here is form.questions[1]
    assert asking.moved(form, -9).at == 0
    assert form.text("not asked") == ""


@pytest.mark.parametrize("big", [False, True])
@pytest.mark.parametrize("width", [44, 80])
def test_every_button_is_drawn_where_it_is_pressed(width: int, big: bool) -> None:
    form = _form(DAY, LOST, SPACE)
    lines, spots = drawn_asking(form, width, big=big)
    texts = ["".join(piece.text for piece in one) for one in lines]
    if big:
        assert max(map(len, texts)) <= width
    lines_of = [spot for spot in spots if spot.action.startswith("form_at")]
    assert [texts[s.row][1:4] for s in lines_of] == ["day", "los", "spa"]
    spots = [spot for spot in spots if spot not in lines_of]
    assert {spot.action for spot in spots} == {
        *(f"form_turn(0, {n})" for n in (-7, -1, 1, 7)),
        *(f"form_turn(1, {n})" for n in (-10, -1, 1, 10)),
        *(f"form_turn(2, {n})" for n in (-1, 1)),
        "form_done", "form_drop",
    }  # fmt: skip
    for spot in spots:
        drawn = texts[spot.row][spot.first : spot.last + 1]
        assert drawn[0] in "[┌│└"
        assert drawn[-1] in "]┐│┘"


def test_where_there_is_no_room_one_question_has_its_buttons() -> None:
    form = asking.moved(_form(DAY, LOST, SPACE), 1)
    many, _ = drawn_asking(form, 44, big=True)
    few, spots = drawn_asking(form, 44, big=True, high=len(many) - 1)
    assert len(few) == len(many) - 6
    actions = {spot.action for spot in spots}
    assert "form_turn(1, 1)" in actions
    assert "form_turn(0, 1)" not in actions
    assert {"form_at(0)", "form_at(2)", "form_done", "form_drop"} <= actions
