"""What only a process of its own shows: start-up, signals, broken pipes."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ENV = {**os.environ, "PYTHONPATH": str(ROOT)}
HEAVY = (
    "pandas", "numpy", "scipy", "ortools", "textual", "rich", "matplotlib", "pydantic",
)  # fmt: skip
LONGEST_START_S = 0.3


def python(code: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        env=ENV, text=True, capture_output=True, check=False, timeout=60,
    )  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        ["--help"],
        ["--version"],
        ["plan", "--help"],
        ["where", "--help"],
        ["crops", "--help"],
    ],
)
def test_help_loads_nothing_heavy(line: list[str]) -> None:
    code = f"""
import sys
from propsched.cli.main import cli
try:
    cli({line!r})
except SystemExit as end:
    assert not end.code
print("loaded:", *[m for m in {HEAVY!r} if m in sys.modules])
"""
    result = python(code)
    assert result.stdout.splitlines()[-1].strip() == "loaded:", result.stderr


def test_help_starts_in_time() -> None:
    """Best of five, as the machine may be busy with something else."""
    spent = []
    for _ in range(5):
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "propsched", "--help"],
            env=ENV, check=True, capture_output=True,
        )  # fmt: skip
        spent.append(time.perf_counter() - began)
    assert min(spent) < LONGEST_START_S, spent


SLOW_PLANNER = """
import sys, time, types
from propsched.cli.main import main
from propsched.errors import NothingFoundError
from propsched.service.events import Improved, Step

def make_plan(request, emit, cancel):
    {found}
    emit(Step("Solving"))
    sys.stderr.flush()
    assert cancel.wait(30), "never told to stop"
    {then}

sys.modules["propsched.service.planner"] = types.SimpleNamespace(make_plan=make_plan)
sys.argv = ["propsched", "plan", "."]
main()
"""


FOUND = "emit(Improved(1.0, 2.0, 0.1))"


def interrupted(then: str, times: int, found: str = "") -> tuple[int, str]:
    """Exit code and stderr of a plan that is sent so many Ctrl-C."""
    code = SLOW_PLANNER.format(then=then, found=found)
    with subprocess.Popen(
        [sys.executable, "-c", code],
        env=ENV, text=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    ) as process:  # fmt: skip
        assert process.stderr is not None
        heard = process.stderr.readline()
        try:
            assert heard == "Solving…\n"
            for time_heard in range(times):
                process.send_signal(signal.SIGINT)
                if time_heard + 1 < times or times == 1:
                    heard += process.stderr.readline()
            heard += process.stderr.read()  # ends when the process does
            process.wait(20)
        finally:
            process.kill()
    return process.returncode, heard


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for one process")
def test_the_first_interrupt_tells_the_planner_and_waits_for_it() -> None:
    code, heard = interrupted("raise NothingFoundError('No plan yet.')", times=1)
    assert code == 130
    assert "Ctrl-C again" in heard
    assert "No plan yet." in heard


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for one process")
def test_the_second_interrupt_leaves_at_once() -> None:
    began = time.monotonic()
    code, heard = interrupted("time.sleep(30)", times=2)
    assert code == 130
    assert time.monotonic() - began < 20
    assert "Traceback" not in heard


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for one process")
def test_the_best_plan_is_promised_only_once_there_is_one() -> None:
    _, none_yet = interrupted("raise NothingFoundError('No plan yet.')", times=1)
    _, one = interrupted("raise NothingFoundError('Lost.')", times=1, found=FOUND)
    assert "best plan" not in none_yet
    assert "Stopping with the best plan so far" in one


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for one process")
def test_the_second_interrupt_waits_for_a_found_plan_to_be_saved() -> None:
    saved = "time.sleep(1); raise NothingFoundError('Saved all the same.')"
    _, heard = interrupted(saved, times=2, found=FOUND)
    assert "Saved all the same." in heard


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for one process")
def test_no_interrupt_waits_for_a_planner_that_does_not_end() -> None:
    for times in (2, 3):
        began = time.monotonic()
        code, heard = interrupted("time.sleep(60)", times=times, found=FOUND)
        assert code == 130
        assert "Interrupted." in heard
        assert time.monotonic() - began < 20


@pytest.mark.skipif(os.name == "nt", reason="needs a shell's pipe")
def test_a_reader_that_leaves_is_no_fault() -> None:
    """Both kinds of output: text of our own and of the table printer."""
    code = """
import sys, types
from propsched.service.answers import CheckAnswer
answer = CheckAnswer(lines=("x" * 70,) * 20_000)
service = types.SimpleNamespace(check=lambda folder, today: answer)
sys.modules["propsched.service.check"] = service
from propsched.cli.main import main
sys.argv = ["propsched", "check", ".", "--format", sys.argv[1]]
main()
"""
    for form in ("table", "csv"):
        with subprocess.Popen(
            [sys.executable, "-c", code, form],
            env=ENV, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        ) as process:  # fmt: skip
            assert process.stdout is not None
            assert process.stderr is not None
            process.stdout.readline()
            process.stdout.close()
            err = process.stderr.read()
        assert (process.returncode, err) == (0, ""), form
