"""The live line of a plan in the making."""

import sys
from io import StringIO

import pytest

from propsched.cli.progress import improved_text, progress
from propsched.service.events import Improved, Step

NARROWEST = 80
SPINNER_AND_CLOCK = 10


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def test_the_line_fits_the_narrowest_terminal() -> None:
    text = improved_text(Improved(worth=100.0, bound=187.0, elapsed_s=3.0))
    assert "within 46.6 %" in text
    assert len(text) <= NARROWEST - SPINNER_AND_CLOCK


def test_a_terminal_gets_one_live_line(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with progress(quiet=False) as emit:
        emit(Step("Simulating"))
        emit(Improved(worth=1.0, bound=1.0, elapsed_s=3.0))
    assert "within 0.0 %" in terminal.getvalue()
    assert "Simulating…\n" not in terminal.getvalue()


def test_quiet_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with progress(quiet=True) as emit:
        emit(Step("Simulating"))
    assert terminal.getvalue() == ""
