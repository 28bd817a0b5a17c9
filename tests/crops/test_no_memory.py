"""What is recalled fills the crop table where print is silent, but checks nothing."""

import ast
import csv
import re
from pathlib import Path

import pytest
from reference import response

TESTS = Path(__file__).resolve().parents[1]
RECALLED = re.compile(r"from memory|recalled|remembered", re.IGNORECASE)
CHECKS = sorted((TESTS / "crops").glob("test_*.py"))
GROUPS = (
    response.emergence,
    response.heat_sums,
    response.cuttings,
    response.tenderness,
)


def cells(name: str) -> list[dict[str, str]]:
    with (TESTS / "reference" / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("path", CHECKS, ids=lambda path: path.stem)
def test_no_check_of_the_crop_table_rests_on_memory(path: Path) -> None:
    """Arithmetic of a recalled figure may be checked, the figure by it may not."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.FunctionDef) or not node.name.startswith("test_"):
            continue
        told = ast.get_docstring(node) or ""
        if path != Path(__file__).resolve() and RECALLED.search(told):
            assert "arithmetic" in told, node.name


def test_recalled_sums_are_not_among_those_compared() -> None:
    """A recalled row of the reference table is marked so and left out."""
    rows = cells("heat_sums.csv")
    recalled = [row for row in rows if row["basis"] == "memory"]
    assert recalled
    assert not [row for row in recalled if row["usable_as_check"] == "yes"]
    sums = len(list(response.heat_sums()))
    assert sums <= sum(row["usable_as_check"] == "yes" for row in rows)


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group.__name__)
def test_every_comparison_names_a_source_that_is_not_memory(group: object) -> None:
    rows = list(group())  # type: ignore[operator]
    assert rows
    for row in rows:
        assert row.source.strip()
        assert not RECALLED.search(row.source)
        assert "memory" not in row.source
