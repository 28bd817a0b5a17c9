"""What the page of problems says; no terminal."""

from dataclasses import replace
from pathlib import Path

import pytest
from tui_desks import FAULTS, FOLDER, make_desk

from propsched.errors import InputProblem
from propsched.tui import asks
from propsched.tui.backend import Backend
from propsched.tui.desk import Excerpt, Faulty, after
from propsched.tui.views.problems import MOST, problems_view

FIRST = FAULTS[0]


def test_every_fault_has_its_file_its_line_and_what_would_be_right() -> None:
    view = problems_view(make_desk("faulty"))
    assert view.head == "3 faults in the files of garden"
    assert [row.place for row in view.rows] == [
        "batches.csv, line 7",
        "season.toml, line 24",
        "weather.csv",
    ]
    assert view.rows[0].text == 'crop "tomatoe" – one of tomato, tomatillo, potato'
    assert view.lines[1] == f"batches.csv, line 7: {view.rows[0].text}"
    assert "read again when saved" in view.lead[0]


def test_a_season_read_before_says_that_it_is_the_last_one() -> None:
    assert "what was read last" in problems_view(after(make_desk(), Faulty(FAULTS))).lead[0]  # fmt: skip  # noqa: E501


def test_no_faults_is_told_and_so_are_the_notes() -> None:
    desk = make_desk()
    assert desk.opened is not None
    files = replace(desk.opened.files, notes=("rows in any order",))
    opened = replace(desk.opened, loaded=replace(desk.opened.loaded, files=files))
    view = problems_view(replace(desk, opened=opened))
    assert view.head == "The files are in order"
    assert view.rows == ()
    assert view.lead[-1] == "To know: rows in any order"


def test_before_anything_is_read_it_says_so() -> None:
    view = problems_view(make_desk("unread"))
    assert (view.head, view.lead) == ("Reading the files", ())


def test_the_faulty_line_is_marked_in_its_lines() -> None:
    rows = tuple((n, f"row\t{n}") for n in range(5, 11))
    desk = make_desk("faulty", excerpt=Excerpt(FIRST.path, 7, rows))
    assert problems_view(desk).excerpt[2] == "▸ 7  row 7"
    assert problems_view(desk).excerpt[-1] == " 10  row 10"
    assert problems_view(desk, cursor=1).excerpt == (), "of another fault"
    none = replace(desk, excerpt=Excerpt(FIRST.path, 7, ()))
    assert problems_view(none).excerpt == ("There is no such file, or it is empty.",)


def test_a_place_outside_the_folder_is_told_in_full() -> None:
    far = InputProblem("elsewhere/crops.csv", 3, "bad")
    whole = InputProblem(str(FOLDER), 0, "cannot be read")
    rows = problems_view(make_desk("faulty", problems=(far, whole))).rows
    assert [row.place for row in rows] == ["elsewhere/crops.csv, line 3", "garden"]


def test_of_very_many_the_first_are_shown() -> None:
    many = tuple(InputProblem("garden/readings.csv", n, "bad") for n in range(1, 900))
    view = problems_view(make_desk("faulty", problems=many))
    assert len(view.rows) == MOST
    assert "the first 200" in view.head


def test_nothing_raw_of_a_file() -> None:
    bad = InputProblem("garden/a.csv", 1, "is \x1b[2J", "\x07")
    rows = ((1, "\x1b]0;title\x07"),)
    desk = make_desk("faulty", problems=(bad,), excerpt=Excerpt(bad.path, 1, rows))
    assert "\x1b" not in "".join(problems_view(desk).lines)


@pytest.mark.parametrize(("line", "first", "last"), [(0, 1, 13), (3, 1, 13), (30, 24, 36)])  # fmt: skip  # noqa: E501
def test_lines_are_read_round_the_fault(
    tmp_path: Path, line: int, first: int, last: int
) -> None:
    path = tmp_path / "weather.csv"
    path.write_bytes(b"".join(b"day %d \xff\r\n" % n for n in range(1, 61)))
    found = Backend(tmp_path).lines(asks.ShowLines(str(path), line))
    assert [found.rows[0][0], found.rows[-1][0]] == [first, last]
    assert found.rows[0][1] == f"day {first} \ufffd"


def test_a_missing_file_has_no_lines(tmp_path: Path) -> None:
    ask = asks.ShowLines(str(tmp_path / "none.csv"), 4)
    assert Backend(tmp_path).lines(ask).rows == ()
