"""The installed command in a real terminal: opened, typed at, left (tmux)."""

import os
import re
import shlex
import shutil
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from tui_season import TODAY, garden_plan, write_garden

from propsched.files.write import write_plan

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here"),
]
ROOT = Path(__file__).resolve().parents[2]
LONGEST_S = 30.0
SCRIPT = Path(sys.executable).with_name("propsched")
COMMAND = [str(SCRIPT)] if SCRIPT.exists() else [sys.executable, "-m", "propsched"]
PAGES = {
    "s": "propagator", "w": "°C", "b": "tomato", "j": "Sat 6 Mar", "r": "border",
    "c": "warmer than", "t": "colder", "y": "ear", "x": "The files are in order",
}  # fmt: skip
"""By the key of each page a word that only stands there, or there too."""


class Terminal:
    """One pane of a server of its own, 80 by 24."""

    def __init__(self, **environment: str) -> None:
        self._socket = f"propsched-{uuid.uuid4().hex[:8]}"
        self._tmux("-f", "/dev/null", "new-session", "-d", "-x", "80", "-y", "24", "sh")
        for name, value in {
            "PYTHONPATH": str(ROOT),
            "PS1": "READY ",
            **environment,
        }.items():
            self.type(f"export {name}={shlex.quote(value)}")

    def _tmux(self, *words: str) -> str:
        run = subprocess.run(
            ["tmux", "-L", self._socket, *words], capture_output=True, text=True,
            env={**os.environ, "TERM": "xterm-256color"}, check=True,
        )  # fmt: skip
        return run.stdout

    def type(self, line: str) -> None:
        self._tmux("send-keys", "-l", line)
        self._tmux("send-keys", "Enter")

    def press(self, *keys: str) -> None:
        for key in keys:
            self._tmux("send-keys", key)
            time.sleep(0.05)  # as a hand does: escape alone is a key

    def screen(self, *, colours: bool = False) -> str:
        return self._tmux("capture-pane", "-p", *(["-e"] if colours else []))

    def wait_for(self, words: str) -> str:
        """The screen once it shows them."""
        until = time.monotonic() + LONGEST_S
        while time.monotonic() < until:
            shown = self.screen()
            if words in shown:
                return shown
            time.sleep(0.05)
        pytest.fail(f"{words!r} never came:\n{self.screen()}")

    def close(self) -> None:
        self._tmux("kill-server")


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = write_garden(tmp_path / "garden")
    write_plan(folder, garden_plan())
    return folder


def opened(terminal: Terminal, season: Path, *more: str) -> None:
    words = [*COMMAND, "open", str(season), "--today", TODAY.isoformat(), *more]
    terminal.type(f"clear; {shlex.join(words)}; echo ended with $?")


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    one = Terminal()
    yield one
    one.close()


def test_pages_open_a_reading_is_entered_a_job_ticked_and_it_is_left(
    terminal: Terminal, season: Path
) -> None:
    readings, book = season / "readings.csv", season / "daybook.csv"
    before = [path.read_text(encoding="utf-8") for path in (readings, book)]
    opened(terminal, season)
    terminal.wait_for("propagator")
    for key, word in PAGES.items():
        terminal.press(key)
        terminal.wait_for(word)
    terminal.press("r")
    shown = terminal.wait_for("frame")
    letter = re.search(r"\b([a-z])\s+frame\b", shown)
    assert letter is not None, shown
    terminal.press(letter[1], "9", ".", "7", "Enter")
    wait_for_row(readings, "frame,,9.7", before[0])
    terminal.press("j")
    terminal.wait_for("Sat 6 Mar")
    terminal.press("Space")
    terminal.wait_for("✓")
    row = wait_for_row(book, TODAY.isoformat(), before[1])
    terminal.press("u")
    wait_for_row(book, ",undone,", before[1] + row)
    terminal.press("q")
    terminal.wait_for("ended with 0")
    assert "propagator" not in terminal.screen()  # the screen that was is back


def wait_for_row(path: Path, words: str, before: str) -> str:
    """What has been added since, once the words are in it."""
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        text = path.read_text(encoding="utf-8")
        assert text.startswith(before)
        if words in text[len(before) :]:
            return text[len(before) :]
        time.sleep(0.05)
    pytest.fail(f"{words!r} never came into {path.name}: {text[len(before) :]!r}")


def test_without_colours_none_is_sent(season: Path) -> None:
    terminal = Terminal(NO_COLOR="1")
    try:
        opened(terminal, season)
        terminal.wait_for("propagator")
        sent = terminal.screen(colours=True)
        assert not re.search(r"\x1b\[[0-9;]*\b(?:3[0-7]|4[0-7]|38|48|9[0-7])\b", sent)
        terminal.press("q")
        terminal.wait_for("ended with 0")
    finally:
        terminal.close()


def test_a_dumb_terminal_gets_lines(season: Path) -> None:
    terminal = Terminal(TERM="dumb")
    try:
        opened(terminal, season)
        shown = terminal.wait_for("q: leave")
        assert "\x1b" not in terminal.screen(colours=True)
        assert "Spring garden" in shown
        terminal.type("q")
        terminal.wait_for("ended with 0")
    finally:
        terminal.close()


def test_a_fault_of_ours_ends_it_with_its_traceback_and_code_70(
    terminal: Terminal, season: Path, tmp_path: Path
) -> None:
    """In a thread that reads; the terminal is as before, and the sentence is said."""
    broken = tmp_path / "broken.py"
    broken.write_text(
        "import sys\n"
        "from propsched.cli.main import main\n"
        "from propsched.tui.backend import Backend\n"
        "def read(self):\n"
        "    raise RuntimeError('out of order')\n"
        "Backend.read = read\n"
        "sys.exit(main())\n",
        encoding="utf-8",
    )
    words = [sys.executable, str(broken), "open", str(season)]
    terminal.type(f"clear; {shlex.join(words)}; echo ended with $?")
    shown = terminal.wait_for("ended with 70")
    assert "out of order" in shown
    assert "This is a fault of propsched" in shown
