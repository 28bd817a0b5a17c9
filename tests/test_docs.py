"""The README keeps up with the program."""

import re
from dataclasses import fields
from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner
from folders import SEASON, write_folder

from propsched.cli.main import COMMANDS, cli
from propsched.domain.batch import EVENTS
from propsched.domain.container import CONTAINERS
from propsched.domain.crop import METHODS
from propsched.domain.plan import (
    BatchPlan,
    HeatRun,
    HotbedRun,
    NotPlaced,
    Placement,
    Plan,
    Scarce,
    StandingOver,
)
from propsched.domain.season import Weights
from propsched.domain.space import COVERS, KINDS
from propsched.errors import ExitCode
from propsched.files.batches import BATCH_COLUMNS, EVENT_COLUMNS, PIN_COLUMNS
from propsched.files.crop_table import OWN_COLUMNS
from propsched.files.read import read_season
from propsched.files.season_toml import toml_keys
from propsched.files.series import READING_COLUMNS, WEATHER_COLUMNS
from propsched.files.table import Columns

ROOT = Path(__file__).resolve().parents[1]
PLAN_PARTS = (
    Plan, Placement, BatchPlan, NotPlaced, StandingOver, HeatRun, HotbedRun, Scarce,
)  # fmt: skip
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks() -> list[str]:
    return re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)


def test_first_come_exactly_the_plan_and_the_tests() -> None:
    """The job in one paragraph, then two commands that need nothing done before."""
    plan, tests = blocks()[:2]
    assert "pip install" in plan
    assert "propsched plan examples/walled-garden" in plan
    assert "pip install" in tests
    assert "pytest" in tests
    assert len(plan.splitlines()) == len(tests.splitlines()) == 1


def test_every_command_is_told() -> None:
    for name in COMMANDS:
        assert f"`propsched {name} " in README, name


def test_every_key_of_season_toml_is_told() -> None:
    for table, keys in toml_keys().items():
        missing = [key for key in keys if not re.search(rf"\b{key}\b", README)]
        assert not missing, table


@pytest.mark.parametrize(
    "tokens", [METHODS, CONTAINERS, EVENTS, KINDS, COVERS], ids=lambda t: t[0]
)
def test_every_token_is_told(tokens: tuple[str, ...]) -> None:
    assert not [token for token in tokens if f"`{token}" not in README]


def test_every_weight_is_told_with_its_default() -> None:
    for name in Weights.__dataclass_fields__:
        assert f"| `{name}` | {getattr(Weights(), name):g} |" in README, name


def test_every_exit_code_is_told() -> None:
    for code in ExitCode:
        assert re.search(rf"^\| {code.value} \|", README, flags=re.MULTILINE), code


def test_help_of_every_command() -> None:
    """Each command says what it does and what its options mean."""
    for name in COMMANDS:
        result = CliRunner().invoke(cli, [name, "--help"])
        assert result.exit_code == 0
        assert "Usage:" in result.output


def test_pictures_are_there() -> None:
    shown = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert shown
    missing = [path for path in shown if not (ROOT / unquote(path)).is_file()]
    assert not missing


def columns_told() -> dict[str, dict[str, tuple[bool, str]]]:
    """Of each file its columns: whether needed, and the example."""
    (text,) = re.findall(r"<!-- columns -->(.*?)<!-- /columns -->", README, re.DOTALL)
    found: dict[str, dict[str, tuple[bool, str]]] = {}
    for row in text.strip().splitlines()[2:]:
        file, column, _, example = (c.strip() for c in row.strip("|").split("|"))
        found.setdefault(file, {})[column.rstrip("*")] = "*" in column, example
    return found


@pytest.mark.parametrize(
    ("file", "columns"),
    [
        ("batches.csv", BATCH_COLUMNS),
        ("pins.csv", PIN_COLUMNS),
        ("daybook.csv", EVENT_COLUMNS),
        ("weather.csv", WEATHER_COLUMNS),
        ("readings.csv", READING_COLUMNS),
        ("crops.csv", OWN_COLUMNS),
    ],
)
def test_every_column_is_told_with_what_it_needs(file: str, columns: Columns) -> None:
    told = columns_told()[file]
    assert {name for name, (needed, _) in told.items() if needed} == set(columns.needed)
    assert set(told) == {*columns.needed, *columns.optional}


def test_the_examples_of_all_columns_are_read_without_fault(tmp_path: Path) -> None:
    """Each file with one row of them."""
    write_folder(
        tmp_path, history_csv=None, season_toml=SEASON.replace('"house"', '"frame"')
    )
    for file, told in columns_told().items():
        row = ",".join(f'"{example}"' for _, example in told.values())
        text = f"{','.join(told)}\n{row}\n"
        (tmp_path / file).write_text(text, encoding="utf-8")
    read_season(tmp_path)


def test_every_key_of_plan_json_is_told() -> None:
    names = {field.name for kind in PLAN_PARTS for field in fields(kind)}
    missing = [name for name in names if f"`{name}`" not in README]
    assert not missing
