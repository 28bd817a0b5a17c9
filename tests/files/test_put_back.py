"""A change of one cell or pin taken back: byte for byte, or not at all."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from folders import write_folder
from hypothesis import given, settings
from hypothesis import strategies as st

from propsched.domain.batch import Pin
from propsched.errors import PropschedError
from propsched.files.amend import Change, drop_pin, put_pin, set_cell
from propsched.files.put_back import put_back

BATCHES = (
    "\ufeff# mine\r\nbatch;crop;method;wanted;wanted_by\r\n"
    ' b ;"leek";seed; 20 ;2027-05-01\r\nc;leek;seed;20;'
)
PINS = 'batch,stage,space,start\n# by hand\nb,"Start", house ,\nc,start,house,'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_folder(tmp_path)
    (tmp_path / "daybook.csv").unlink(missing_ok=True)
    (tmp_path / "batches.csv").write_bytes(BATCHES.encode())
    (tmp_path / "pins.csv").write_bytes(PINS.encode())
    return tmp_path


def _bytes(folder: Path) -> tuple[bytes, bytes | None]:
    pins = folder / "pins.csv"
    return (
        (folder / "batches.csv").read_bytes(),
        pins.read_bytes() if pins.is_file() else None,
    )


DAY = date(2027, 2, 6)
DO: dict[str, Callable[[Path], Change]] = {
    "cell": lambda f: set_cell(f, "b", "wanted", "31"),
    "cleared": lambda f: set_cell(f, "b", "wanted_by", ""),
    "new column": lambda f: set_cell(f, "c", "priority", "5"),
    "pin changed": lambda f: put_pin(f, Pin(batch="b", stage="start", start=DAY)),
    "pin added": lambda f: put_pin(f, Pin(batch="b", stage="seedling", space="house")),
    "pin dropped": lambda f: drop_pin(f, "b", "start"),
    "pin at the end": lambda f: drop_pin(f, "c", "start"),
}
DOINGS = tuple(DO)


def _do(folder: Path, what: str) -> Change:
    return DO[what](folder)


@pytest.mark.parametrize("what", DOINGS)
def test_the_file_is_what_it_was_byte_for_byte(folder: Path, what: str) -> None:
    before = _bytes(folder)
    change = _do(folder, what)
    assert _bytes(folder) != before
    put_back(folder, change)
    assert _bytes(folder) == before


def test_a_file_that_was_begun_is_gone_again(folder: Path) -> None:
    (folder / "pins.csv").unlink()
    put_back(folder, put_pin(folder, Pin(batch="b", stage="start", space="house")))
    assert not (folder / "pins.csv").exists()


@settings(max_examples=15, deadline=None)
@given(st.lists(st.sampled_from(DOINGS[:5]), min_size=2, max_size=6))
def test_many_are_taken_back_one_after_another(
    tmp_path_factory: pytest.TempPathFactory, doings: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("garden")
    write_folder(folder)
    (folder / "daybook.csv").unlink(missing_ok=True)
    (folder / "batches.csv").write_bytes(BATCHES.encode())
    (folder / "pins.csv").write_bytes(PINS.encode())
    stages = []
    for what in doings:
        stages.append((_bytes(folder), _do(folder, what)))
    for before, change in reversed(stages):
        put_back(folder, change)
        assert _bytes(folder) == before


@pytest.mark.parametrize("what", DOINGS)
def test_what_else_was_changed_since_stays(folder: Path, what: str) -> None:
    change = _do(folder, what)
    name = change.file
    path = folder / name
    row = "\r\nd;leek;seed;7;\r\n" if name == "batches.csv" else "\nd,start,house,\n"
    path.write_bytes(path.read_bytes() + row.encode())
    if name == "pins.csv":
        text = (folder / "batches.csv").read_bytes()
        (folder / "batches.csv").write_bytes(text + b"\r\nd;leek;seed;7;\r\n")
    put_back(folder, change)
    now = path.read_text(encoding="utf-8-sig")
    assert row.strip() in now
    was = {"cell": " 20 ", "cleared": "2027-05-01", "new column": ";20;",
           "pin changed": '"Start", house ,', "pin at the end": "c,start,house,",
           "pin dropped": 'b,"Start", house ,', "pin added": "# by hand"}  # fmt: skip
    assert was[what] in now
    assert "seedling" not in now
    assert "31" not in now


@pytest.mark.parametrize("what", DOINGS)
def test_what_was_changed_again_is_not_touched(folder: Path, what: str) -> None:
    change = _do(folder, what)
    if change.file == "batches.csv":
        set_cell(folder, change.batch, change.column,
                 {"wanted": "44", "wanted_by": "2027-05-09", "priority": "1"}[
                     change.column])  # fmt: skip
    else:
        day = date(2027, 2, 20)
        put_pin(folder, Pin(batch=change.batch, stage=change.stage, start=day))
    before = _bytes(folder)
    with pytest.raises(PropschedError, match="changed since"):
        put_back(folder, change)
    assert _bytes(folder) == before


def test_a_row_that_is_gone_is_told(folder: Path) -> None:
    change = set_cell(folder, "c", "wanted", "31")
    rows = BATCHES.rpartition("\r\n")[0]
    (folder / "batches.csv").write_bytes(rows.encode())
    with pytest.raises(PropschedError, match='no row "c"'):
        put_back(folder, change)
