"""What ``replan``, ``whatif`` and ``tonight`` ask of the service and print."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from builders import make_season, make_space
from click.testing import CliRunner, Result

from propsched.cli.main import cli
from propsched.domain.plan import Plan
from propsched.errors import ExitCode
from propsched.service.at_risk import Help, Risk
from propsched.service.change import Change, Late, Lost, Without
from propsched.service.differences import Difference, Differences
from propsched.service.events import Outcome
from propsched.service.replan import Beside, Replanned
from propsched.service.request import Request
from propsched.service.tonight import TonightAnswer
from propsched.thermal.snap import Spell

SAT = date(2027, 2, 6)
PLAN = Plan(
    season="invented", today=SAT, status="optimal", worth=3.0, bound=3.0, gap=0.0,
    terms={"changes": -0.1}, placements=(), batches=(), not_placed=(),
    standing_over=(), heat=(), hotbeds=(), scarce=(), cautions=(),
    assumed=("8 °C colder from 7 February to 12 February",),
)  # fmt: skip
ROWS = (
    Difference(
        act=SAT, kind="protect", batch="fuchsia", what="protect in frame",
        reason="a mat",
    ),
    Difference(
        act=SAT, kind="protect", batch="salvia", what="protect in frame",
        reason="a mat",
    ),
    Difference(
        act=date(2027, 2, 13), kind="moved", batch="leek", crop="leek", stage="start",
        from_space="bench", from_date=date(2027, 2, 13), to_space="sill",
        to_date=date(2027, 2, 20), what="sow in sill", reason="bench is out of use",
    ),
)  # fmt: skip


def replanned(**over: Any) -> Replanned:
    plain: dict[str, Any] = {
        "outcome": Outcome(
            plan=PLAN, season=make_season(spaces=(make_space(),)), fill={}, warmth={}
        ),
        "before": PLAN,
        "differences": Differences(
            rows=ROWS, unchanged=7, changed_placements=1, kept_placements=11
        ),
        "near": Beside(
            changed_placements=1, kept_placements=11, worth=3.1, gap=0.0
        ),
        "afresh": Beside(
            changed_placements=9, kept_placements=3, worth=3.2, gap=0.004
        ),
        "to_note": ("propsched note S lost leek 3",),
    }  # fmt: skip
    return Replanned(**{**plain, **over})


class Scripted:
    def __init__(self, answer: object) -> None:
        self.answer, self.asked, self.named = answer, (), {}

    def __call__(self, *asked: Any, **named: Any) -> object:
        self.asked, self.named = asked, named  # type: ignore[assignment]
        return self.answer


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch) -> Scripted:
    scripted = Scripted(replanned())
    monkeypatch.setattr("propsched.service.replan.replan", scripted)
    return scripted


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words])


def asked(service: Scripted, tmp_path: Path, *words: object) -> tuple[Request, Change]:
    result = run("whatif", tmp_path, "--today", SAT, *words)
    assert result.exit_code == 0, result.output
    request: Request = service.asked[0]
    return request, service.named["change"]


SNAP = Spell(first=date(2027, 2, 7), days=6, drop_k=8.0)


@pytest.mark.parametrize(
    ("words", "change"),
    [
        ((), Change(cold=(SNAP,))),
        (("--drop", "8"), Change(cold=(SNAP,))),
        (("--drop", "-8"), Change(cold=(SNAP,))),
        (
            ("--drop", "5", "--from", "2027-02-20", "--days", "3"),
            Change(cold=(Spell(first=date(2027, 2, 20), days=3, drop_k=5.0),)),
        ),
        (
            ("--lost", "leek", "--lost", "fuchsia", "12"),
            Change(lost=(Lost(batch="leek"), Lost(batch="fuchsia", count=12))),
        ),
        (("--lost", "leek=4"), Change(lost=(Lost(batch="leek", count=4),))),
        (
            ("--late", "holly", "2027-03-01"),
            Change(late=(Late(batch="holly", first=date(2027, 3, 1)),)),
        ),
        (
            ("--without", "bench", "--from", "2027-03-01", "--to", "2027-03-09"),
            Change(
                without=(
                    Without(
                        space="bench", first=date(2027, 3, 1), last=date(2027, 3, 9)
                    ),
                )
            ),
        ),
        (
            ("--without", "bench", "--drop", "8"),
            Change(cold=(SNAP,), without=(Without(space="bench"),)),
        ),
    ],
)
def test_what_is_supposed(
    service: Scripted, tmp_path: Path, words: tuple[str, ...], change: Change
) -> None:
    request, given = asked(service, tmp_path, *words)
    assert given == change
    assert not request.save


def test_only_when_accepted_it_is_saved(service: Scripted, tmp_path: Path) -> None:
    request, _ = asked(service, tmp_path, "--accept", "--afresh", "--gap", "0.01")
    assert request.save
    assert request.gap == 0.01
    assert service.named["afresh"]
    assert run("replan", tmp_path).exit_code == 0
    assert service.asked[0].save
    assert not service.named["change"]
    assert run("replan", tmp_path, "--no-save").exit_code == 0
    assert not service.asked[0].save


@pytest.mark.parametrize(
    "words",
    [
        ("--to", "2027-03-09"),
        ("--drop", "0"),
        ("--drop", "80"),
        ("--days", "0"),
        ("--lost", "leek=many"),
        ("--late", "holly", "soon"),
        ("--from", "tomorrow"),
    ],
)
def test_misuse_is_refused(
    service: Scripted, tmp_path: Path, words: tuple[str, ...]
) -> None:
    result = run("whatif", tmp_path, "--today", SAT, *words)
    assert result.exit_code == ExitCode.BAD_INPUT
    assert service.asked == ()


def test_what_is_to_look_at_is_told_once_and_not_again_of_fewer_batches(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    old = ("wanted early: leek by 1 May, kale by 2 May", "bench is overfull")
    new = ("wanted early: kale by 2 May", "wanted late: kale by 2 May")
    outcome = replace(replanned().outcome, plan=replace(PLAN, warnings=new))
    before = replace(PLAN, warnings=old)
    scripted = Scripted(replanned(outcome=outcome, before=before))
    monkeypatch.setattr("propsched.service.replan.replan", scripted)
    text = run("replan", tmp_path, "--today", SAT, "--quiet").stdout
    assert "wanted early" not in text
    assert "! wanted late: kale by 2 May" in text


def test_the_list_is_one_to_act_on(service: Scripted, tmp_path: Path) -> None:
    """The same about two batches is said once; what is not saved says so."""
    text = run("whatif", tmp_path, "--today", SAT, "--quiet").stdout
    assert "Supposed: 8 °C colder from 7 February to 12 February." in text
    assert "Nothing was saved" in text
    assert "fuchsia, salvia  protect in frame – a mat" in text
    assert "Sat 13 Feb  moved" in text
    assert "Unchanged: 7 batches. 1 of 12 placements to come differ" in text
    assert "Planned from nothing instead: 9 of 12" in " ".join(text.split())
    assert "propsched note S lost leek 3" in text


def test_for_other_programs(service: Scripted, tmp_path: Path) -> None:
    text = run("replan", tmp_path, "--format", "csv", "--quiet").stdout
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["kind"] for row in rows] == ["protect", "protect", "moved"]
    assert rows[2]["to_date"] == "2027-02-20"
    found = json.loads(run("replan", tmp_path, "--format", "json", "--quiet").stdout)
    assert found["differences"][2]["from_space"] == "bench"
    assert found["afresh"]["changed_placements"] == 9
    assert found["plan"]["assumed"] == list(PLAN.assumed)
    assert found["supposed"] == list(PLAN.assumed)


def test_a_stopped_run_ends_as_such(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    answer = replanned()
    stopped = replace(answer.outcome, plan=replace(PLAN, status="stopped"))
    scripted = Scripted(replace(answer, outcome=stopped))
    monkeypatch.setattr("propsched.service.replan.replan", scripted)
    assert run("replan", tmp_path).exit_code == ExitCode.STOPPED


RISK = Risk(
    night=SAT, space="frame", batch="fuchsia", crop="fuchsia", stage="start",
    harm="frost", limit_c=-1.0, low_c=-4.0, expected_c=-2.0, high_c=0.5,
    probability=0.8, loss=0.4, where="air",
    helps=(
        Help(what="a mat over the glass", gain_k=2.5, probability=0.2),
        Help(what="bring in to shed", gain_k=None, probability=0.0),
    ),
)  # fmt: skip


def tonight(monkeypatch: pytest.MonkeyPatch, **over: Any) -> None:
    plain: dict[str, Any] = {
        "today": SAT, "nights": (SAT,), "rows": (RISK,), "nearest": None,
        "standing": 3, "cautions": ("Mains near water.",),
    }  # fmt: skip
    answer = TonightAnswer(**{**plain, **over})
    monkeypatch.setattr("propsched.service.tonight.tonight", Scripted(answer))


def test_tonight_says_who_how_likely_and_what_helps(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tonight(monkeypatch)
    result = run("tonight", tmp_path)
    assert result.exit_code == 0
    text = " ".join(result.stdout.split())
    assert "1 batch at risk, night of Sat 6 Feb" in text
    assert "-2.0 (-4.0 to 0.5) frost below -1 °C 80 %" in text
    assert (
        "→ fuchsia in frame: a mat over the glass (+2.5 °C, 20 % left); or bring in to "
        "shed (under 1 % left)"
    ) in text
    assert "! Mains near water." in text
    found = json.loads(run("tonight", tmp_path, "--format", "json").stdout)
    assert found["at_risk"][0]["helps"][0]["gain_k"] == 2.5
    text = run("tonight", tmp_path, "--format", "csv").stdout
    rows = list(csv.DictReader(io.StringIO(text)))
    assert rows[0]["harm"] == "frost"


def test_nothing_at_risk_says_how_far_off_it_is(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    near = replace(RISK, expected_c=4.0, low_c=2.0, high_c=6.0, probability=0.0)
    tonight(monkeypatch, rows=(), nearest=near, cautions=())
    result = run("tonight", tmp_path)
    assert result.exit_code == 0
    assert "Nothing at risk" in result.stdout
    assert "5.0 °C above it" in " ".join(result.stdout.split())
    tonight(monkeypatch, rows=(), cautions=(), standing=0)
    assert "nothing stands anywhere" in run("tonight", tmp_path).stdout
