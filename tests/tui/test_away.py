"""Planning in a process of its own: the same answers, stopped, refused, and gone."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from tui_season import TODAY, write_garden

from propsched.domain.plan import Plan
from propsched.errors import InvalidInputError, PropschedError
from propsched.service.change import Change, Lost
from propsched.service.events import Event, Improved, Step
from propsched.tui import asks
from propsched.tui.away import GONE, AwayBackend
from propsched.tui.backend import Backend

LONGEST_S = 20.0


@pytest.fixture(scope="module")
def away(tmp_path_factory: pytest.TempPathFactory) -> Iterator[AwayBackend]:
    """One process for all that leaves it alive."""
    folder = tmp_path_factory.mktemp("away")
    write_garden(folder)
    backend = AwayBackend(folder, TODAY)
    yield backend
    backend.close()


def plan_of(backend: Backend, heard: list[Event] | None = None) -> Plan:
    """Of the first plan found: it need not be a good one."""
    cancel = threading.Event()

    def emit(event: Event) -> None:
        if heard is not None:
            heard.append(event)
        if isinstance(event, Improved):
            cancel.set()

    answer = backend.plan(emit, cancel, afresh=True)
    return answer.plan if hasattr(answer, "plan") else answer.outcome.plan


def process_of(backend: AwayBackend) -> subprocess.Popen[bytes]:
    assert backend._process is not None
    return backend._process


def test_it_answers_as_the_service_does(away: AwayBackend) -> None:
    own = Backend(away.folder, TODAY)
    assert away.temps() == own.temps()
    assert away.tonight() == own.tonight()


def test_a_plan_comes_with_its_steps(away: AwayBackend) -> None:
    heard: list[Event] = []
    plan = plan_of(away, heard)
    assert plan.placements
    assert plan.status == "stopped"
    steps = [event.name for event in heard if isinstance(event, Step)]
    assert steps[:2] == ["Reading", "Simulating"]
    assert not (away.folder / "plan.json").exists()  # keeping it is the app's


def test_what_is_supposed_is_tried_there(away: AwayBackend) -> None:
    change = Change(lost=(Lost(batch="tomato", count=1),))
    cancel = threading.Event()

    def emit(event: Event) -> None:
        if isinstance(event, Improved):
            cancel.set()

    answer = away.try_out(asks.TryOut(change, "1 lost"), emit, cancel)
    assert answer.outcome.plan.assumed


def test_stopped_before_there_is_a_plan_it_is_refused(away: AwayBackend) -> None:
    cancel = threading.Event()
    cancel.set()
    with pytest.raises(PropschedError, match="stopped before there was a plan"):
        away.plan(lambda event: None, cancel, afresh=True)


def test_two_calls_at_once_get_their_own_answers(away: AwayBackend) -> None:
    found: list[object] = []
    other = threading.Thread(target=lambda: found.append(away.tonight()))
    other.start()
    plan = plan_of(away)
    other.join(LONGEST_S)
    assert plan.placements
    assert len(found) == 1


def test_faults_come_with_file_and_line(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = AwayBackend(tmp_path, TODAY)
    (tmp_path / "batches.csv").write_text("batch,crop\nx,nothing\n", encoding="utf-8")
    try:
        with pytest.raises(InvalidInputError) as refused:
            plan_of(backend)
    finally:
        backend.close()
    assert refused.value.problems[0].path.endswith("batches.csv")
    assert refused.value.problems[0].line == 1


def test_a_fault_of_ours_comes_with_its_traceback(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = AwayBackend(tmp_path, TODAY)
    try:
        with pytest.raises(RuntimeError, match="has no attribute 'nothing_such'"):
            backend._ask("nothing_such")
    finally:
        backend.close()


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_when_it_is_killed_that_is_said_and_the_next_call_begins_it_anew(
    tmp_path: Path,
) -> None:
    write_garden(tmp_path)
    backend = AwayBackend(tmp_path, TODAY)

    def emit(event: Event) -> None:
        process_of(backend).send_signal(signal.SIGKILL)

    try:
        with pytest.raises(PropschedError, match=GONE):
            backend.plan(emit, threading.Event(), afresh=True)
        assert backend.tonight().nights
    finally:
        backend.close()


def test_closed_it_is_gone(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = AwayBackend(tmp_path, TODAY)
    backend.tonight()
    process = process_of(backend)
    backend.close()
    assert process.wait(LONGEST_S) != 0


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_it_ends_with_an_app_that_is_killed(tmp_path: Path) -> None:
    """It lives as long as the pipe to it."""
    write_garden(tmp_path)
    lines = (
        "import sys, time; from datetime import date; from pathlib import Path\n"
        "from propsched.tui.away import AwayBackend\n"
        f"one = AwayBackend(Path({str(tmp_path)!r}), date.fromisoformat('{TODAY}'))\n"
        "one.tonight(); print(one._process.pid, flush=True); time.sleep(60)\n"
    )
    app = subprocess.Popen([sys.executable, "-c", lines], stdout=subprocess.PIPE)
    assert app.stdout is not None
    number = int(app.stdout.readline())
    app.kill()
    app.wait()
    app.stdout.close()
    until = time.monotonic() + LONGEST_S
    while _alive(number) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _alive(number)


def _alive(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{number}/stat")  # a zombie that nobody fetched is gone too
    return not (stat.exists() and stat.read_text().rpartition(")")[2].split()[0] == "Z")


def test_today_may_be_left_to_the_clock(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = AwayBackend(tmp_path, None)
    try:
        assert isinstance(backend.tonight().today, date)
    finally:
        backend.close()
