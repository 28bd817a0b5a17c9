"""``propsched note`` as it is typed."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from folders import write_folder

from propsched.cli.main import cli


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "season")


def note(folder: Path, *words: str, today: str = "2027-02-13") -> Result:
    return CliRunner().invoke(cli, ["note", str(folder), *words, "--today", today])


def last(folder: Path, file: str = "readings.csv") -> str:
    return (folder / file).read_text(encoding="utf-8").splitlines()[-1]


def test_a_reading(folder: Path) -> None:
    run = note(folder, "reading", "border", "9.7", "--time", "08:30", "--depth", "15")
    assert run.exit_code == 0, run.output
    assert run.stdout.count("\n") == 1
    assert last(folder) == "2027-02-13 08:30,border,15,9.7,kitchen,"


@pytest.mark.parametrize(
    ("typed", "value"),
    [("-0.5", "-0.5"), ("−0,5", "-0.5"), ("9,7", "9.7"), ("9.7°C", "9.7")],
)
def test_temperatures_as_people_type_them(folder: Path, typed: str, value: str) -> None:
    """Below zero is no option."""
    run = note(folder, "reading", "border", typed, "--time", "8:30")
    assert run.exit_code == 0, run.output
    assert last(folder).split(",")[3] == value


@pytest.mark.parametrize(
    "minutes",
    [["--minutes", "0", "1", "2"], ["--minutes", "1"], ["--minutes", "0 1 2"], []],
)
def test_settling_with_minutes_in_any_form(folder: Path, minutes: list[str]) -> None:
    temps = ["--settling", "12.0", "15.0", "16.5"]
    run = note(folder, "reading", "border", *temps, *minutes)
    assert run.exit_code == 0, run.output
    assert last(folder).endswith(",18,kitchen,settling 12 15 16.5 at 0 1 2 min")


def test_wait_longer_is_no_bug_and_no_data(folder: Path) -> None:
    run = note(folder, "reading", "border", "--settling", "10", "11", "12")
    assert run.exit_code == 2
    assert "wait longer" in run.stderr
    assert run.stdout == ""


def test_an_event(folder: Path) -> None:
    run = note(
        folder, "sown", "leeks", "120", "--space", "house", "--date", "2027-02-12"
    )
    assert run.exit_code == 0, run.output
    assert last(folder, "daybook.csv") == "2027-02-12 00:00,leeks,sown,house,120,"


def test_several_events_and_what_is_taken_back(folder: Path) -> None:
    before = len((folder / "daybook.csv").read_text().splitlines())
    run = note(folder, "sown", "leeks", "120", "salad-1", "20", "house")
    assert run.exit_code == 0, run.output
    assert run.stdout.count("Noted: ") == 2
    run = note(folder, "undo", "leeks", "--note", "not yet")
    assert run.exit_code == 0, run.output
    assert run.stdout.startswith("Taken back: leeks sown 120 in house")
    assert ",leeks,undone,house,120,sown of " in last(folder, "daybook.csv")
    assert last(folder, "daybook.csv").endswith("; not yet")
    assert len((folder / "daybook.csv").read_text().splitlines()) == before + 3
    run = note(folder, "undo", "reading", "--space", "border")
    assert run.exit_code == 0, run.output
    assert ",border,8,7.5,kitchen,undone " in last(folder)


def test_a_warning_goes_to_stderr(folder: Path) -> None:
    run = note(folder, "pricked_out", "leeks")
    assert run.exit_code == 0
    assert "has not been sown" in run.stderr
    assert run.stdout.startswith("Noted: leeks")


def test_a_logger_s_file(folder: Path) -> None:
    file = folder / "logger.csv"
    file.write_text("t;temp\n05/02/2027 08:30;50,0\n06/02/2027 08:30;51,8\n")
    asked = note(folder, "--import", str(file), "--space", "border")
    assert asked.exit_code == 2
    assert "--day-first" in asked.stderr
    told = ["--day-first", "--fahrenheit", "--probe", "kitchen"]
    run = note(folder, "reading", "border", "--import", str(file), *told)
    assert run.exit_code == 0, run.output
    assert last(folder) == "2027-02-06 08:30,border,,11,kitchen,"


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["0.4", "0.5", "0.4"], "in ice: write offset_c = -0.43 (now -0.5)"),
        (["18.6", "--against", "18.2"], "at 18.2 °C: write offset_c = -0.4 (now -0.5)"),
        (["-0.4"], "write offset_c = 0.4 (now -0.5)"),
    ],
)
def test_an_offset_is_printed_and_nothing_written(
    folder: Path, words: list[str], line: str
) -> None:
    before = [(p.name, p.read_bytes()) for p in sorted(folder.iterdir())]
    run = note(folder, "offset", "kitchen", *words)
    assert run.exit_code == 0, run.output
    assert line in run.stdout
    assert [(p.name, p.read_bytes()) for p in sorted(folder.iterdir())] == before


def test_an_unlikely_offset_is_told(folder: Path) -> None:
    run = note(folder, "offset", "kitchen", "4.4", "6.1")
    assert "is a lot" in run.stderr
    assert "far apart" in run.stderr
    unknown = note(folder, "offset", "kichen", "0.4")
    assert unknown.exit_code == 2
    assert 'did you mean "kitchen"' in unknown.stderr


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ([], "--help"),
        (["sowwn", "leeks"], "did you mean sown"),
        (["undone", "leeks"], "did you mean undo"),
        (["undo", "leaks"], "daybook has nothing of"),
        (["undo", "--date", "2027-02-05"], "--date"),
        (["reading"], "SPACE is missing"),
        (["reading", "border", "warm"], "no number"),
        (["reading", "border", "9.7", "--dpeth", "8"], "No such option"),
        (["reading", "border", "9.7", "--time", "half past"], "write it as"),
        (["reading", "border", "9.7", "--minutes", "1"], "goes with --settling"),
        (["reading", "border", "nan"], "no number"),
        (["reading", "border", "9", "--depth", "nan"], "must be 0 to 300"),
        (["reading", "border", "9", "--time", "08:30+01:00"], "write it as"),
        (["--import", "x.csv"], "--space is missing"),
        (["sown", "leeks", "--import", "x.csv"], "--import takes readings"),
    ],
)
def test_wrong_usage_ends_with_2_and_says_what_would_be_right(
    folder: Path, words: list[str], what: str
) -> None:
    before = [(p.name, p.read_bytes()) for p in sorted(folder.iterdir())]
    run = note(folder, *words)
    assert run.exit_code == 2, run.output
    assert what in run.stderr
    assert [(p.name, p.read_bytes()) for p in sorted(folder.iterdir())] == before


def test_help_names_every_event() -> None:
    from propsched.domain.batch import EVENTS

    text = CliRunner().invoke(cli, ["note", "--help"]).output
    assert not [event for event in EVENTS if event not in text]
