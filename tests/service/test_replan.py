"""Planning again on the small example: what stays, what differs, what is saved."""

import json
import re
import shutil
import threading
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from propsched.domain.batch import Event as Note
from propsched.files.write import append_event, read_plan
from propsched.service.change import Change, Late, Lost, Without
from propsched.service.events import Event, Finished
from propsched.service.jobs import jobs
from propsched.service.planner import make_plan
from propsched.service.reasons import spoken
from propsched.service.replan import Replanned, replan
from propsched.service.request import Request
from propsched.service.tonight import tonight
from propsched.thermal.snap import Spell

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2027, 3, 1)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("planned") / "five"
    plans = shutil.ignore_patterns("plan*.json")
    shutil.copytree(ROOT / "examples" / "windowsill-five", folder, ignore=plans)
    make_plan(request(folder), lambda event: None, threading.Event())
    return folder


@pytest.fixture
def season(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "five"))


def request(folder: Path, **over: Any) -> Request:
    plain = {"today": TODAY, "gap": 0.0, "time_limit_s": 5.0, "winters": 6}
    return Request(folder=folder, **{**plain, **over})


def again(folder: Path, change: Change | None = None, **over: Any) -> Replanned:
    options, events = {"afresh": over.pop("afresh", False)}, list[Event]()
    answer = replan(
        request(folder, **over),
        events.append,
        threading.Event(),
        change=change or Change(),
        **options,
    )
    assert [event for event in events if isinstance(event, Finished)] == [events[-1]]
    return answer


def kinds(answer: Replanned) -> dict[str, str]:
    return {row.batch: row.kind for row in answer.differences.rows}


def test_a_plan_that_is_still_the_best_stays(season: Path) -> None:
    before = read_plan(season)
    answer = again(season)
    assert before is not None
    assert answer.differences.rows == ()
    assert answer.differences.unchanged == 5
    assert answer.near.changed_placements == 0
    assert answer.outcome.plan.terms["changes"] == 0
    assert answer.outcome.plan.worth == pytest.approx(before.worth)
    terms = answer.outcome.plan.terms
    assert sum(terms.values()) == pytest.approx(answer.outcome.plan.worth)


def test_a_snap_is_tried_without_saving(season: Path) -> None:
    """Gently changed it is worth little less than made anew, and differs less."""
    files = {p.name: p.read_bytes() for p in season.iterdir()}
    spell = Spell(first=date(2027, 3, 2), days=10, drop_k=12.0)
    answer = again(season, Change(cold=(spell,)), save=False, afresh=True)
    assert {p.name: p.read_bytes() for p in season.iterdir()} == files
    assert answer.afresh is not None
    assert answer.near.changed_placements <= answer.afresh.changed_placements
    assert answer.near.worth <= answer.afresh.worth + 1e-9
    lost = -answer.outcome.plan.terms["changes"]
    assert answer.afresh.worth - answer.near.worth <= lost + 0.1 * 14 + 1e-9
    rows = answer.differences.rows
    assert rows
    assert [row.act for row in rows] == sorted(row.act for row in rows)
    assert all(row.act >= TODAY for row in rows)
    assert any(re.search("root zone of (sill|frame)", row.reason) for row in rows)
    assert not answer.saved


def test_accepted_it_is_in_force_and_says_what_it_supposed(season: Path) -> None:
    """The leeks come a week after the day on which they were to be sown."""
    before = (season / "plan.json").read_bytes()
    plan = read_plan(season)
    assert plan is not None
    (old,) = [p for p in plan.placements if (p.batch, p.stage) == ("leek", "start")]
    first = old.start + timedelta(days=7)
    answer = again(season, Change(late=(Late(batch="leek", first=first),)))
    found = read_plan(season)
    assert found == answer.outcome.plan
    assert found is not None
    told = f"leek not to be had before {first.day} March"
    assert found.assumed == (told,)
    assert (season / "plan.previous.json").read_bytes() == before
    starts = {p.batch: p.start for p in found.placements if p.stage == "start"}
    assert starts["leek"] >= first
    (row,) = [row for row in answer.differences.rows if row.batch == "leek"]
    assert row.reason == f"not to be had before {first.day} March"
    assert answer.to_note == (f"batches.csv: available_from {first} for leek",)
    notes = jobs(season, today=TODAY).notes
    assert any(f"supposes: {told}" in note for note in notes)
    third = again(season, save=False)
    assert any(f"supposes: {told}; this one" in note for note in third.notes)
    assert not any("supposes" in note for note in answer.notes)


def test_a_plan_file_without_suppositions_reads_as_before(season: Path) -> None:
    document = json.loads((season / "plan.json").read_text(encoding="utf-8"))
    del document["assumed"]
    (season / "plan.json").write_text(json.dumps(document), encoding="utf-8")
    found = read_plan(season)
    assert found is not None
    assert found.assumed == ()


def test_lost_and_out_of_use(season: Path) -> None:
    change = Change(
        lost=(Lost(batch="leek"),),
        without=(Without(space="frame", last=date(2027, 4, 30)),),
    )
    answer = again(season, change, save=False)
    found = {row.batch: row for row in answer.differences.rows}
    assert (found["leek"].kind, found["leek"].reason) == ("given up", "all lost")
    placed = [p for p in answer.outcome.plan.placements if p.space == "frame"]
    assert all(p.start > date(2027, 4, 30) for p in placed)
    assert any(row.reason == "frame is out of use" for row in found.values())


