"""A new season from the one before."""

import os
import random
import shutil
import threading
from datetime import date
from pathlib import Path

import pytest
from folders import GOOD, write_folder
from lived import END, add_lived, write_season
from mutants import mutant, put

from propsched.errors import InvalidInputError, PropschedError
from propsched.files.disk import LOCK
from propsched.files.read import read_season
from propsched.service.anew import Begun, begin_from
from propsched.service.check import check
from propsched.service.opened import open_season
from propsched.service.planner import make_plan
from propsched.service.request import Request

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TODAY = date(2027, 10, 20)
BATCHES = """\
batch,crop,method,wanted,sown,available_from,available_to,wanted_by,repeat,seed_year,note
currants,blackcurrant,hardwood,20,24,2027-01-01,2027-02-28,,,,"stands, over"
roses,rambler rose,hardwood,10,12,2027-01-01,2027-02-28,,every 14 days × 2,,
onions,onion,seed,40,50,2027-01-20,2027-03-20,2027-04-20,,2026,
lost,leek,seed,40,50,2027-02-20,2027-03-20,2027-05-20,,,
"""
DAYBOOK = """\
time,batch,event,space,count,note
2027-01-03 10:00,currants,struck,border,24,
2027-01-17 10:00,roses-2,struck,border,12,
2027-01-20 10:00,onions,sown,frame,50,
2027-03-20 10:00,lost,sown,frame,50,
2027-03-21 10:00,lost,lost,,50,
2027-03-22 10:00,currants,lost,,2,mice
"""


@pytest.fixture
def last(tmp_path: Path) -> Path:
    folder = write_season(tmp_path / "last", winter=1)
    (folder / "batches.csv").write_text(BATCHES, encoding="utf-8")
    (folder / "daybook.csv").write_text(DAYBOOK, encoding="utf-8")
    return folder


def begun(last: Path, tmp_path: Path, **asked: object) -> tuple[Path, Begun]:
    folder = tmp_path / "next"
    return folder, begin_from(last, folder, today=TODAY, **asked)  # type: ignore[arg-type]


def test_the_season_is_a_year_on_and_without_faults(last: Path, tmp_path: Path) -> None:
    folder, _ = begun(last, tmp_path)
    files = read_season(folder)
    assert (files.season.start, files.season.end) == (
        date(2028, 1, 1),
        date(2028, 5, 31),
    )
    assert [s.id for s in files.season.spaces] == ["border", "frame", "house"]
    assert check(folder, today=date(2028, 1, 5)).lines


def test_the_last_season_stays_as_it_is(last: Path, tmp_path: Path) -> None:
    before = {p.name: p.read_bytes() for p in last.iterdir()}
    begun(last, tmp_path)
    assert {p.name: p.read_bytes() for p in last.iterdir()} == before


def test_dates_of_batches_move_on_and_every_other_cell_stays(
    last: Path, tmp_path: Path
) -> None:
    folder, _ = begun(last, tmp_path)
    rows = (folder / "batches.csv").read_text(encoding="utf-8").splitlines()
    assert rows[3:5] == [
        "onions,onion,seed,40,50,2028-01-20,2028-03-20,2028-04-20,,2026,",
        "lost,leek,seed,40,50,2028-02-20,2028-03-20,2028-05-20,,,",
    ]


def test_what_stands_over_goes_on_as_it_stands(last: Path, tmp_path: Path) -> None:
    """A batch with a row keeps its name; one of several sowings gets its own."""
    folder, said = begun(last, tmp_path)
    opened = open_season(folder, today=date(2028, 1, 2))
    currants = opened.states["currants"]
    assert (currants.space, currants.since, currants.count) == (
        "border",
        date(2027, 1, 3),
        22,
    )
    assert opened.states["roses-2 of 2027"].space == "border"
    assert {"roses-1", "roses-2"} <= {one.batch.id for one in opened.whole}
    assert set(opened.states) == {"currants", "roses-2 of 2027"}
    assert any("onions in frame" in line for line in said.lines)  # told, not carried


def test_a_sowing_with_quotes_in_its_name_gets_a_row_of_its_own(
    last: Path, tmp_path: Path
) -> None:
    for name in ("batches.csv", "daybook.csv"):
        text = (last / name).read_text(encoding="utf-8")
        named = text.replace("roses-2", '"the ""old"" one, pink-2"')
        named = named.replace("\nroses,", '\n"the ""old"" one, pink",')
        (last / name).write_text(named, encoding="utf-8")
    folder, _ = begun(last, tmp_path)
    opened = open_season(folder, today=date(2028, 1, 2))
    assert opened.states['the "old" one, pink-2 of 2027'].space == "border"


def test_it_can_be_planned_at_once(last: Path, tmp_path: Path) -> None:
    folder, _ = begun(last, tmp_path)
    request = Request(
        folder=folder, today=date(2028, 1, 2), reproducible=True, gap=0.05
    )
    found = make_plan(request, lambda event: None, threading.Event())
    placed = {p.batch: p.space for p in found.plan.placements}
    assert placed["currants"] == "border"
    assert "onions" in placed


