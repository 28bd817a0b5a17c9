"""What ``suppose`` asks of the service and prints."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from folders import write_left_open

from propsched.cli.main import cli
from propsched.domain.plan import Plan
from propsched.errors import ExitCode, NothingFoundError
from propsched.service.gained import Effect
from propsched.service.garden import Another, MadeUp, Room, SetTo, trays_m2
from propsched.service.request import Request
from propsched.service.suppose import Supposed, TrayPlace, TrayPlaces

SAT = date(2027, 2, 6)
PLAN = Plan(
    season="invented", today=SAT, status="within gap", worth=3.0, bound=3.1, gap=0.03,
    terms={}, placements=(), batches=(), not_placed=(), standing_over=(), heat=(),
    hotbeds=(), scarce=(), cautions=(),
)  # fmt: skip
ANSWER = Supposed(
    supposed=("1 more tray place in bench",), as_is=PLAN, as_supposed=PLAN,
    worth=0.8, worth_least=-0.2, worth_most=1.1, estimate=0.9, heat=2.4, currency="£",
    rows=(
        Effect(
            kind="comes in", batch="=leek", what="40 plants by 3 April", worth=0.75,
            plants=40.0, ready=date(2027, 4, 3),
        ),
        Effect(kind="heat", space="bench", what="heat bench a week longer"),
    ),
    near=True,
)  # fmt: skip
PLACES = TrayPlaces(
    rows=(
        TrayPlace(
            space="bench", worth=1.204, heat=2.41, weeks=((SAT, date(2027, 3, 7)),)
        ),
        TrayPlace(space="frame", worth=0.0, heat=0.0, weeks=()),
    ),
    plan=PLAN,
    currency="£",
    near=False,
)


class Scripted:
    def __init__(self, answer: object) -> None:
        self.answer, self.asked, self.named = answer, (), {}

    def __call__(self, *asked: Any, **named: Any) -> object:
        self.asked, self.named = asked, named  # type: ignore[assignment]
        return self.answer


@pytest.fixture
def supposed(monkeypatch: pytest.MonkeyPatch) -> Scripted:
    scripted = Scripted(ANSWER)
    monkeypatch.setattr("propsched.service.suppose.suppose", scripted)
    return scripted


@pytest.fixture
def listed(monkeypatch: pytest.MonkeyPatch) -> Scripted:
    scripted = Scripted(PLACES)
    monkeypatch.setattr("propsched.service.suppose.tray_places", scripted)
    return scripted


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, ["suppose", *(str(w) for w in words)])


def test_all_that_is_supposed_is_asked_together(
    supposed: Scripted, tmp_path: Path
) -> None:
    result = run(
        tmp_path, "--more", "bench=0.3", "--more", "frame=2trays", "--less",
        "sill=1 tray", "--less", "border=1.5m²", "--another", "propagator",
        "--make-up", "hotbed=2027-02-13", "--heat", "bench=20.5", "--afresh",
        "--today", SAT, "--gap", "0.01",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    request: Request = supposed.asked[0]
    assert not request.save
    assert (request.today, request.gap) == (SAT, 0.01)
    assert supposed.named["afresh"]
    assert supposed.asked[1] == [
        Another(space="propagator"),
        Room(space="bench", more_m2=0.3),
        Room(space="frame", more_m2=trays_m2(2), trays=2),
        Room(space="sill", more_m2=-trays_m2(1), trays=1),
        Room(space="border", more_m2=-1.5),
        MadeUp(space="hotbed", day=date(2027, 2, 13)),
        SetTo(space="bench", set_c=20.5),
    ]


@pytest.mark.parametrize(
    "words",
    [
        ("--more", "bench"),
        ("--more", "bench="),
        ("--more", "=2"),
        ("--more", "bench=much"),
        ("--more", "bench=0"),
        ("--more", "bench=-1"),
        ("--more", "bench=1.5trays"),
        ("--less", "bench=0trays"),
        ("--make-up", "hotbed=soon"),
        ("--make-up", "hotbed"),
        ("--heat", "bench=warm"),
    ],
)
def test_misuse_is_refused(
    supposed: Scripted, tmp_path: Path, words: tuple[str, ...]
) -> None:
    result = run(tmp_path, *words)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert supposed.asked == ()


def test_the_worth_stands_with_its_range(supposed: Scripted, tmp_path: Path) -> None:
    text = " ".join(run(tmp_path, "--more", "bench=1tray", "--quiet").stdout.split())
    assert "Worth 0.80 more: between -0.20 and +1.10" in text
    assert "so it may be nothing" in text
    assert "Supposed: 1 more tray place in bench." in text
    assert "plan as it is: +0.90" in text
    assert "Heat costs £2.40 more" in text
    assert "comes in =leek 40 plants by 3 April +0.75" in text
    assert "kept near the plan in force" in text
    assert "Nothing was saved." in text


def test_what_is_proven_is_said_without_a_range(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    sure = replace(
        ANSWER, worth_least=-0.8, worth=-0.8, worth_most=-0.8, rows=(), heat=0.0,
        estimate=None, near=False,
    )  # fmt: skip
    monkeypatch.setattr("propsched.service.suppose.suppose", Scripted(sure))
    text = " ".join(run(tmp_path, "--less", "bench=1tray").stdout.split())
    assert "Worth 0.80 less, proven" in text
    assert "No batch would fare otherwise." in text
    assert "estimate" not in text
    assert "Heat" not in text
    assert "near the plan" not in text


def test_for_other_programs(supposed: Scripted, tmp_path: Path) -> None:
    words = (tmp_path, "--more", "bench=1tray", "--quiet", "--format")
    rows = list(csv.DictReader(io.StringIO(run(*words, "csv").stdout)))
    assert [row["kind"] for row in rows] == ["comes in", "heat"]
    assert rows[0]["batch"] == "'=leek"
    assert rows[0]["ready"] == "2027-04-03"
    found = json.loads(run(*words, "json").stdout)
    assert (found["worth"], found["worth_least"], found["worth_most"]) == (
        0.8,
        -0.2,
        1.1,
    )
    assert found["effects"][0]["plants"] == 40.0
    assert found["as_is"]["gap"] == found["as_supposed"]["gap"] == 0.03


def test_without_options_it_lists_what_a_tray_is_worth(
    listed: Scripted, tmp_path: Path
) -> None:
    text = " ".join(run(tmp_path, "--quiet").stdout.split())
    assert "bench 1.20 £2.41 6 Feb – 7 Mar" in text
    assert "frame –" in text
    rows = list(
        csv.DictReader(io.StringIO(run(tmp_path, "--format", "csv", "--quiet").stdout))
    )
    assert rows[0] == {
        "space": "bench", "worth": "1.204", "heat": "2.41",
        "weeks": "2027-02-06 to 2027-03-07",
    }  # fmt: skip
    found = json.loads(run(tmp_path, "--format", "json", "--quiet").stdout)
    assert found["spaces"][0]["weeks"] == [{"from": "2027-02-06", "to": "2027-03-07"}]
    assert found["spaces"][1]["weeks"] == []


def test_a_roomy_season_is_told_in_words_instead_of_dashes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    rows = tuple(replace(row, worth=0.004, weeks=()) for row in PLACES.rows)
    listed = Scripted(replace(PLACES, rows=rows))
    monkeypatch.setattr("propsched.service.suppose.tray_places", listed)
    text = run(tmp_path, "--quiet").stdout
    assert "Nothing anywhere: no space is short of room." in text
    assert "–" not in text
    found = json.loads(run(tmp_path, "--format", "json", "--quiet").stdout)
    assert [row["space"] for row in found["spaces"]] == ["bench", "frame"]


def test_how_it_ends(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def stopped(*asked: object, **named: object) -> None:
        raise NothingFoundError("stopped")

    half = replace(ANSWER, as_supposed=replace(PLAN, status="stopped"))
    monkeypatch.setattr("propsched.service.suppose.suppose", Scripted(half))
    assert run(tmp_path, "--another", "bench").exit_code == ExitCode.STOPPED
    monkeypatch.setattr("propsched.service.suppose.suppose", stopped)
    assert run(tmp_path, "--another", "bench").exit_code == ExitCode.INTERRUPTED


def test_a_space_that_is_not_there_is_told_at_once(tmp_path: Path) -> None:
    result = run(write_left_open(tmp_path), "--more", "fraem=1", "--quiet")
    assert result.exit_code == ExitCode.BAD_INPUT
    assert "no space 'fraem' – did you mean frame?" in result.stderr
    assert result.stdout == ""
