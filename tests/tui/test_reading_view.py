"""Readings being taken, without a terminal: what is typed, refused, stored."""

from dataclasses import replace
from string import ascii_lowercase

import pytest
from tui_desks import make_desk, read_garden
from tui_season import TODAY

from propsched.service.settling import SoFar
from propsched.tui.commands import COMMANDS
from propsched.tui.pages.reading import ReadingPage
from propsched.tui.views.reading import end_of, reading_view
from propsched.tui.views.sitting import (
    Expected,
    Sitting,
    added,
    ended,
    going_to,
    rubbed,
    taken_back,
    typing,
)
from propsched.tui.views.spaces_read import (
    OWN_KEYS,
    PAGE_KEYS,
    in_order,
    letters_of,
    spaces_read,
    usual_probe,
)

DAY = Expected(9.0, 7.5, 10.5)


def _keyed(text: str, sitting: Sitting | None = None) -> Sitting:
    one = sitting or Sitting(space="frame", probe="stem", offset_k=-0.5)
    for character in text:
        one = typing(one, character)
    return one


@pytest.mark.parametrize(
    ("keys", "temp"),
    [("9.7", 9.7), ("9,7", 9.7), ("-2.5", -2.5), ("2.5-", -2.5), ("--4", 4.0),
     ("−1", -1.0), ("12", 12.0), (".5", 0.5)],
)  # fmt: skip
def test_a_number_is_taken_as_it_is_typed(keys: str, temp: float) -> None:
    _, stored = ended(_keyed(keys), 0.0, None, None)
    assert stored is not None
    assert stored.temps_c == (temp,)
    assert (stored.space, stored.probe, stored.settling) == ("frame", "stem", False)


@pytest.mark.parametrize("keys", ["", "-", ".", "-."])
def test_without_a_number_nothing_is_stored(keys: str) -> None:
    left, stored = ended(_keyed(keys), 0.0, DAY, None)
    assert stored is None
    assert "type what the probe shows" in left.refused


def test_97_for_9_7_is_refused_with_what_is_likelier() -> None:
    left, stored = ended(_keyed("97"), 0.0, DAY, None)
    assert stored is None
    assert left.refused == "97 °C is not taken – 9.7 is likelier"
    again, stored = ended(left, 1.0, DAY, None)
    assert stored is None, "not even when it is said twice"
    assert again.typed == "97"
    _, stored = ended(_keyed("97"), 0.0, None, None)
    assert stored is None, "nor where nothing is expected"


def test_five_degrees_off_is_asked_for_once_more() -> None:
    # 16.1 shown is 15.6 with the offset: 5.1 above the range of the day
    left, stored = ended(_keyed("16.1"), 0.0, DAY, None)
    assert stored is None
    assert "5 °C warmer than the model has it" in left.refused
    _, stored = ended(left, 1.0, DAY, None)
    assert stored is not None
    assert stored.temps_c == (16.1,)
    _, stored = ended(_keyed("15.8"), 0.0, DAY, None)
    assert stored is not None, "15.3 is 4.8 above it"
    changed, stored = ended(typing(rubbed(left), "9"), 1.0, DAY, None)
    assert stored is None, "another number is asked for anew"
    assert "16.9 °C" in changed.refused


def test_several_of_one_sitting_are_averaged_with_their_spread() -> None:
    one = added(_keyed("9.5"), 0.0, DAY, creeps=False)
    one = added(_keyed("9.9", one), 5.0, DAY, creeps=False)
    view = reading_view(make_desk(), spaces_read(make_desk()), one)
    # sd of two values 0.4 apart is 0.4/√2
    assert view.finding == "mean of 2: 9.7 °C, spread 0.28 °C; enter stores it"
    left, stored = ended(_keyed("9.4", one), 9.0, DAY, None)
    assert stored is not None
    assert stored.temps_c == (9.5, 9.9, 9.4)
    assert (stored.minutes, stored.settling) == ((), False)
    assert left.noted == (("frame", 9.6),)


