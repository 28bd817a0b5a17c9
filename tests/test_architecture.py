"""The shape of the tree: module length, and what loading a module drags in."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted((ROOT / "propsched").rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_module_is_short(path: Path) -> None:
    """A module says one thing, in under 350 lines."""
    assert len(path.read_text(encoding="utf-8").splitlines()) < 350


def loaded_by(code: str) -> set[str]:
    run = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"],
        text=True,
        capture_output=True,
        check=True,
        cwd=ROOT,
    )
    return set(run.stdout.split())


CHECKER = sorted((ROOT / "propsched" / "optimise").glob("check*.py"))


@pytest.mark.parametrize("path", CHECKER, ids=lambda p: p.name)
def test_the_checker_shares_the_tables_alone(path: Path) -> None:
    """Of the project it imports the tables and its own parts, nothing else."""
    assert len(CHECKER) >= 4
    lines = path.read_text(encoding="utf-8").splitlines()
    taken = [line.split()[1] for line in lines if line.startswith("from propsched")]
    own = {f"propsched.optimise.{other.stem}" for other in CHECKER}
    assert set(taken) <= own | {
        "propsched.optimise.problem",
        "propsched.optimise.solution",
    }


HEAVY = {
    "pandas",
    "numpy",
    "ortools",
    "highspy",
    "textual",
    "matplotlib",
    "pydantic",
    "scipy",
}


@pytest.mark.parametrize("module", ["propsched.domain.season", "propsched.errors"])
def test_words_load_nothing_heavy(module: str) -> None:
    """The domain is plain Python."""
    assert not loaded_by(f"import {module}") & HEAVY


def test_services_do_not_load_the_screen() -> None:
    """The planner runs without the terminal app or a plotting library."""
    assert not loaded_by("import propsched.service.planner") & {"textual", "matplotlib"}


def test_old_solver_spelling_is_not_used() -> None:
    """OR-Tools' snake_case is the API; the old names are silently kept there."""
    old = (".Add(", ".NewIntVar(", ".NewBoolVar(", ".Solve(", ".AddHint(")
    for path in (ROOT / "propsched" / "optimise").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not [name for name in old if name in text], path
