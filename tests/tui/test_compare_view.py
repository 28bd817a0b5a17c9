"""Two spaces beside one another, without a terminal."""

from dataclasses import replace

import pytest
from tui_desks import garden_compared, make_desk

from propsched.service.comparison import ModelledSeason
from propsched.tui.desk import Desk
from propsched.tui.views.compare import (
    Choice,
    CompareView,
    compare_view,
    counts_of,
    first_choice,
)

PAIR = Choice(first="frame", second="border")


def _view(desk: Desk, choice: Choice = PAIR, width: int = 80) -> CompareView:
    return compare_view(desk, counts_of(desk), choice, width=width)


def test_spaces_stand_with_how_often_they_were_read() -> None:
    desk = make_desk()
    counts = counts_of(desk)
    assert counts["frame"] == (3, "5 Mar")
    assert counts["bench"] == (0, "")
    view = _view(desk)
    assert any("frame" in row and "3 ×, 5 Mar" in row for row in view.rows)
    assert any("bench" in row and "never read" in row for row in view.rows)
    assert view.rows[view.cursors[0]].startswith("frame")


def test_at_first_the_two_that_were_read_most() -> None:
    desk = make_desk(space="")
    assert first_choice(desk, counts_of(desk)) == PAIR
    looked_at = replace(desk, space="pond")
    assert first_choice(looked_at, counts_of(desk)).first == "pond"
    assert first_choice(replace(desk, space="bench"), counts_of(desk)).first == "frame"


def test_the_verdict_first_then_what_it_rests_on() -> None:
    compared = garden_compared()
    season = ModelledSeason(mean_k=1.4, low_k=-0.1, high_k=1.9)
    view = _view(make_desk(compared=replace(compared, season=season)))
    assert view.verdict == (
        "Frame is warmer than border by 2.3 °C, between 1.2 and 3.4."
    )
    told = "\n".join(view.answer)
    assert "known to ±1.1 °C or better" in told
    assert "morning      12  +2.3  +1.2 to +3.4    +1.5" in told
    assert told.count("●") == 12 + 1, "a dot a day, and what a dot is"
    assert "· Each pair was read with one probe" in told
    assert "−0.1 to +1.9 in 80 % of winters" in told
    assert not view.to_reading
    assert max(map(len, view.answer)) <= 80


@pytest.mark.parametrize("days", [0, 3])
def test_too_little_leads_to_reading(days: int) -> None:
    view = _view(make_desk(compared=garden_compared(days=days)))
    assert view.to_reading
    assert view.verdict.startswith("Not enough readings yet")
    if not days:
        assert "within 90 minutes of one another" in view.answer[0]
    else:
        assert any("too few days" in line for line in view.answer)


def test_a_space_that_was_never_read_leads_to_reading() -> None:
    view = _view(make_desk(), Choice(first="frame", second="bench"))
    assert view.to_reading
    assert view.verdict.startswith("bench: never read")


def test_an_answer_is_of_the_two_that_are_chosen_only() -> None:
    desk = make_desk(compared=garden_compared())
    other = _view(desk, Choice(first="frame", second="pond"))
    assert other.verdict == "Enter compares frame with pond."
    assert other.answer == ()
    assert "differ" in _view(desk, Choice(first="frame", second="frame")).verdict
    waiting = _view(desk, replace(PAIR, asked=("frame", "border")))
    assert waiting.verdict == "Comparing frame with border …"
    failed = _view(desk, replace(PAIR, failed="weather.csv is gone"))
    assert failed.verdict == "weather.csv is gone"


def test_on_a_phone_lists_table_and_plot_fit() -> None:
    view = _view(make_desk(compared=garden_compared()), width=40)
    wrapped = ("·", "It is known", "frame less")
    assert max(len(line) for line in view.answer if not line.startswith(wrapped)) <= 40
    assert max(map(len, view.rows)) <= 20


def test_there_is_a_plain_text_of_it() -> None:
    lines = _view(make_desk(compared=garden_compared())).lines
    assert any(line.startswith("▸ Is this one …: frame") for line in lines)
    assert any("warmer than border" in line for line in lines)


@pytest.mark.parametrize(
    ("state", "told"),
    [("unread", "Reading the files"), ("faulty", "x shows them")],
)
def test_where_nothing_can_be_read_it_says_what_to_do(state: str, told: str) -> None:
    view = _view(make_desk(state))  # type: ignore[arg-type]
    assert told in view.empty
    assert view.lines == (view.empty,)


def test_without_any_reading_the_way_leads_to_reading() -> None:
    desk = make_desk("empty")
    choice = first_choice(desk, counts_of(desk))
    assert choice.first != choice.second != ""
    assert _view(desk, choice).to_reading