def test_a_creeping_probe_is_taken_with_the_clock() -> None:
    one = added(_keyed("20"), 100.0, DAY, creeps=True)
    one = added(_keyed("14.5", one), 145.0, DAY, creeps=True)
    assert one.refused == "", "on the way from a warm pocket nothing is odd"
    left, stored = ended(one, 150.0, DAY, None)
    assert stored is None
    assert "3 readings at the least" in left.refused
    one = added(_keyed("12.3", one), 190.0, DAY, creeps=True)
    assert one.minutes == (0.0, 0.75, 1.5)
    left, stored = ended(_keyed("12", one), 200.0, DAY, 11.0)
    assert stored is None, "what was just typed is looked at before it is stored"
    assert left.temps_c[-1] == 12.0
    left, stored = ended(one, 200.0, DAY, 10.4)
    assert stored is not None
    assert (stored.minutes, stored.settling) == ((0.0, 0.75, 1.5), True)
    assert left.noted == (("frame", 10.4),)
    assert left.temps_c == ()


def test_where_it_settles_is_looked_at_as_any_reading() -> None:
    one = Sitting(space="frame", temps_c=(30.0, 24.0, 21.0), at_s=(0, 60, 120),
                  creeps=True)  # fmt: skip
    left, stored = ended(one, 130.0, DAY, 18.0)
    assert stored is None
    assert "8 °C warmer" in left.refused
    assert ended(left, 131.0, DAY, 18.0)[1] is not None
    assert ended(one, 130.0, DAY, None)[1] is None


def test_two_ways_of_taking_are_not_mixed_and_time_passes_between() -> None:
    one = added(_keyed("9.5"), 0.0, DAY, creeps=True)
    mixed = added(_keyed("9.6", one), 5.0, DAY, creeps=False)
    assert "otherwise: space adds to them" in mixed.refused
    soon = added(_keyed("9.6", one), 0.4, DAY, creeps=True)
    assert soon.refused == "wait a little before the next one"


def test_backspace_takes_out_signs_then_values() -> None:
    one = added(_keyed("9.5"), 0.0, DAY, creeps=True)
    one = rubbed(rubbed(_keyed("1", one)))
    assert (one.typed, one.temps_c, one.at_s, one.creeps) == ("", (), (), False)


def test_another_space_keeps_the_number_but_no_sequence() -> None:
    assert going_to(_keyed("9.7"), "border").typed == "9.7"
    begun = added(_keyed("9.7"), 0.0, DAY, creeps=True)
    stays = going_to(begun, "border")
    assert stays.space == "frame"
    assert "frame is not stored yet" in stays.refused


def test_the_last_one_noted_can_be_taken_back() -> None:
    one = Sitting(noted=(("frame", 9.0), ("border", 8.0)))
    assert taken_back(one).noted == (("frame", 9.0),)
    assert taken_back(Sitting()).noted == ()


def test_letters_stay_and_are_no_others_keys() -> None:
    names = [space.id for space in read_garden().opened.season.spaces]
    letters = letters_of(names)
    assert letters["frame"] == "f"
    assert letters["bench"] == "e", "b opens the batches"
    assert letters["house"] not in ("h", ""), "hotbed has it already"
    assert len(set(letters.values())) == len(names)
    own = {b.key for b in ReadingPage.BINDINGS if len(b.key) == 1}  # type: ignore[union-attr]
    taken = {one.key for one in COMMANDS if len(one.key) == 1} | own
    assert taken == set(PAGE_KEYS + OWN_KEYS), "what letters must keep away from"
    many = letters_of([f"bed-{number}" for number in range(60)])
    given = [letter for letter in many.values() if letter]
    assert len(given) == len(set(given)) == len(set(ascii_lowercase) - taken) + 26
    assert not set(given) & taken


def test_the_longest_unread_comes_first_and_rows_stay_while_one_reads() -> None:
    spaces = spaces_read(make_desk())
    assert [one.space for one in spaces[:3]] == ["frame", "border", "pond"]
    assert (spaces[0].last_c, spaces[0].days_ago) == (7.5, 1)
    assert spaces[3].last_text == "never read"
    frame = spaces[0].expected
    assert frame is not None
    assert frame.low_c < frame.mean_c < frame.high_c
    order = [one.space for one in reversed(spaces)]
    assert [one.space for one in in_order(spaces, order)] == order


