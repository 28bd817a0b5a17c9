"""One cell or one row changed; every other byte of the file stays."""

from datetime import date
from pathlib import Path

import pytest
from folders import write_folder
from hypothesis import given, settings
from hypothesis import strategies as st

from propsched.domain.batch import Pin
from propsched.errors import InvalidInputError, PropschedError
from propsched.files.amend import drop_pin, put_pin, set_cell
from propsched.files.batches import BATCH_COLUMNS
from propsched.files.read import read_season
from propsched.files.source import Faults, Source
from propsched.files.spans import laid_out
from propsched.files.table import read_table

HEAD = "batch,crop,method,wanted,priority,wanted_by,note"


def _folder(tmp_path: Path, batches: str = "", pins: str | None = None) -> Path:
    write_folder(tmp_path)
    for name in ("pins.csv", "daybook.csv"):
        (tmp_path / name).unlink(missing_ok=True)
    (tmp_path / "batches.csv").write_bytes(batches.encode())
    if pins is not None:
        (tmp_path / "pins.csv").write_bytes(pins.encode())
    return tmp_path


def _rows(folder: Path) -> dict[str, tuple[int, date | None, str]]:
    files = read_season(folder, need=frozenset())
    return {one.id: (one.priority, one.wanted_by, one.note) for one in files.batches}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (f"{HEAD}\na,leek,seed,20,3,,\nb,leek,seed,20,3,,x\n",
         f"{HEAD}\na,leek,seed,20,3,,\nb,leek,seed,20,5,,x\n"),
        # decimal commas, Windows line ends, a mark at the start
        ("\ufeffbatch;crop;method;wanted;priority\r\nb;leek;seed;20;3\r\n",
         "\ufeffbatch;crop;method;wanted;priority\r\nb;leek;seed;20;5\r\n"),
        # quotes, a delimiter, a line break and a quote inside others' cells
        (f'{HEAD}\n"a","leek","seed",20,"1",,"""x"", y\n# z"\n"b",leek,seed,20,"3",,',
         f'{HEAD}\n"a","leek","seed",20,"1",,"""x"", y\n# z"\n"b",leek,seed,20,"5",,'),
        # remarks, blank lines, blanks round cells
        (f"# mine\n\n{HEAD}\n# b,leek,,1,1,,\n\n b , leek , seed , 20 , 3 ,,\n#z",
         f"# mine\n\n{HEAD}\n# b,leek,,1,1,,\n\n b , leek , seed , 20 , 5 ,,\n#z"),
        # a row that is shorter than the header
        (f"{HEAD}\nb,leek,seed,20\nc,leek,seed,20\n",
         f"{HEAD}\nb,leek,seed,20,5\nc,leek,seed,20\n"),
        # a header without the column; a row with blanks over
        ("batch\tcrop\tmethod\twanted\nb\tleek\tseed\t20\nc\tleek\tseed\t20\n",
         "batch\tcrop\tmethod\twanted\tpriority\nb\tleek\tseed\t20\t5\nc\tleek\tseed\t20\n"),
        ("batch,crop,method,wanted\nb,leek,seed,20,,\n",
         "batch,crop,method,wanted,priority\nb,leek,seed,20,5,\n"),
        # old line ends
        (f"{HEAD}\rb,leek,seed,20,3,,\r", f"{HEAD}\rb,leek,seed,20,5,,\r"),
    ],
)  # fmt: skip
def test_one_cell_is_changed_and_nothing_else(
    tmp_path: Path, before: str, after: str
) -> None:
    folder = _folder(tmp_path, before)
    set_cell(folder, "b", "priority", "5")
    assert (folder / "batches.csv").read_bytes() == after.encode()
    assert _rows(folder)["b"][0] == 5


def test_what_was_there_is_told_and_blank_clears(tmp_path: Path) -> None:
    folder = _folder(tmp_path, f"{HEAD}\nb,leek,seed,20,3,2027-05-01,x\n")
    assert set_cell(folder, "b", "wanted_by", "").was == "2027-05-01"
    assert _rows(folder)["b"] == (3, None, "x")


def test_a_cell_with_a_delimiter_is_quoted(tmp_path: Path) -> None:
    folder = _folder(tmp_path, f"{HEAD}\nb,leek,seed,20,3,,\n")
    set_cell(folder, "b", "note", 'mild, "late"\nkind')
    assert _rows(folder)["b"][2] == 'mild, "late" kind'


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("priority", "6", "priority is 6"),
        ("wanted_by", "May", "wanted_by"),
        ("wanted", "", "wanted is blank"),
    ],
)
def test_what_would_be_faulty_is_refused(
    tmp_path: Path, column: str, value: str, said: str
) -> None:
    folder = _folder(tmp_path, f"{HEAD}\nb,leek,seed,20,3,,\n")
    before = (folder / "batches.csv").read_bytes()
    with pytest.raises(InvalidInputError) as error:
        set_cell(folder, "b", column, value)
    (fault,) = error.value.problems
    assert said in fault.what
    assert (fault.path, fault.line) == (str(folder / "batches.csv"), 2)
    assert (folder / "batches.csv").read_bytes() == before


