"""A planning run on the small example: what is written, and that it repeats."""

import json
import os
import shutil
import subprocess
import sys
import threading
from datetime import date
from pathlib import Path

import pytest

from propsched.errors import NothingFoundError, PinsImpossibleError
from propsched.files.write import read_plan
from propsched.service.events import Event, Finished, Improved, Step
from propsched.service.jobs import jobs
from propsched.service.planner import make_plan
from propsched.service.request import Request

ROOT = Path(__file__).resolve().parents[2]
TODAY = "2027-03-01"


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "five"
    shutil.copytree(ROOT / "examples" / "windowsill-five", folder)
    return folder


def run(folder: Path, **over: object) -> tuple[object, list[Event]]:
    events: list[Event] = []
    request = Request(folder=folder, today=date.fromisoformat(TODAY), **over)  # type: ignore[arg-type]
    return make_plan(request, events.append, threading.Event()), events


def test_five_batches_are_planned_to_the_optimum(season: Path) -> None:
    """Small enough to be proven best; the plan is saved and reads back the same."""
    outcome, events = run(season, gap=0.0)
    assert outcome.plan.status == "optimal"  # type: ignore[attr-defined]
    assert outcome.plan.gap == 0  # type: ignore[attr-defined]
    assert read_plan(season) == outcome.plan  # type: ignore[attr-defined]
    names = [event.name for event in events if isinstance(event, Step)]
    assert names == ["Reading", "Simulating", "Growing", "Solving", "Checking"]
    assert any(isinstance(event, Improved) for event in events)
    assert isinstance(events[-1], Finished)


def test_the_plan_before_is_kept(season: Path) -> None:
    run(season)
    first = (season / "plan.json").read_bytes()
    run(season)
    assert (season / "plan.previous.json").read_bytes() == first


def test_nothing_is_written_when_not_asked(season: Path) -> None:
    before = sorted(p.name for p in season.iterdir())
    run(season, save=False)
    assert sorted(p.name for p in season.iterdir()) == before


def test_jobs_follow_from_the_saved_plan(season: Path) -> None:
    outcome, _ = run(season)
    answer = jobs(season, today=date.fromisoformat(TODAY), days=90)
    started = {job.batch for job in answer.rows if job.kind in ("sow", "strike")}
    placed = {batch.batch for batch in outcome.plan.batches}  # type: ignore[attr-defined]
    assert started <= placed
    assert started


def test_a_stop_keeps_the_first_plan_or_writes_nothing(season: Path) -> None:
    cancel = threading.Event()
    cancel.set()
    request = Request(folder=season, today=date.fromisoformat(TODAY))
    try:
        outcome = make_plan(request, lambda event: None, cancel)
    except NothingFoundError:
        assert not (season / "plan.json").exists()
    else:  # the first plan was there at once
        assert read_plan(season) == outcome.plan


def test_pins_that_cannot_be_met_are_named(season: Path) -> None:
    """Somebody pins the leeks to a day on which their space is full of them."""
    batches = (season / "batches.csv").read_text(encoding="utf-8").splitlines()
    first = batches[1].split(",")[0]
    pins = f"batch,stage,space,start\n{first},start,,2027-05-22\n"
    (season / "pins.csv").write_text(pins, encoding="utf-8")
    with pytest.raises(PinsImpossibleError, match=first):
        run(season)


@pytest.mark.slow
def test_the_same_inputs_and_seed_give_the_same_bytes(season: Path) -> None:
    """Two fresh processes with other hash seeds write the same plan.json."""
    found = []
    for hash_seed in ("1", "2"):
        subprocess.run(
            [sys.executable, "-m", "propsched", "plan", str(season), "--reproducible",
             "--today", TODAY, "--seed", "7", "--quiet"],
            check=True,
            capture_output=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
        )  # fmt: skip
        found.append((season / "plan.json").read_bytes())
    assert found[0] == found[1]
    keys = json.loads(found[0])
    assert {"status", "worth", "bound", "gap", "terms", "placements", "batches"} <= set(
        keys
    )
    assert {"not_placed", "standing_over", "heat", "hotbeds", "scarce", "cautions"} <= (
        set(keys)
    )