def test_what_was_read_and_what_is_expected_stand_beside_the_number() -> None:
    desk = make_desk()
    view = reading_view(desk, spaces_read(desk), _keyed("9.7"))
    assert view.where == "frame · 8 cm deep · probe stem (−0.5 °C)"
    assert view.typed.startswith("9.7")
    assert "last 7.5 °C yesterday; expected today 9.2 °C" in view.beside
    assert "> " in "".join(view.lines)
    assert view.earlier == ""
    roomy = reading_view(desk, spaces_read(desk), _keyed("9.7"), roomy=True)
    days = roomy.earlier.split("\n")[1:]
    assert days[0].split() == ["Fri", "5", "Mar", "7.0", "9.2"]
    assert len(days) == 3
    assert any("frame" in row and "7.5" in row for row in view.rows)
    assert max(map(len, (*view.rows, view.heading, view.where, view.hint))) <= 80


def test_narrow_rows_are_two_lines_that_fit_a_phone() -> None:
    desk = make_desk()
    view = reading_view(desk, spaces_read(desk), _keyed(""), width=43)
    lines = [line for row in view.rows for line in row.split("\n")]
    assert all(row.count("\n") == 1 for row in view.rows)
    assert max(map(len, lines)) <= 43


def test_what_the_sequence_says_so_far() -> None:
    desk = make_desk()
    one = Sitting(space="frame", temps_c=(8.1, 9.6, 10.4), at_s=(5.0, 50.0, 95.0),
                  creeps=True)  # fmt: skip
    so_far = SoFar(temps_c=one.temps_c, minutes=one.minutes, end_c=11.83, half_c=0.3)

    def told(found: SoFar | None) -> str:
        view = reading_view(replace(desk, settles=found), spaces_read(desk), one)
        return view.finding

    assert told(so_far) == "settles at 11.8 ± 0.3 °C; enter stores it"
    assert told(None) == "reckoning where it settles …"
    assert told(replace(so_far, temps_c=(8.1, 9.6))) == "reckoning where it settles …"
    unsettled = replace(so_far, end_c=None, half_c=None, why="too straight")
    assert told(unsettled) == "wait longer: still rising – too straight"
    assert "at rest at 11.8" in told(replace(so_far, at_rest=True))
    assert end_of(so_far, one) == 11.83
    assert end_of(so_far, replace(one, at_s=(5.0, 50.0, 96.0))) is None
    view = reading_view(desk, spaces_read(desk), one, now_s=125.0)
    assert view.series == "8.1 at 0:00, 9.6 at 0:45, 10.4 at 1:30; now 2:00"


@pytest.mark.parametrize(
    ("state", "told"),
    [("unread", "Reading the files"), ("faulty", "x shows them")],
)
def test_where_nothing_can_be_read_it_says_what_to_do(state: str, told: str) -> None:
    desk = make_desk(state)  # type: ignore[arg-type]
    view = reading_view(desk, spaces_read(desk), Sitting())
    assert told in view.empty
    assert view.lines == (view.empty,)


@pytest.mark.parametrize("state", ["empty", "unplanned", "planning", "tried"])
def test_spaces_can_be_read_in_every_other_state(state: str) -> None:
    desk = make_desk(state)  # type: ignore[arg-type]
    assert desk.today == TODAY
    spaces = spaces_read(desk)
    assert len(spaces) == 8
    view = reading_view(desk, spaces, Sitting(space=spaces[0].space))
    assert view.cursor == 0
    assert not view.empty
    cold = spaces_read(replace(desk, temps=None))
    assert cold[0].expected_text == "–"


def test_the_probe_is_the_one_in_use_else_the_seasons() -> None:
    # the last reading of the garden, of the pond, names no probe
    assert usual_probe(make_desk()) == "stem"
    assert usual_probe(make_desk(), "stem") == "stem"
    assert usual_probe(make_desk("unread")) == ""
