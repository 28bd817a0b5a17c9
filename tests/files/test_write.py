"""What is written is whole, byte-stable, and read back as it was."""

import json
import math
import os
import threading
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from filelock import FileLock
from folders import DAYBOOK, READINGS, write_folder
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import make_plan

from propsched.domain.batch import Event
from propsched.domain.plan import (
    HeatRun,
    Plan,
    StandingOver,
)
from propsched.errors import InvalidInputError
from propsched.files import disk
from propsched.files.plan_json import plan_from_json
from propsched.files.read import read_season
from propsched.files.write import (
    append_event,
    append_reading,
    plan_as_json,
    read_plan,
    write_plan,
)


def test_plan_json_has_the_promised_keys() -> None:
    """Keys of the answer as the README lists them."""
    document = json.loads(plan_as_json(make_plan()))
    assert {
        "status", "worth", "bound", "gap", "terms", "placements", "batches",
        "not_placed", "standing_over", "heat", "hotbeds", "scarce", "cautions",
    } <= set(document)  # fmt: skip
    assert {
        "batch", "crop", "method", "stage", "space", "start", "end", "end_latest",
        "root_mean_c",
    } <= set(document["placements"][0])  # fmt: skip
    assert list(document["heat"][0]) == [
        "space", "from", "to", "kwh", "cost", "cost_to_come",
    ]  # fmt: skip
    assert document["hotbeds"] == [{"space": "hotbed", "make_up": "2027-02-01"}]
    assert document["batches"][0]["wanted_by"] is None
    assert document["placements"][0]["end"] == "2027-02-20"


def test_plan_text_is_the_same_whatever_the_order_of_terms() -> None:
    one = make_plan(terms={"late": 1.0, "done": 2.0}, inputs={"b": "1", "a": "2"})
    other = make_plan(terms={"done": 2.0, "late": 1.0}, inputs={"a": "2", "b": "1"})
    assert plan_as_json(one) == plan_as_json(other)
    assert plan_as_json(one).endswith("}\n")
    assert "“manure”" in plan_as_json(one)


def test_numbers_of_numpy_and_negative_zero_are_plain_numbers() -> None:
    odd: Any = make_plan(worth=np.float64(1.5), gap=-0.0, seed=np.int64(7))
    document = json.loads(plan_as_json(odd))
    assert (document["worth"], document["seed"]) == (1.5, 7)
    assert "-0.0" not in plan_as_json(odd)


def test_a_number_that_is_not_finite_is_null() -> None:
    text = plan_as_json(make_plan(worth=math.nan))
    assert json.loads(text)["worth"] is None


finite = st.floats(allow_nan=False, allow_infinity=False).map(lambda x: x + 0.0)
days = st.dates(date(1900, 1, 1), date(2200, 1, 1))
names = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
plans = st.builds(
    make_plan,
    season=names,
    today=days,
    worth=finite,
    bound=finite,
    terms=st.dictionaries(names, finite, max_size=3),
    heat=st.lists(
        st.builds(HeatRun, space=names, start=days, end=days, kwh=finite, cost=finite),
        max_size=2,
    ).map(tuple),
    standing_over=st.lists(
        st.builds(StandingOver, batch=names, space=names, half_by=st.none() | days),
        max_size=2,
    ).map(tuple),
    cautions=st.lists(names, max_size=2).map(tuple),
    versions=st.dictionaries(names, names, max_size=2),
    seed=st.integers(0, 2**31),
)


@given(plans)
@settings(max_examples=60, deadline=None)
def test_a_plan_is_read_back_as_it_was(plan: Plan) -> None:
    text = plan_as_json(plan)
    assert plan_from_json(text, "plan.json") == plan
    assert plan_as_json(plan_from_json(text, "plan.json")) == text


def test_the_plan_before_is_kept(tmp_path: Path) -> None:
    assert read_plan(tmp_path) is None
    first, second = make_plan(worth=1.0), make_plan(worth=2.0)
    assert write_plan(tmp_path, first) == tmp_path / "plan.json"
    assert not (tmp_path / "plan.previous.json").exists()
    write_plan(tmp_path, second)
    assert read_plan(tmp_path) == second
    previous = (tmp_path / "plan.previous.json").read_text(encoding="utf-8")
    assert previous == plan_as_json(first)


