"""``propsched crops`` and ``crops fit`` from the command line."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from propsched.cli.main import cli

TRIAL = "temp_c,day,sown,germinated\n" + "".join(
    f"{temp},{day},50,{n}\n"
    for temp, looks in (
        (10, ((10, 4), (14, 22), (18, 15), (24, 3))),
        (20, ((4, 5), (6, 24), (8, 13), (12, 2))),
    )
    for day, n in looks
)


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words])


def test_crops_needs_no_season() -> None:
    result = run("crops", "bean,", "broad")
    assert result.exit_code == 0
    assert result.stdout.startswith("broad bean, seed (Vicia faba")


def test_a_slip_is_answered_by_what_is_near() -> None:
    result = run("crops", "runer", "bean")
    assert result.exit_code == 2
    assert "did you mean runner bean" in result.stderr


def test_bases_takes_no_words() -> None:
    assert run("crops", "--bases", "leek").exit_code == 2
    assert "each once" in run("crops", "--bases", "--format", "csv").stdout


@pytest.fixture
def trial(tmp_path: Path) -> Path:
    path = tmp_path / "trial.csv"
    path.write_text(TRIAL, encoding="utf-8")
    return path


def test_fit_prints_rows_that_are_not_wrapped(trial: Path) -> None:
    result = run("crops", "fit", trial, "--crop", "leek")
    assert result.exit_code == 0, result.stderr
    rows = result.stdout.split("Rows for crops.csv\n")[1].splitlines()
    assert rows[0] == "crop,method,stage,figure,value,basis,source,note"
    assert rows[1].startswith("leek,seed,start,base_c,")
    assert all(row.count(",") == 7 for row in rows)


def test_fit_for_programs(trial: Path) -> None:
    text = run("crops", "fit", trial, "--crop", "leek", "--format", "json").stdout
    found = json.loads(text)
    assert [row["figure"] for row in found["figures"][:3]] == [
        "base_c", "sum_c_d", "spread",
    ]  # fmt: skip
    assert found["rows"][0]["source"] == "own"
    alone = run("crops", "fit", trial, "--t50", "--format", "csv").stdout
    assert alone.startswith("temp_c,sown,come,t50_d")


def test_counts_are_taken_as_they_are_said(trial: Path) -> None:
    assert run("crops", "fit", trial, "--cumulative").exit_code == 2
    assert run("crops", "fit", trial, "--new").exit_code == 0


def test_fit_has_help_of_its_own() -> None:
    assert "cumulative" in run("crops", "fit", "--help").stdout
    assert "crops fit FILE" in run("crops", "--help").stdout


def test_a_base_below_zero_is_a_number_in_the_rows(tmp_path: Path) -> None:
    """Text that begins with a minus is guarded in CSV, a figure is not."""
    path = tmp_path / "trial.csv"
    path.write_text(TRIAL.replace("\n20,", "\n13,"), encoding="utf-8")
    stdout = run("crops", "fit", path, "--base", "-1.5").stdout
    assert ",start,base_c,-1.5,derived,own," in stdout
    kale = run("crops", "kale", "--method", "seed", "--format", "csv").stdout
    assert "out_min_c,-" in kale
    assert "'-" not in kale
