"""Every command against a scripted service: what goes where, and how it ends."""

import json
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from builders import make_season, make_space
from click.testing import CliRunner, Result

from propsched.advice.job import Job
from propsched.cli.main import cli
from propsched.domain.plan import NotPlaced, Placement, Plan
from propsched.errors import (
    InputProblem,
    InvalidInputError,
    NothingFoundError,
    PinsImpossibleError,
    UnknownNameError,
)
from propsched.service.answers import (
    CheckAnswer,
    JobsAnswer,
    TempsAnswer,
    TempsRow,
    WhereAnswer,
    WhereRow,
)
from propsched.service.events import Improved, Outcome, Step

SAT = date(2027, 2, 6)


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words])


def temps_row(day: int, space: str = "border") -> TempsRow:
    return TempsRow(
        date=date(2027, 2, day), space=space, root_mean_c=4.0, root_min_c=3.0,
        root_max_c=5.0, low_c=2.0, high_c=6.0, air_min_c=-1.0, source="model",
    )  # fmt: skip


TEMPS = TempsAnswer(rows=tuple(temps_row(d) for d in (6, 7, 8)), notes=("a note",))
WHERE = WhereAnswer(
    crop="leek", method="seed", on=SAT, explanation=("Because.",), notes=("a note",),
    rows=(
        WhereRow(
            space="border", start=SAT, half_by=None, most_by=None, days=None,
            root_mean_c=6.0, success=0.9, basis="derived",
        ),
    ),
)  # fmt: skip
JOBS = JobsAnswer(
    today=SAT, notes=("a note",), rows=(Job(date=SAT, kind="sow", what="Sow leek"),)
)
CHECK = CheckAnswer(lines=("2 spaces",), notes=("a note",))
STOP = Placement(
    batch="leek", crop="leek", method="seed", stage="start", space="border",
    start=SAT, end=date(2027, 2, 20), end_latest=date(2027, 2, 20),
    root_mean_c=9.0, area_m2=0.1, containers=1, container="tray",
)  # fmt: skip


def outcome(status: str = "optimal", **over: Any) -> Outcome:
    plain: dict[str, Any] = {
        "season": "invented", "today": SAT, "status": status, "worth": 3.0,
        "bound": 3.0, "gap": 0.0, "terms": {}, "placements": (STOP,), "batches": (),
        "not_placed": (NotPlaced(batch="chilli", reason="too cold"),),
        "standing_over": (), "heat": (), "hotbeds": (), "scarce": (), "cautions": (),
    }  # fmt: skip
    return Outcome(
        plan=Plan(**{**plain, **over}),
        season=make_season(spaces=(make_space(),)),
        notes=("a note",),
        fill={"border": (0.5,) * 212},
        warmth={"border": (7.0,) * 212},
    )


class Scripted:
    """A service that answers as told and keeps what it was asked."""

    def __init__(self, answer: object) -> None:
        self.answer = answer
        self.asked: tuple[Any, ...] = ()
        self.named: dict[str, Any] = {}

    def __call__(self, *asked: Any, **named: Any) -> object:
        self.asked, self.named = asked, named
        if isinstance(self.answer, BaseException):
            raise self.answer
        return self.answer


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch) -> Callable[[str, object], Scripted]:
    def script(name: str, answer: object) -> Scripted:
        module = "planner" if name == "make_plan" else name
        scripted = Scripted(answer)
        monkeypatch.setattr(f"propsched.service.{module}.{name}", scripted)
        return scripted

    return script


Service = Callable[[str, object], Scripted]
ANSWERS = [
    ("temps", ["temps", "SEASON"], TEMPS),
    ("where", ["where", "SEASON", "leek"], WHERE),
    ("jobs", ["jobs", "SEASON"], JOBS),
    ("check", ["check", "SEASON"], CHECK),
    ("make_plan", ["plan", "SEASON", "--no-save"], outcome()),
]


def words(template: list[str], season: Path) -> list[str]:
    return [str(season) if w == "SEASON" else w for w in template]


@pytest.mark.parametrize(("name", "template", "answer"), ANSWERS)
@pytest.mark.parametrize("form", ["table", "csv", "json"])
def test_stdout_is_data_and_notes_go_to_stderr(
    service: Service, tmp_path: Path, name: str, template: list[str], answer: object,
    form: str,
) -> None:  # fmt: skip
    service(name, answer)
    result = run(*words(template, tmp_path), "--format", form)
    assert result.exit_code == 0, result.output
    assert "a note" in result.stderr
    assert "a note" not in result.stdout or (name, form) == ("check", "json")
    if form == "json":
        json.loads(result.stdout)
    elif form == "csv":
        assert "," in result.stdout.splitlines()[0] or name == "check"
    else:
        assert result.stdout.strip()


@pytest.mark.parametrize(("name", "template", "answer"), ANSWERS)
@pytest.mark.parametrize(
    ("error", "code"),
    [
        (UnknownNameError("no crop leak – did you mean leek?"), 2),
        (PinsImpossibleError("leek cannot stand there"), 1),
        (PermissionError(13, "Permission denied", "plan.json"), 2),
        (KeyboardInterrupt(), 130),
        (RuntimeError("a fault"), 70),
    ],
)
def test_an_ending_has_its_code_and_leaves_stdout_alone(
    service: Service, tmp_path: Path, name: str, template: list[str], answer: object,
    error: BaseException, code: int,
) -> None:  # fmt: skip
    service(name, error)
    result = run(*words(template, tmp_path))
    assert result.exit_code == code
    assert result.stdout == ""
    assert ("Traceback" in result.stderr) == (code == 70)


