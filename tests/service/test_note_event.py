"""Events into the daybook, with a warning where they make no sense."""

from datetime import date, time
from pathlib import Path

import pytest
from folders import write_folder

from propsched.errors import PropschedError, UnknownNameError
from propsched.files.read import read_season
from propsched.service.note_event import note_event
from propsched.service.note_odd import BEGUN_BY
from propsched.service.noted import When

EMPTY = "time,batch,event,space,count,note\n"
DAY = date(2027, 3, 20)
FEB = When(day=date(2027, 2, 12))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "season", daybook_csv=EMPTY, pins_csv=None)


def note(folder: Path, event: str, *words: str, **over: object) -> tuple[str, ...]:
    """The notes of one event, stored on 20 March 2027 unless told otherwise."""
    plain = {"today": DAY, **over}
    return note_event(folder, event, words, **plain).notes  # type: ignore[arg-type]


def last(folder: Path) -> str:
    return (folder / "daybook.csv").read_text(encoding="utf-8").splitlines()[-1]


def test_an_event_is_one_line(folder: Path) -> None:
    answer = note_event(
        folder, "sown", ["leeks", "120"], space="house", at=FEB, today=DAY, note="late"
    )
    assert last(folder) == "2027-02-12 00:00,leeks,sown,house,120,late"
    assert answer.lines == (
        "Noted: leeks (leek, seed) sown 120 in house, Fri 12 Feb 2027.",
    )
    assert answer.notes == ()
    (event,) = read_season(folder, need=frozenset()).daybook
    assert (event.batch, event.count, event.space) == ("leeks", 120, "house")


def test_a_space_may_follow_the_count(folder: Path) -> None:
    note(folder, "sown", "leeks", "120", "house", at=FEB)
    note(folder, "moved", "leeks", "bench", at=When(day=DAY, clock=time(0, 0, 1)))
    assert last(folder) == "2027-03-20 00:00:01,leeks,moved,bench,,"
    with pytest.raises(PropschedError, match="one word too many"):
        note(folder, "moved", "leeks", "bench", "house")


def test_what_happens_to_a_space_needs_no_batch(folder: Path) -> None:
    assert note(folder, "bed-made-up", "hotbed", at=FEB) == ()
    assert last(folder) == "2027-02-12 00:00,,bed-made-up,hotbed,,"


@pytest.mark.parametrize(
    ("event", "words", "what"),
    [
        ("sown", ["leek"], 'did you mean "leeks"'),
        ("sown", ["salad"], "salad-1"),
        ("sown", [], "name the batch"),
        ("moved", ["leeks"], "name the space"),
        ("lost", ["leeks"], "say how many"),
        ("heat-on", [], "name the space"),
        ("sown", ["leeks", "9", "hous"], 'did you mean "house"'),
    ],
)
def test_what_cannot_be_is_refused(
    folder: Path, event: str, words: list[str], what: str
) -> None:
    with pytest.raises((PropschedError, UnknownNameError), match=what):
        note(folder, event, *words)
    assert (folder / "daybook.csv").read_text() == EMPTY


def test_what_has_not_come_yet_is_refused(folder: Path) -> None:
    with pytest.raises(PropschedError, match="future"):
        note(folder, "sown", "leeks", at=When(day=date(2027, 3, 21)))


def test_the_usual_way_needs_no_warning(folder: Path) -> None:
    day = When(day=date(2027, 2, 12))
    assert note(folder, "sown", "leeks", "120", "house", at=day) == ()
    day = When(day=date(2027, 3, 1))
    assert note(folder, "emerged", "leeks", "100", at=day) == ()
    assert note(folder, "lost", "leeks", "10", at=day) == ()


@pytest.mark.parametrize(
    ("event", "words", "what"),
    [
        ("pricked-out", ["leeks"], "has not been sown"),
        ("lost", ["leeks", "3"], "has not been sown"),
        ("struck", ["leeks", "9", "house"], "usual is sown"),
        ("sown", ["leeks", "9"], "add --space"),
        ("sown", ["leeks", "9", "pond"], "nothing can stand in pond"),
        ("heat-on", ["border"], "no heater"),
        ("bed-made-up", ["border"], "no hotbed or heap"),
    ],
)
def test_what_makes_no_sense_is_stored_with_a_warning(
    folder: Path, event: str, words: list[str], what: str
) -> None:
    assert any(what in line for line in note(folder, event, *words, at=FEB))
    assert event in last(folder)


