"""What was noted last is taken back by one more row, and nothing is ever lost."""

import threading
from datetime import date, datetime
from pathlib import Path

import pytest
from folders import write_folder

from propsched.domain.batch import SPACE_EVENTS, Event
from propsched.domain.reading import Reading
from propsched.errors import InvalidInputError, PropschedError, UnknownNameError
from propsched.files.contents import SeasonFiles
from propsched.files.read import read_season
from propsched.files.write import append_event
from propsched.service.check import check
from propsched.service.note import note_reading
from propsched.service.noted import Place
from propsched.service.opened import open_season
from propsched.service.undo import last_noted, undo

EMPTY = "time,batch,event,space,count,note\n"
DAY = date(2027, 3, 20)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "season", daybook_csv=EMPTY, pins_csv=None)


def note(folder: Path, name: str, whom: str, count: int | None = None) -> None:
    """On 12 February, in the house; straight into the file, which is quicker."""
    of_space = name in SPACE_EVENTS
    append_event(
        folder,
        Event(
            time=datetime(2027, 2, 12),
            batch="" if of_space else whom,
            event=name,  # type: ignore[arg-type]
            space=whom if of_space else "house",
            count=count,
        ),
    )


def book(folder: Path) -> list[tuple[str, str]]:
    return [(one.batch or one.space, one.event) for one in files(folder).daybook]


def files(folder: Path) -> SeasonFiles:
    only = frozenset({"daybook", "readings"})
    return read_season(folder, need=frozenset(), only=only)


def text(folder: Path, name: str = "daybook.csv") -> str:
    return (folder / name).read_text(encoding="utf-8")


def test_the_last_row_is_taken_back_and_none_is_deleted(folder: Path) -> None:
    note(folder, "sown", "leeks", 120)
    note(folder, "heat-on", "bench")
    before = text(folder)
    answer = undo(folder, today=DAY)
    assert answer.lines == (
        "Taken back: bench heat-on, Fri 12 Feb 2027.",
        "Last now: leeks sown 120 in house, Fri 12 Feb 2027.",
    )
    assert text(folder).startswith(before)
    assert book(folder) == [("leeks", "sown")]
    assert [one.event for one in files(folder).noted] == ["sown", "heat-on", "undone"]


def test_the_second_takes_back_the_row_before(folder: Path) -> None:
    note(folder, "sown", "leeks", 120)
    note(folder, "emerged", "leeks", 100)
    undo(folder, today=DAY)
    assert undo(folder, today=DAY).lines[1] == "No more is noted."
    assert book(folder) == []
    assert last_noted(folder) is None
    before = text(folder)
    with pytest.raises(PropschedError, match="nothing to take back"):
        undo(folder, today=DAY)
    assert text(folder) == before


def test_what_was_taken_back_can_be_noted_again(folder: Path) -> None:
    for _ in range(3):
        note(folder, "sown", "leeks", 120)
        assert book(folder) == [("leeks", "sown")]
        undo(folder, today=DAY)
        assert book(folder) == []


def test_of_a_batch_or_a_space(folder: Path) -> None:
    note(folder, "sown", "leeks", 120)
    note(folder, "struck", "currants", 50)
    note(folder, "heat-on", "bench")
    undo(folder, "leeks", today=DAY)
    assert book(folder) == [("currants", "struck"), ("bench", "heat-on")]
    undo(folder, "House", today=DAY)
    assert book(folder) == [("bench", "heat-on")]
    with pytest.raises(PropschedError, match="no row of leeks stands"):
        undo(folder, "leeks", today=DAY)
    with pytest.raises(UnknownNameError, match='did you mean "leeks"'):
        undo(folder, "leek", today=DAY)


