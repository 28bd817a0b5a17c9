"""``propsched compare`` against a scripted service."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from propsched.cli.main import cli
from propsched.service.comparison import CompareAnswer, CompareRow

NONE = CompareRow(
    when=None, pairs=0, days=0, mean_k=None, interval=None, slope=None, model_k=None
)
ANSWER = CompareAnswer(
    first="bed", second="border", level=0.8, verdict="not enough readings yet",
    whole=NONE, by_time=(), days=(), season=None, wanted_half_k=0.5, more_days=None,
    notes=("a note",),
)  # fmt: skip


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    seen: dict[str, Any] = {}

    def scripted(folder: Path, *spaces: str, **options: Any) -> CompareAnswer:
        seen.update(options, spaces=spaces)
        return ANSWER

    monkeypatch.setattr("propsched.service.compare.compare", scripted)
    return seen


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, ["compare", *(str(w) for w in words)])


def test_options_reach_the_service(asked: dict[str, Any], tmp_path: Path) -> None:
    result = run(
        tmp_path, "bed", "border", "--from", "2027-01-02", "--to", "2027-02-03",
        "--level", "80",
    )  # fmt: skip
    assert result.exit_code == 0
    assert asked["spaces"] == ("bed", "border")
    assert (str(asked["since"]), str(asked["until"])) == ("2027-01-02", "2027-02-03")
    assert asked["level"] == 0.8
    assert result.stdout.startswith("Not enough readings yet.")
    assert "note: a note" in result.stderr


def test_every_format(asked: dict[str, Any], tmp_path: Path) -> None:
    text = run(tmp_path, "bed", "border", "--format", "json").stdout
    assert json.loads(text)["verdict"] == "not enough readings yet"
    text = run(tmp_path, "bed", "border", "--format", "csv").stdout
    assert text.startswith("date,pairs,first_c,")


def test_dates_the_wrong_way_round_are_refused(
    asked: dict[str, Any], tmp_path: Path
) -> None:
    result = run(
        tmp_path, "bed", "border", "--from", "2027-02-03", "--to", "2027-01-02"
    )
    assert result.exit_code == 2
    assert "is before --from" in result.stderr