def test_a_kill_while_writing_leaves_the_old_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped at the last moment before the new file takes its place."""
    write_plan(tmp_path, make_plan(worth=1.0))
    kept = (tmp_path / "plan.json").read_bytes()

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", killed)
    with pytest.raises(KeyboardInterrupt):
        write_plan(tmp_path, make_plan(worth=2.0))
    monkeypatch.undo()
    assert (tmp_path / "plan.json").read_bytes() == kept
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".plan")]


@pytest.mark.parametrize(
    ("text", "line", "fragment"),
    [
        ('{\n"season": ,\n}', 2, "is no valid JSON"),
        ('{"season": "x"}', 0, "today is missing"),
        ("[]", 0, "the whole is a list"),
        ('{"heat": 3}', 0, "heat is 3"),
        ("<<<<<<< mine\n{}", 1, "holds two versions"),
    ],
)
def test_a_broken_plan_is_refused(
    text: str, line: int, fragment: str, tmp_path: Path
) -> None:
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    with pytest.raises(InvalidInputError) as caught:
        read_plan(tmp_path)
    (problem,) = caught.value.problems
    assert fragment in problem.what
    assert problem.line == line
    assert "quotes" not in str(caught.value)
    if "two versions" in fragment:
        return
    assert problem.right == f"make a new one with: propsched plan {tmp_path}"
    (tmp_path / "plan.previous.json").write_text(text, encoding="utf-8")
    with pytest.raises(InvalidInputError, match="take the one before with: propsched"):
        read_plan(tmp_path)


STRUCK = Event(
    time=datetime(2027, 2, 6, 10, 15),
    batch="currants",
    event="moved",
    space="border",
    count=12,
    note='two, "weak"',
)


def test_an_event_is_added_and_read_back(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    append_event(folder, STRUCK)
    text = (folder / "daybook.csv").read_text(encoding="utf-8")
    assert text.startswith(DAYBOOK)
    assert text[len(DAYBOOK) :].count("\n") == 1
    assert read_season(folder).daybook[-1] == STRUCK


def test_a_new_file_begins_with_its_header(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, daybook_csv=None, readings_csv="")
    append_event(folder, STRUCK)
    time = datetime(2027, 2, 6, 7, 30, 20)
    append_reading(folder, time=time, space="pond", temp_c=3.0, depth_cm=2.5)
    files = read_season(folder)
    assert files.daybook == (STRUCK,)
    lines = (folder / "readings.csv").read_text(encoding="utf-8").splitlines()
    assert lines == [
        "time,space,depth_cm,temp_c,probe,note",
        "2027-02-06 07:30:20,pond,2.5,3,,",
    ]


def test_a_row_is_written_in_the_layout_that_is_there(tmp_path: Path) -> None:
    """Semicolons, decimal commas, CRLF and own order, and no newline at the end."""
    text = "space;temp_c;time\r\npond;3,5;2027-02-01 08:00"
    folder = write_folder(tmp_path, readings_csv=text)
    append_reading(folder, time=datetime(2027, 2, 2, 8), space="border", temp_c=-1.25)
    raw = (folder / "readings.csv").read_bytes()
    assert raw == (text + "\r\nborder;-1,25;2027-02-02 08:00\r\n").encode()
    assert list(read_season(folder).readings["temp_c"]) == [3.5, -1.25]


def test_a_row_that_has_no_place_is_refused(tmp_path: Path) -> None:
    text = "time,space,temp_c\n2027-02-01 08:00,pond,3.5\n"
    folder = write_folder(tmp_path, readings_csv=text)
    with pytest.raises(InvalidInputError, match=r"readings\.csv:1: has no column note"):
        append_reading(
            folder, time=datetime(2027, 2, 2), space="pond", temp_c=1, note="ice"
        )
    assert (folder / "readings.csv").read_text(encoding="utf-8") == text


def test_a_row_after_one_that_was_cut_in_a_quoted_cell_is_read(tmp_path: Path) -> None:
    """The cut row ends where it was cut, and takes nothing of the next into it."""
    cut = DAYBOOK + '2027-02-05 10:00,currants,moved,border,3,"two, we'
    folder = write_folder(tmp_path, daybook_csv=cut)
    append_event(folder, STRUCK)
    before, last = read_season(folder).daybook[-2:]
    assert last == STRUCK
    assert before.note == "two, we"


def test_two_writers_lose_no_line(tmp_path: Path) -> None:
    def write_some(space: str) -> None:
        for minute in range(20):
            time = datetime(2027, 2, 2, 8, minute)
            append_reading(tmp_path, time=time, space=space, temp_c=1.0)

    writers = [
        threading.Thread(target=write_some, args=(s,)) for s in ("pond", "border")
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    lines = (tmp_path / "readings.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 41
    assert lines.count("time,space,depth_cm,temp_c,probe,note") == 1


def test_a_folder_that_is_not_there_is_the_users_to_mend(tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError, match=r"plan\.json: cannot be written"):
        write_plan(tmp_path / "nowhere", make_plan())


def test_another_program_that_does_not_let_go_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk, "LOCK_S", 0.05)
    with (
        FileLock(tmp_path / disk.LOCK),
        pytest.raises(InvalidInputError, match="by another program – try again"),
    ):
        append_event(tmp_path, STRUCK)
    assert not (tmp_path / "daybook.csv").exists()


def test_a_row_is_handed_over_in_one_piece(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A kill between two calls of the system could otherwise leave half a line."""
    folder = write_folder(tmp_path)
    pieces: list[bytes] = []
    real = os.write
    monkeypatch.setattr(
        disk.os, "write", lambda handle, raw: pieces.append(raw) or real(handle, raw)
    )
    append_event(folder, replace(STRUCK, note="one\nline"))
    assert [p for p in pieces if b"currants" in p] == [
        b"2027-02-06 10:15,currants,moved,border,12,one line\n"
    ]


safe = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20)


@given(
    notes=st.lists(safe, max_size=4),
    temps=st.lists(
        st.floats(-50, 50).map(lambda x: round(x, 3)), min_size=4, max_size=4
    ),
    comma=st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_readings_are_read_back_as_they_were(
    tmp_path_factory: pytest.TempPathFactory,
    notes: list[str],
    temps: list[float],
    comma: bool,
) -> None:
    header = READINGS.splitlines()[0].replace(",", ";" if comma else ",") + "\n"
    folder = write_folder(tmp_path_factory.mktemp("trip"), readings_csv=header)
    for hour, note in enumerate(notes):
        append_reading(
            folder,
            time=datetime(2027, 2, 2, hour),
            space="pond",
            temp_c=temps[hour],
            note=note,
        )
    read = read_season(folder).readings
    assert list(read["temp_c"]) == temps[: len(notes)]
    assert list(read["note"]) == [" ".join(note.split()) for note in notes]
