"""``propsched temps --explain`` against a scripted service."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from propsched.cli.main import cli
from propsched.service.explanation import ExplainAnswer


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    seen: dict[str, Any] = {}

    def scripted(folder: Path, **options: Any) -> ExplainAnswer:
        seen.update(options)
        return ExplainAnswer(spaces=(), notes=("a note",))

    monkeypatch.setattr("propsched.service.explain.explain", scripted)
    return seen


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, ["temps", *(str(w) for w in words)])


def test_space_and_day_reach_the_service(asked: dict[str, Any], tmp_path: Path) -> None:
    result = run(tmp_path, "--space", "bed", "--explain", "--on", "2027-02-03")
    assert result.exit_code == 0
    assert asked["spaces"] == ("bed",)
    assert str(asked["on"]) == "2027-02-03"
    assert "note: a note" in result.stderr


def test_every_format(asked: dict[str, Any], tmp_path: Path) -> None:
    assert json.loads(run(tmp_path, "--explain", "--format", "json").stdout) == []
    text = run(tmp_path, "--explain", "--format", "csv").stdout
    assert text == "space,date,term,w_m2\n"


@pytest.mark.parametrize(
    "words",
    [("--on", "2027-02-03"), ("--explain", "--from", "2027-02-03")],
)
def test_options_that_do_not_go_together_are_refused(
    asked: dict[str, Any], tmp_path: Path, words: tuple[str, ...]
) -> None:
    result = run(tmp_path, *words)
    assert result.exit_code == 2
    assert "--on" in result.stderr
    assert not asked