@pytest.mark.parametrize(
    ("event", "words", "what"),
    [
        ("sown", ["leeks", "9", "house"], "started before"),
        ("lost", ["leeks", "300"], "more than the 120"),
        ("emerged", ["leeks", "121"], "more than the 120"),
        ("hardening", ["leeks"], "not noted as emerged"),
        ("potted-on", ["leeks"], "has no stage pot-on"),
    ],
)
def test_what_contradicts_the_daybook_is_stored_with_a_warning(
    folder: Path, event: str, words: list[str], what: str
) -> None:
    note(folder, "sown", "leeks", "120", "house", at=FEB)
    notes = note(folder, event, *words, at=When(day=date(2027, 3, 1)))
    assert any(what in line for line in notes), notes
    assert last(folder).split(",")[2] == event


def test_after_the_end_nothing_more_is_expected(folder: Path) -> None:
    note(folder, "sown", "leeks", "120", "house", at=FEB)
    note(folder, "lost", "leeks", "120", at=When(day=date(2027, 3, 1)))
    notes = note(folder, "emerged", "leeks", at=When(day=date(2027, 3, 2)))
    assert any("nothing is left" in line for line in notes)


def test_the_same_event_twice_on_a_day_is_told(folder: Path) -> None:
    note(folder, "heat-on", "bench", at=FEB)
    assert any("already" in line for line in note(folder, "heat-on", "bench", at=FEB))


def test_only_the_past_is_looked_at(folder: Path) -> None:
    """An event noted late is judged by what stood on its own day."""
    note(folder, "planted-out", "currants", at=When(day=date(2027, 3, 10)))
    notes = note(folder, "struck", "currants", "50", "border", at=FEB)
    assert notes == ()


def test_every_method_has_its_usual_beginning() -> None:
    from propsched.domain.crop import METHODS

    assert set(BEGUN_BY) == set(METHODS)


def test_several_batches_go_in_together(folder: Path) -> None:
    note(folder, "sown", "leeks", "120", "salad-1", "24", "house", at=FEB)
    note(folder, "lost", "leeks", "5", "salad-1", "2", at=FEB)
    note(folder, "heat-on", "bench", "hotbed", at=FEB)
    book = read_season(folder, need=frozenset()).daybook
    assert [(e.batch, e.event, e.count, e.space) for e in book] == [
        ("leeks", "sown", 120, "house"),
        ("salad-1", "sown", 24, "house"),
        ("leeks", "lost", 5, ""),
        ("salad-1", "lost", 2, ""),
        ("", "heat-on", None, "bench"),
        ("", "heat-on", None, "hotbed"),
    ]


@pytest.mark.parametrize(
    ("event", "words"),
    [
        ("lost", ["leeks", "5", "salad-1"]),
        ("sown", ["leeks", "salad-9", "house"]),
        ("sown", ["leeks", "9", "8", "house"]),
        ("heat-on", ["bench", "benhc"]),
    ],
)
def test_of_several_one_that_cannot_be_keeps_all_out(
    folder: Path, event: str, words: list[str]
) -> None:
    with pytest.raises(PropschedError):
        note(folder, event, *words)
    assert (folder / "daybook.csv").read_text() == EMPTY


def test_a_second_start_is_told_whichever_is_noted_first(folder: Path) -> None:
    march = When(day=date(2027, 3, 1))
    note(folder, "sown", "leeks", "120", "house", at=march)
    (early,) = note(folder, "sown", "leeks", "60", "bench", at=FEB)
    assert "sown on 1 Mar too" in early
    note(folder, "planted-out", "leeks", at=march)
    (again,) = note(folder, "sown", "leeks", "60", "bench")
    assert "was through by the daybook: it begins again" in again


def test_more_than_were_to_be_sown_is_told_though_nobody_counted(folder: Path) -> None:
    """A start without a number is of as many as there were to sow."""
    note(folder, "struck", "currants", "border", at=FEB)
    (told,) = note(folder, "lost", "currants", "900")
    assert "900 are more than the" in told


def test_what_is_noted_late_comes_after_what_the_day_has(folder: Path) -> None:
    note(folder, "sown", "leeks", "9", "house", at=When(day=DAY, clock=time(0, 0, 1)))
    tomorrow = date(2027, 3, 21)
    note(folder, "moved", "leeks", "bench", at=When(day=DAY), today=tomorrow)
    assert last(folder).startswith("2027-03-20 00:00:01,leeks,moved,bench")


def test_potted_right_after_its_start_it_has_rooted(folder: Path) -> None:
    """Of leeks that grow on first it is told; holly's way is start, then a pot."""
    rows = "holly,holly,,evergreen,20,24,,,,,,3,,,,,\n"
    path = folder / "batches.csv"
    path.write_text(path.read_text(encoding="utf-8") + rows, encoding="utf-8")
    note(folder, "struck", "holly", "24", "bench", at=FEB)
    assert note(folder, "potted-up", "holly", "20", "house") == ()
