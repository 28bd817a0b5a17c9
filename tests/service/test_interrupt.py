"""Ctrl-C while the real planner works."""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from propsched.errors import ExitCode
from propsched.files.write import read_plan

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.slow


def planning(season: Path) -> subprocess.Popen[str]:
    """The command at work on a copy of the walled garden."""
    shutil.copytree(ROOT / "examples" / "walled-garden", season)
    return subprocess.Popen(
        [sys.executable, "-m", "propsched", "plan", str(season), "--gap", "0",
         "--time-limit", "120", "--today", "2026-11-15"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )  # fmt: skip


@pytest.mark.skipif(os.name != "posix", reason="signals are sent the POSIX way")
def test_ctrl_c_while_simulating_ends_soon_with_nothing_saved(tmp_path: Path) -> None:
    """Between two steps at the latest; no plan is promised where there is none."""
    season = tmp_path / "garden"
    run = planning(season)
    assert run.stderr is not None
    for line in run.stderr:
        if "Simulating" in line:
            break
    stopped = time.monotonic()
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert run.returncode == ExitCode.INTERRUPTED, err
    assert time.monotonic() - stopped < 15
    assert out == ""
    assert "Solving" not in err
    assert "best plan so far" not in err
    assert not (season / "plan.json").exists()


@pytest.mark.skipif(os.name != "posix", reason="signals are sent the POSIX way")
def test_ctrl_c_while_solving_keeps_the_best_plan(tmp_path: Path) -> None:
    """The best plan so far is saved and printed, and the exit code says so."""
    season = tmp_path / "garden"
    run = planning(season)
    assert run.stderr is not None
    for line in run.stderr:
        if "Solving" in line:
            break
    time.sleep(4)  # past the first plan
    stopped = time.monotonic()
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert run.returncode == ExitCode.STOPPED, err
    assert time.monotonic() - stopped < 30
    assert "batches placed" in out
    plan = read_plan(season)
    assert plan is not None
    assert plan.status == "stopped"