def test_days_to_come_are_never_called_observed(last: Path, tmp_path: Path) -> None:
    folder, _ = begun(last, tmp_path)
    weather = read_season(folder).weather
    assert set(weather["kind"]) == {"forecast"}
    assert weather["date"].iloc[0].date() == date(2028, 1, 1)


def test_observed_days_become_history(last: Path, tmp_path: Path) -> None:
    folder, said = begun(last, tmp_path)
    files = read_season(folder)
    assert len(files.history) == 151
    assert any("151 observed days" in line for line in said.lines)
    assert {p.name for p in said.paths} == {p.name for p in folder.iterdir()} - {LOCK}


def test_rows_learnt_go_in_once_and_over_the_grower_s_own(tmp_path: Path) -> None:
    folder = write_season(tmp_path / "last", winter=1)
    rows = [
        (f"onion {n}", "onion", "house", date(2027, 2, 1 + n), date(2027, 4, 10 + n))
        for n in range(5)
    ]
    add_lived(folder, rows)
    (folder / "crops.csv").write_text(
        "crop;method;stage;figure;value\n# mine\nonion;seed;start;sum_c_d;130\n",
        encoding="utf-8",
    )
    _, plain = begun(folder, tmp_path)
    assert any("--learnt" in line for line in plain.lines)
    shutil.rmtree(tmp_path / "next")
    new, _ = begun(folder, tmp_path, learnt=True)
    text = (new / "crops.csv").read_text(encoding="utf-8")
    assert text.count("sum_c_d") == 1
    assert "# mine" in text
    (row,) = read_season(new).crops.find("onion", "seed")
    start = next(needs for needs in row.stages if needs.stage == "start")
    assert start.sum_c_d > 130


def test_a_year_later_once_more(last: Path, tmp_path: Path) -> None:
    first, _ = begun(last, tmp_path)
    begin_from(first, tmp_path / "third", today=date(2028, 10, 1))
    opened = open_season(tmp_path / "third", today=date(2029, 1, 2))
    assert opened.season.start == date(2029, 1, 1)
    assert opened.states["currants"].since == date(2027, 1, 3)


def test_a_season_left_out_for_years_begins_in_the_coming_one(
    last: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "later"
    begin_from(last, folder, today=date(2030, 8, 1))
    assert read_season(folder).season.start == date(2031, 1, 1)


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (date(2026, 12, 1), None, "would begin on 2026-12-01"),
        (date(2028, 6, 1), None, "is not after its first"),
    ],
)
def test_days_that_cannot_be_are_refused(
    last: Path, tmp_path: Path, start: date, end: date | None, words: str
) -> None:
    with pytest.raises(PropschedError, match=words):
        begun(last, tmp_path, start=start, end=end)
    assert not (tmp_path / "next").exists()


def test_a_name_replaces_the_old_one_alone(last: Path, tmp_path: Path) -> None:
    folder, _ = begun(last, tmp_path, name='new "one"')
    assert read_season(folder).season.name == 'new "one"'


def test_faults_of_the_last_season_are_told_and_nothing_is_written(
    last: Path, tmp_path: Path
) -> None:
    (last / "batches.csv").write_text("batch,crop\nx,nothing\n", encoding="utf-8")
    with pytest.raises(InvalidInputError):
        begun(last, tmp_path)
    assert not (tmp_path / "next").exists()


@pytest.mark.parametrize("name", ["history.csv", "plan.json"])
def test_past_winters_and_plans_that_are_there_are_not_written_over(
    last: Path, tmp_path: Path, name: str
) -> None:
    folder = tmp_path / "next"
    folder.mkdir()
    (folder / name).write_text("mine", encoding="utf-8")
    with pytest.raises(InvalidInputError, match="already there"):
        begun(last, tmp_path)
    assert [p.name for p in folder.iterdir()] == [name]
    assert (folder / name).read_text(encoding="utf-8") == "mine"


def test_a_folder_with_files_is_left_alone(last: Path, tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "next")
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    with pytest.raises(InvalidInputError, match="already there"):
        begun(last, tmp_path)
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


@pytest.mark.parametrize("name", ["walled-garden", "windowsill-five"])
def test_examples_begin_anew(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "next"
    begin_from(EXAMPLES / name, folder, today=TODAY)
    opened = open_season(folder, today=date(2027, 11, 20))
    old = open_season(EXAMPLES / name, today=END)
    assert {b.id for b in old.files.batches} <= {b.id for b in opened.files.batches}
    assert opened.season.start.year == old.season.start.year + 1


MUTANTS = int(os.environ.get("PROPSCHED_MUTANTS_ANEW", "15"))
"""600 of them take some minutes: tests/benchmarks/README.md has the figures."""


def test_of_a_damaged_season_a_whole_one_is_made_or_none(
    tmp_path: Path,
) -> None:
    good = {name: text.encode() for name, text in GOOD.items()}
    good["pins.csv"] = good["pins.csv"].replace(b"seedling", b"grow")
    draw, made = random.Random(3), 0
    for number in range(MUTANTS):
        last = put(tmp_path / "last", mutant(good, draw) if number else good)
        folder = tmp_path / f"next {number}"
        try:
            begin_from(last, folder, today=TODAY, learnt=True)
        except PropschedError:
            assert not folder.exists(), number
        else:
            made += 1
            read_season(folder)
    assert made > MUTANTS / 10