def test_faults_elsewhere_do_not_matter_and_may_be_mended(tmp_path: Path) -> None:
    folder = _folder(
        tmp_path, f"{HEAD}\na,leek,seed,20,9,,\nb,leek,seed,20,3,,\nc,no,seed,2,,,\n"
    )
    set_cell(folder, "b", "priority", "4")
    set_cell(folder, "a", "priority", "1")
    with pytest.raises(InvalidInputError) as error:
        read_season(folder, need=frozenset())
    assert [one.line for one in error.value.problems] == [4]


def test_unknown_rows_and_columns_are_told(tmp_path: Path) -> None:
    folder = _folder(tmp_path, f"{HEAD}\nb,leek,seed,20,3,,\n")
    with pytest.raises(PropschedError, match='no row "x"'):
        set_cell(folder, "x", "priority", "4")
    for column in ("batch", "colour"):
        with pytest.raises(PropschedError, match="no column"):
            set_cell(folder, "b", column, "4")


PINS = "batch,stage,space,start\n"


@pytest.mark.parametrize(
    ("before", "pin", "after"),
    [
        (None, Pin(batch="b", stage="start", space="bench"),
         PINS + "b,start,bench,\n"),
        (PINS, Pin(batch="b", stage="start", start=date(2027, 2, 6)),
         PINS + "b,start,,2027-02-06\n"),
        ("# mine\r\nbatch;stage;space\r\na;start;house",
         Pin(batch="b", stage="start", space="bench", start=date(2027, 2, 6)),
         "# mine\r\nbatch;stage;space;start\r\na;start;house\r\n"
         "b;start;bench;2027-02-06\r\n"),
        (PINS + "b, Start ,house,2027-02-06\na,start,house,\n",
         Pin(batch="b", stage="start", space="bench"),
         PINS + "b, Start ,bench,\na,start,house,\n"),
    ],
)  # fmt: skip
def test_pins_are_added_and_replaced(
    tmp_path: Path, before: str | None, pin: Pin, after: str
) -> None:
    batches = f"{HEAD}\na,leek,seed,20,,,\nb,leek,seed,20,,,\n"
    folder = _folder(tmp_path, batches, before)
    assert bool(put_pin(folder, pin).was) is (before is not None and "Start" in before)
    assert (folder / "pins.csv").read_bytes() == after.encode()
    assert pin in read_season(folder, need=frozenset()).pins


def test_a_pin_is_taken_out(tmp_path: Path) -> None:
    pins = PINS + "# why\na,start,house,\r\n\nb,start,bench,\nb,harden,house,"
    folder = _folder(tmp_path, f"{HEAD}\na,leek,seed,20,,,\nb,leek,seed,20,,,\n", pins)
    drop_pin(folder, "b", "start")
    left = PINS + "# why\na,start,house,\r\n\nb,harden,house,"
    assert (folder / "pins.csv").read_bytes() == left.encode()
    with pytest.raises(PropschedError, match="not pinned"):
        drop_pin(folder, "b", "start")


def test_impossible_pins_are_refused(tmp_path: Path) -> None:
    folder = _folder(tmp_path, f"{HEAD}\nb,leek,seed,20,,,\n")
    for pin in (
        Pin(batch="b", stage="chill", space="house"),
        Pin(batch="b", stage="start", space="pond"),
        Pin(batch="b", stage="start", start=date(2030, 1, 1)),
        Pin(batch="b", stage="start"),
    ):
        with pytest.raises(InvalidInputError):
            put_pin(folder, pin)
    assert not (folder / "pins.csv").exists()


CELL = st.text(st.sampled_from('ab1 "#,;\t\n\r'), max_size=6)


@settings(deadline=None, max_examples=300)
@given(st.lists(st.lists(CELL, min_size=1, max_size=5), max_size=6))
def test_places_agree_with_what_is_read(rows: list[list[str]]) -> None:
    """The two ways to part a table must see the same cells wherever both can."""
    text = HEAD + "\n" + "\n".join(",".join(row) for row in rows)
    faults = Faults()
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    table = read_table(Source("batches.csv", plain, ""), BATCH_COLUMNS, faults)
    layout = laid_out(text, BATCH_COLUMNS)
    assert layout is not None
    if table is None or faults.found:
        return
    seen = [
        tuple(layout.cell(row, name).replace("\r\n", "\n").replace("\r", "\n")
              for name in table.columns)
        for row in layout.rows
    ]  # fmt: skip
    assert [row for row in seen if any(row)] == list(table.rows)
