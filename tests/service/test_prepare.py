"""What is refused before anything is simulated."""

import errno
import tempfile
import threading
from pathlib import Path

import pytest
from folders import write_left_open

from propsched.errors import InvalidInputError
from propsched.service.events import Event
from propsched.service.planner import make_plan
from propsched.service.request import Request


def test_a_folder_that_takes_no_file_is_refused_before_the_plan_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_left_open(tmp_path / "season")

    def refuse(*asked: object, **named: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(tempfile, "TemporaryFile", refuse)
    seen: list[Event] = []
    with pytest.raises(InvalidInputError) as caught:
        make_plan(Request(folder=folder, save=True), seen.append, threading.Event())
    assert seen == []
    assert str(caught.value).startswith(
        f"{folder / 'plan.json'}: cannot be written: Read-only file system – copy"
    )