def test_every_fault_of_the_input_has_its_line(
    service: Service, tmp_path: Path
) -> None:
    problems = [
        InputProblem("batches.csv", 3, "crop 'leak'", "did you mean leek?"),
        InputProblem("batches.csv", 2, "wanted -1 \x1b[31m", "1 or more"),
    ]
    service("check", InvalidInputError(problems))
    result = run("check", tmp_path)
    assert result.exit_code == 2
    assert result.stderr.splitlines() == [
        "batches.csv:2: wanted -1 [31m – 1 or more",
        "batches.csv:3: crop 'leak' – did you mean leek?",
    ]


@pytest.mark.parametrize(
    "line",
    [
        ["plan"],
        ["plan", "/no/such/folder"],
        ["nosuch"],
        ["temps", ".", "--from", "31 Feb"],
        ["temps", ".", "--from", "2027-03-01", "--to", "2027-02-01"],
        ["temps", ".", "--today", "2027-02-30"],
        ["plan", ".", "--gap", "2"],
        ["plan", ".", "--time-limit", "0"],
        ["plan", ".", "--winters", "0"],
        ["where", ".", "leek", "--method", "grafting"],
        ["jobs", ".", "--days", "0"],
        ["check", ".", "--format", "xml"],
    ],
)
def test_bad_usage_is_bad_input(line: list[str]) -> None:
    result = run(*line)
    assert result.exit_code == 2
    assert "Error" in result.stderr


def test_temps_asks_for_the_spaces_and_cuts_the_days(
    service: Service, tmp_path: Path
) -> None:
    asked = service("temps", TEMPS)
    result = run(
        "temps", tmp_path, "--space", "border", "--space", "frame",
        "--from", "2027-02-07", "--to", "2027-02-07", "--today", "2027-02-06",
        "--winters", 5, "--seed", 3, "--format", "csv",
    )  # fmt: skip
    assert [line.split(",")[0] for line in result.stdout.splitlines()[1:]] == [
        "2027-02-07"
    ]
    assert asked.named == {
        "today": SAT, "spaces": ("border", "frame"), "winters": 5, "seed": 3
    }  # fmt: skip


def test_where_explains_when_asked(service: Service, tmp_path: Path) -> None:
    asked = service("where", WHERE)
    plain = run("where", tmp_path, "leek", "--method", "seed", "--on", "2027-02-06")
    told = run("where", tmp_path, "leek", "--explain")
    assert "Because." not in plain.stdout
    assert "Because." in told.stdout
    assert asked.asked == (tmp_path, "leek")


def test_plan_passes_its_options_on(service: Service, tmp_path: Path) -> None:
    asked = service("make_plan", outcome())
    result = run(
        "plan", tmp_path, "--time-limit", 3, "--gap", 0.01, "--reproducible",
        "--seed", 4, "--winters", 6, "--today", "2027-02-06", "--quiet",
    )  # fmt: skip
    request, _, cancel = asked.asked
    assert (request.time_limit_s, request.gap, request.reproducible) == (3, 0.01, True)
    assert (request.seed, request.winters, request.today) == (4, 6, SAT)
    assert request.save
    assert isinstance(cancel, threading.Event)
    assert result.stderr == ""


def test_a_time_limit_is_no_fault(service: Service, tmp_path: Path) -> None:
    service("make_plan", outcome("time limit"))
    assert run("plan", tmp_path).exit_code == 0


def test_a_plan_stopped_by_the_user_is_printed_and_ends_with_three(
    service: Service, tmp_path: Path
) -> None:
    service("make_plan", outcome("stopped"))
    result = run("plan", tmp_path)
    assert result.exit_code == 3
    assert "0 of 1 batches placed" in result.stdout


@pytest.mark.parametrize(
    "answer", [NothingFoundError("Nothing."), outcome("stopped", placements=())]
)
def test_stopped_with_nothing_found_is_interrupted(
    service: Service, tmp_path: Path, answer: object
) -> None:
    service("make_plan", answer)
    result = run("plan", tmp_path)
    assert result.exit_code == 130
    assert result.stdout == ""


def test_progress_is_a_line_a_step_where_no_one_looks_on(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def make_plan(request: object, emit: Callable[[object], None], _: object) -> object:
        emit(Step("Reading"))
        emit(Step("Simulating"))
        emit(Improved(1.0, 2.0, 0.1))
        return outcome()

    monkeypatch.setattr("propsched.service.planner.make_plan", make_plan)
    lines = run("plan", tmp_path).stderr.splitlines()
    assert lines[:2] == ["Reading…", "Simulating…"]
    assert lines[-1] == f"Saved {tmp_path / 'plan.json'}"


def test_plan_json_is_the_text_of_plan_json(service: Service, tmp_path: Path) -> None:
    from propsched.files.write import plan_as_json

    service("make_plan", outcome())
    result = run("plan", tmp_path, "--format", "json")
    assert result.stdout == plan_as_json(outcome().plan)


def test_version_and_help() -> None:
    assert "propsched" in run("--version").stdout
    for name in ("new", "check", "temps", "where", "plan", "jobs"):
        assert run(name, "--help").exit_code == 0
