"""The README keeps up with the program."""

import re
from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner

from propsched.cli.main import COMMANDS, cli
from propsched.domain.batch import EVENTS
from propsched.domain.container import CONTAINERS
from propsched.domain.crop import METHODS
from propsched.domain.season import Weights
from propsched.domain.space import COVERS, KINDS
from propsched.errors import ExitCode
from propsched.files.batches import BATCH_COLUMNS, EVENT_COLUMNS, PIN_COLUMNS
from propsched.files.season_toml import toml_keys
from propsched.files.series import READING_COLUMNS, WEATHER_COLUMNS
from propsched.files.table import Columns

ROOT = Path(__file__).resolve().parents[1]
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
    ("file", "columns"),
    [
        ("batches.csv", BATCH_COLUMNS),
        ("pins.csv", PIN_COLUMNS),
        ("daybook.csv", EVENT_COLUMNS),
        ("weather.csv", WEATHER_COLUMNS),
        ("readings.csv", READING_COLUMNS),
    ],
)
def test_every_column_is_told(file: str, columns: Columns) -> None:
    row = re.search(rf"^\| `{file}` \|.*$", README, flags=re.MULTILINE)
    assert row
    assert not [name for name in columns.names if f"`{name}`" not in row.group()]


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
