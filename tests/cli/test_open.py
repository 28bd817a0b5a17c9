"""``propsched open``, and a folder in its place."""

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner
from tui_season import write_garden

from propsched.cli.main import cli
from propsched.errors import ExitCode

DAY = ["--today", "2027-03-06"]


@pytest.mark.parametrize("command", [["open"], []])
def test_without_a_terminal_it_is_a_plain_dialogue(
    command: list[str], tmp_path: Path
) -> None:
    folder = write_garden_in(tmp_path)
    run = CliRunner().invoke(cli, [*command, str(folder), *DAY], input="4\nq\n")
    assert run.exit_code == ExitCode.DONE
    assert "Spring garden (invented) · Sat 6 Mar · no plan yet" in run.output
    assert "There is no plan yet: p makes one." in run.output
    assert "\x1b" not in run.output


def test_a_folder_without_a_season_says_how_to_begin_one(tmp_path: Path) -> None:
    run = CliRunner().invoke(cli, ["open", str(tmp_path)])
    assert run.exit_code == ExitCode.BAD_INPUT
    assert f"begin a season with: propsched new {tmp_path}" in run.output


def test_what_is_no_folder_is_no_command() -> None:
    run = CliRunner().invoke(cli, ["nowhere-at-all"])
    assert run.exit_code == ExitCode.BAD_INPUT
    assert "No such command" in run.output


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_on_a_terminal_it_is_drawn_and_q_leaves(tmp_path: Path) -> None:
    folder = write_garden_in(tmp_path)
    drawn, code = on_a_terminal([str(folder), *DAY], until="propagator", then=b"q")
    assert "Spring garden" in drawn
    assert code == ExitCode.DONE


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_a_dumb_terminal_gets_plain_lines(tmp_path: Path) -> None:
    folder = write_garden_in(tmp_path)
    drawn, code = on_a_terminal(
        [str(folder), *DAY], until="q: leave", then=b"q\n", term="dumb"
    )
    assert "\x1b" not in drawn
    assert code == ExitCode.DONE


def write_garden_in(tmp_path: Path) -> Path:
    return write_garden(tmp_path / "garden")


def on_a_terminal(
    arguments: list[str], *, until: str, then: bytes, term: str = "xterm-256color"
) -> tuple[str, int]:
    """Run the command on a terminal of its own; what it drew, and its exit code."""
    ours, theirs = pty.openpty()
    env = {**os.environ, "TERM": term, "LINES": "24", "COLUMNS": "80"}
    process = subprocess.Popen(
        [sys.executable, "-m", "propsched", *arguments],
        stdin=theirs, stdout=theirs, stderr=theirs, env=env, close_fds=True,
    )  # fmt: skip
    os.close(theirs)
    drawn, sent, end = b"", False, time.monotonic() + 60
    while time.monotonic() < end:
        if select.select([ours], [], [], 0.05)[0]:
            try:
                drawn += os.read(ours, 65536)
            except OSError:  # it has closed its side
                break
        if not sent and until.encode() in drawn:
            os.write(ours, then)
            sent = True
    code = process.wait(10)
    os.close(ours)
    return drawn.decode(errors="replace"), code