def test_all_that_reads_the_daybook_sees_it_without(folder: Path) -> None:
    def opened() -> tuple[bool, bool, bool]:
        one = open_season(folder, today=DAY)
        bed = next(s for s in one.season.spaces if s.id == "hotbed")
        bench = one.heated.get("bench", False)
        return "leeks" in one.states, bench, bed.make_up == date(2027, 2, 12)

    note(folder, "sown", "leeks", 120)
    note(folder, "heat-on", "bench")
    note(folder, "bed-made-up", "hotbed")
    assert opened() == (True, True, True)
    for what in ("leeks", "bench", "hotbed"):
        undo(folder, what, today=DAY)
    assert opened() == (False, False, False)


def test_a_row_that_spoils_the_file_can_be_taken_back(folder: Path) -> None:
    """Somebody has typed a batch that there is not; that row is no fault any more."""
    with (folder / "daybook.csv").open("a", encoding="utf-8") as file:
        file.write("2027-02-12,leaks,sown,house,120,\n")
    with pytest.raises(InvalidInputError, match="leaks"):
        read_season(folder, need=frozenset())
    undo(folder, today=DAY)
    read_season(folder, need=frozenset())
    assert book(folder) == []


def test_a_row_that_does_not_say_what_is_a_fault(folder: Path) -> None:
    with (folder / "daybook.csv").open("a", encoding="utf-8") as file:
        file.write("2027-02-12,leeks,undone,,,the sowing\n")
    with pytest.raises(InvalidInputError, match="such as sown of"):
        files(folder)


def test_check_counts_what_was_taken_back(folder: Path) -> None:
    note(folder, "sown", "leeks", 120)
    undo(folder, today=DAY)
    undo(folder, "reading", today=DAY)
    lines = check(folder, today=DAY).lines
    assert "1 readings, 0 daybook rows, 0 pins; 2 taken back" in lines


def test_a_row_that_takes_back_nothing_is_told(folder: Path) -> None:
    with (folder / "daybook.csv").open("a", encoding="utf-8") as file:
        file.write("2027-02-12,leeks,undone,,,sown of 2027-02-12\n")
    assert any("daybook.csv:2" in line for line in files(folder).notes)


def test_the_last_row_in_words(folder: Path) -> None:
    note(folder, "sown", "leeks", 120)
    last = last_noted(folder)
    assert last is not None
    assert last.words == "leeks sown 120 in house, Fri 12 Feb 2027"
    assert isinstance(last.row, Event)
    reading = last_noted(folder, "reading")
    assert reading is not None
    assert isinstance(reading.row, Reading)
    assert reading.words == "reading pond 6 °C, Mon 2 Nov 2026 08:30"


def test_a_reading_is_taken_back(folder: Path) -> None:
    before, whole = text(folder, "readings.csv"), files(folder).readings
    for temp in (4.5, 9.75):
        note_reading(folder, Place(space="border", depth_cm=8.0), [temp], today=DAY)
    undo(folder, "reading border", today=DAY)
    assert list(files(folder).readings["temp_c"]) == [*whole["temp_c"], 4.5]
    undo(folder, "reading", today=DAY)
    assert files(folder).readings.equals(whole)
    assert len(files(folder).noted_readings) == len(whole) + 4
    assert text(folder, "readings.csv").startswith(before)


def test_a_reading_can_be_noted_again(folder: Path) -> None:
    place = Place(space="border")
    for _ in range(2):
        note_reading(folder, place, [4.5], today=DAY)
        with pytest.raises(PropschedError, match="already"):
            note_reading(folder, place, [4.5], today=DAY)
        undo(folder, "reading border", today=DAY)
    undo(folder, "reading border", today=DAY)  # the one that the folder came with
    with pytest.raises(PropschedError, match="nothing to take back"):
        undo(folder, "reading border", today=DAY)


def test_two_at_once_take_back_each_its_own_row(folder: Path) -> None:
    """Whoever comes second sees what the first has written."""
    for n in range(1, 7):
        note(folder, "lost", "leeks", n)
    both = [
        threading.Thread(target=lambda: [undo(folder, today=DAY) for _ in range(3)])
        for _ in range(2)
    ]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert book(folder) == []
    assert len(files(folder).noted) == 12