def test_development_so_far_is_carried(season: Path) -> None:
    """Sown as planned and a week on: nothing to tell; sown late, what follows is."""
    plan = read_plan(season)
    assert plan is not None
    starts = {p.batch: p for p in plan.placements if p.stage == "start"}
    sown = starts["tomato"]
    append_event(
        season,
        Note(
            time=datetime.combine(sown.start, datetime.min.time()),
            batch="tomato",
            event="sown",
            space=sown.space,
        ),
    )
    answer = again(season, today=sown.start, save=False)
    assert "tomato" not in kinds(answer)


def test_a_daybook_that_nobody_keeps_is_told(season: Path) -> None:
    """What the plan had before today counts as not begun, and the list says so."""
    answer = again(season, today=date(2027, 3, 20), save=False, gap=0.01)
    assert any("nothing is noted in daybook.csv" in note for note in answer.notes)
    assert again(season, save=False, gap=0.01).notes == ()


def test_without_a_plan_in_force_it_is_planned_from_nothing(season: Path) -> None:
    (season / "plan.json").unlink()
    answer = again(season, afresh=True)
    assert answer.before is None
    assert answer.afresh is None
    assert answer.differences.changed_placements == len(answer.outcome.plan.placements)
    assert (season / "plan.json").exists()


def test_tonight_on_the_small_example(season: Path) -> None:
    """Mild days of March and everything indoors or under glass: nothing at risk."""
    answer = tonight(season, today=TODAY, nights=2)
    assert answer.nights == (date(2027, 3, 1), date(2027, 3, 2))
    assert all(row.probability >= 0.05 for row in answer.rows)


SIX_WEEKS_ON = date(2027, 4, 14)


def _hardens(season: Path, batch: str) -> date:
    plan = read_plan(season)
    assert plan is not None
    return next(
        p.start for p in plan.placements if p.batch == batch and p.stage == "harden"
    )


@pytest.fixture
def sown_and_left(season: Path) -> Path:
    """All was sown as planned, and nothing noted from then on."""
    plan = read_plan(season)
    assert plan is not None
    for p in plan.placements:
        if p.stage == "start":
            event: Any = "started" if p.method == "tuber" else "sown"
            at = datetime.combine(p.start, datetime.min.time())
            append_event(
                season, Note(time=at, batch=p.batch, event=event, space=p.space)
            )
    return season


def test_every_row_has_its_true_reason_where_nothing_was_noted(
    sown_and_left: Path,
) -> None:
    """Up where it was sown asks nothing; what is work was missed, and is told so."""
    due = _hardens(sown_and_left, "broad-bean")
    answer = again(sown_and_left, today=SIX_WEEKS_ON, save=False, gap=0.01)
    rows = {row.batch: row for row in answer.differences.rows}
    assert "lettuce" not in rows  # due in the frame, and growing on there
    assert rows["tomato"].reason == (
        "not noted as up yet (due 25 March): note it with propsched note SEASON "
        "emerged tomato --space sill; it stands in cupboard already, and it is not "
        "through before the season ends"
    )
    assert rows["broad-bean"].reason.startswith(
        f"not noted as hardening off yet (due {spoken(due)}): note it with"
    )
    assert (rows["potato"].kind, rows["potato"].reason) == (
        "plant out",
        "not noted as planted out: note it with propsched note SEASON planted-out "
        "potato",
    )
    (told,) = [w for w in answer.outcome.plan.warnings if "counted as so" in w]
    assert "lettuce (up by" in told
    assert "tomato" not in told


def test_what_counts_as_up_is_not_put_back_at_a_second_look(
    sown_and_left: Path,
) -> None:
    """Lettuce, on the last day before work on it is due, which would be missed."""
    first = again(sown_and_left, today=SIX_WEEKS_ON, gap=0.01)
    later = _hardens(sown_and_left, "lettuce")
    second = again(sown_and_left, today=later, save=False, gap=0.01)
    ready = [
        next(b.ready_latest for b in one.outcome.plan.batches if b.batch == "lettuce")
        for one in (first, second)
    ]
    assert ready[0] is not None
    assert ready[0] == ready[1]
    asked = [j.what for j in jobs(sown_and_left, today=later).rows if j.kind == "note"]
    assert any("emerged lettuce --date" in what for what in asked)


def test_what_is_alive_and_has_no_way_on_is_not_given_up(sown_and_left: Path) -> None:
    """So late that nothing of it can be ready: it stays, and the list says why."""
    answer = again(sown_and_left, today=date(2027, 5, 20), save=False, gap=0.01)
    rows = {row.batch: row for row in answer.differences.rows}
    assert "given up" not in kinds(answer).values()
    tomato = rows["tomato"]
    assert tomato.kind == "stays"
    assert tomato.what.startswith("stays in cupboard: no longer move to the light in")
    assert tomato.reason.startswith("not noted as up yet (due 25 March): note it with")
    assert "; it stands in cupboard already, and " in tomato.reason
    assert all(row.reason for row in rows.values())
