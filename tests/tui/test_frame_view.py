"""The lines round every page; no terminal."""

from dataclasses import replace
from typing import get_args

import pytest
from tui_desks import FAULTS, State, garden_outcome, make_desk, read_garden
from tui_season import garden_plan

from propsched.errors import InputProblem
from propsched.tui.app import PAGES, TITLES
from propsched.tui.desk import (
    Begun,
    Desk,
    Ended,
    Faulty,
    Finished,
    Said,
    Stopping,
    after,
)
from propsched.tui.views.frame import (
    FrameView,
    frame_view,
    plan_text,
    plan_told,
    status_of,
)
from propsched.tui.views.help import help_view

STATES: tuple[State, ...] = get_args(State)


def framed(desk: Desk, width: int = 78) -> FrameView:
    return frame_view(desk, "season", TITLES, width=width)


@pytest.mark.parametrize("width", [42, 58, 78, 118, 158])
@pytest.mark.parametrize("state", STATES)
def test_the_head_fits_in_every_state(state: State, width: int) -> None:
    """One line from 60 columns on, two below; never longer than there is room."""
    head = framed(make_desk(state), width).head
    assert 1 <= len(head) <= (2 if width < 60 else 1)
    assert all(0 < len(line) <= width for line in head)


def test_the_head_tells_season_day_and_plan() -> None:
    (line,) = framed(make_desk(), 140).head
    assert line == (
        "Spring garden (invented) · Sat 6 Mar · "
        "9 of 10 batches, within 0.4 % of the best possible"
    )


@pytest.mark.parametrize(
    ("state", "told"),
    [
        ("unread", "reading the files"),
        ("faulty", "files with faults"),
        ("empty", "no batches yet"),
        ("unplanned", "no plan yet – p plans"),
        ("planned", "9 of 10 batches, within 0.4 % of the best possible"),
    ],
)
def test_what_the_plan_is(state: State, told: str) -> None:
    assert plan_text(make_desk(state)) == told


def test_a_plan_of_other_files_asks_for_a_new_one() -> None:
    opened = read_garden().opened
    old = replace(opened, plan=garden_plan(inputs={"season.toml": "another"}))
    desk = make_desk(opened=old)
    assert plan_text(desk) == "files changed since the plan: p plans again"


def test_faults_after_a_good_reading_are_told_in_the_head() -> None:
    """What was read before is still shown, so the head has to say it is not all."""
    desk = after(make_desk(), Faulty(FAULTS))
    assert "faults: x shows them" in framed(desk).head[0]
    faulty = [tab for tab in framed(desk).tabs if tab.faulty]
    assert [tab.page for tab in faulty] == ["problems"]
    assert faulty[0].text.endswith("!")


def test_a_proven_plan_says_so() -> None:
    opened = replace(read_garden().opened, plan=garden_plan(gap=0.0))
    opened = replace(
        opened, plan=replace(opened.plan, inputs=read_garden().opened.files.digests)
    )
    assert plan_text(make_desk(opened=opened)).endswith("batches, the best possible")


def test_tabs_have_a_key_each_and_mark_the_open_one() -> None:
    tabs = framed(make_desk()).tabs
    assert [tab.page for tab in tabs] == list(PAGES)
    assert len({tab.key for tab in tabs}) == len(tabs)
    assert [tab.text[0] for tab in tabs] == ["▸", *[" "] * (len(tabs) - 1)]
    assert sum(len(tab.text) for tab in tabs) <= 80, "one row of 80 columns"


def test_while_planning_step_time_and_nearness_are_told() -> None:
    desk = make_desk("planning")  # worth 7.3 of at most 7.5: 0.2 ÷ 7.5 = 2.67 %
    assert status_of(desk).text == (
        "Planning – solving, 3 s, within 2.7 % of the best possible – esc stops"
    )
    assert "solving, 17 s" in status_of(desk, 17.4).text
    stopping = status_of(after(desk, Stopping())).text
    assert stopping.endswith("stopping, the best so far is kept")
    assert status_of(after(desk, Ended())).text == ""


def test_before_the_first_plan_no_nearness_is_told() -> None:
    desk = after(make_desk(), Begun("Planning", 1))
    assert status_of(desk, 0.2).text == "Planning – 0 s – esc stops"


def test_the_tone_is_told_by_words() -> None:
    """Not by colour alone."""
    desk = make_desk()
    assert status_of(after(desk, Said("stored"))).text == "stored"
    error = status_of(after(desk, Said("no space bnch\nmend it", "error")))
    assert (error.text, error.style) == ("Not done: no space bnch; mend it", "error")
    look = status_of(after(desk, Said("more lost than there were", "warning")))
    assert look.text == "Look at this: more lost than there were"


def test_nothing_of_a_file_reaches_the_terminal_raw() -> None:
    said = after(make_desk(), Said("bad \x1b[31mred\x07"))
    assert "\x1b" not in status_of(said).text
    faulty = make_desk("faulty", folder=make_desk().folder / "a\x1bb")
    assert "\x1b" not in framed(faulty).head[0]


@pytest.mark.parametrize(
    ("state", "key"), [("unplanned", "p plans"), ("empty", "batches.csv")]
)
def test_a_season_that_is_still_to_begin_leads_on(state: State, key: str) -> None:
    assert key in status_of(make_desk(state)).text


def test_a_new_plan_is_told_with_its_nearness() -> None:
    assert plan_told(garden_plan()) == (
        "A new plan is saved – 9 of 10 batches, within 0.4 % of the best possible."
    )
    stopped = plan_told(garden_plan(status="stopped"))
    assert stopped.startswith("Stopped: the best so far is saved – 9 of 10")
    desk = after(make_desk("planning"), Finished(garden_outcome()))
    assert not desk.planning.busy


def test_lines_say_all_of_it() -> None:
    view = framed(make_desk("faulty", said="x", tone="error"))
    assert view.lines == (*view.head, "Not done: x")
    assert InputProblem("a", 1, "b") not in view.lines


def test_help_tells_keys_that_do_the_same_together() -> None:
    view = help_view("Jobs", "What to do.", [("up", "move"), ("down", "move")],
                     [("p", "plan"), ("?", "help")])  # fmt: skip
    assert view.page[0].told == "↑ ↓"
    assert view.lines[0] == "Jobs"
    assert any(line.split() == ["p", "plan"] for line in view.lines)


def test_on_a_phone_each_tab_is_a_word_that_fits_its_fifth() -> None:
    for state in ("planned", "faulty"):
        tabs = framed(make_desk(state), 42).tabs
        assert all(len(tab.text) <= 44 // 5 for tab in tabs)
        assert [tab.text[0] for tab in tabs].count("▸") == 1
