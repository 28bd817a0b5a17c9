"""A small season in which all that can be is left to the plan, from files to plan."""

import threading
from datetime import date, timedelta
from pathlib import Path

import pytest
from folders import LEFT_OPEN, write_left_open

from propsched.domain.plan import Plan, ways
from propsched.files.write import read_plan
from propsched.service.events import Outcome
from propsched.service.jobs import jobs
from propsched.service.planner import make_plan
from propsched.service.request import Request

TODAY = date(2027, 1, 5)
FIXED = (
    LEFT_OPEN.replace('when = "by-week"', 'when = "always"')
    .replace("make_up = [2027-02-06, 2027-03-06]", "make_up = 2027-02-06")
    .replace('covers = ["fleece", "mat"]\n', "")
)


def planned(folder: Path, limit_s: float = 10, **texts: str) -> Outcome:
    write_left_open(folder, **texts)
    request = Request(
        folder=folder, today=TODAY, time_limit_s=limit_s, gap=0.02, winters=6
    )
    return make_plan(request, lambda event: None, threading.Event())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("open")


@pytest.fixture(scope="module")
def plan(folder: Path) -> Plan:
    return planned(folder).plan


def test_it_is_planned_checked_and_read_back(plan: Plan, folder: Path) -> None:
    assert plan.gap <= 0.02
    assert read_plan(folder) == plan
    assert sum(plan.terms.values()) == pytest.approx(plan.worth)
    assert len(plan.batches) == 6


def test_leaving_it_open_is_worth_at_least_as_much(plan: Plan, tmp_path: Path) -> None:
    """Heat always on, the bed on its first day, no covers: one of the open plans."""
    fixed = planned(tmp_path, season_toml=FIXED).plan
    assert fixed.worth <= plan.bound
    assert fixed.worth < plan.worth
    saved = sum(run.cost for run in fixed.heat) - sum(run.cost for run in plan.heat)
    assert saved > 1.0
    offered = 'leave it to the plan with when = "by-week" in its heat'
    (idle,) = [told for told in fixed.warnings if "with nothing on it" in told]
    assert idle.startswith("box is heated for ")
    assert idle.endswith(offered)
    assert not any(offered in told for told in plan.warnings)


def test_what_stands_under_heat_stands_in_weeks_that_are_on(plan: Plan) -> None:
    on = {
        run.start + timedelta(days=n)
        for run in plan.heat
        for n in range((run.end - run.start).days + 1)
    }
    box = [p for p in plan.placements if p.space == "box"]
    assert any(p.variant == "heat on" for p in box)
    for p in box:
        days = {p.start + timedelta(days=n) for n in range((p.end - p.start).days)}
        if p.variant == "heat on":
            assert days <= on
        else:
            assert p.variant == "heat off"
            assert days.isdisjoint(on)
    assert all(run.start == TODAY or run.start.weekday() == 5 for run in plan.heat)


def test_batches_bear_the_heat_of_the_days_they_stand_there(plan: Plan) -> None:
    spent = sum(run.cost for run in plan.heat)
    borne = {one.batch: one.cost for one in plan.batches}
    assert 0 < sum(borne.values()) <= spent + 0.01 * len(borne)
    under = {p.batch for p in plan.placements if p.variant == "heat on"}
    assert under == {name for name, cost in borne.items() if cost > 0}


def test_nothing_stands_in_the_bed_before_it_is_made_up(plan: Plan) -> None:
    (bed,) = plan.hotbeds
    assert bed.make_up in (date(2027, 2, 6), date(2027, 3, 6))
    stays = [p for p in plan.placements if p.space == "bed"]
    assert stays
    assert all(p.start > bed.make_up for p in stays)
    name = f"made up 6 {bed.make_up:%B}"
    assert {p.variant for p in stays} == {name}


def test_the_second_sowing_comes_eleven_days_after_the_first(plan: Plan) -> None:
    first, second = (
        min(p.start for p in plan.placements if p.batch == name)
        for name in ("salad-1", "salad-2")
    )
    assert (second - first).days >= 11


def test_jobs_switch_the_heat_and_make_up_the_bed(plan: Plan, folder: Path) -> None:
    rows = jobs(folder, today=TODAY, days=150).rows
    on = [j.date for j in rows if j.kind == "heat on"]
    off = [j.date for j in rows if j.kind == "heat off"]
    assert on == [run.start for run in plan.heat]
    assert off == [run.end + timedelta(days=1) for run in plan.heat]
    assert [j.date for j in rows if j.kind == "make up bed"] == [
        bed.make_up for bed in plan.hotbeds
    ]


def test_without_manure_the_bed_is_left_out(tmp_path: Path) -> None:
    """It takes 0.36 m³: 0.6 m² by 60 cm."""
    text = LEFT_OPEN.replace("manure_m3 = 0.6", "manure_m3 = 0.3")
    plan = planned(tmp_path, season_toml=text).plan
    assert plan.hotbeds == ()
    assert not [p for p in plan.placements if p.space == "bed"]
    assert any("bed is not made up" in line for line in plan.warnings)


def test_a_batch_larger_than_any_space_is_raised_in_halves(tmp_path: Path) -> None:
    """Pricked out it fills more trays than frame or bed hold; half of it does not."""
    batches = (
        "batch,crop,method,wanted,available_from,wanted_by,priority,repeat,split\n"
        "bedding,lobelia,seed,480,2027-02-01,2027-05-25,5,,yes\n"
        "salad,lettuce,seed,12,2027-04-01,,1,every 21 days × 2,\n"
    )
    small = LEFT_OPEN.replace("area_m2 = 2.0", "area_m2 = 0.45")
    small = small.replace('covers = ["fleece", "mat"]\n', "")
    plan = planned(tmp_path, 1.5, season_toml=small, batches_csv=batches).plan
    told = next(one for one in plan.batches if one.batch == "bedding")
    assert len(ways(plan.placements)["bedding"]) == 2
    assert told.wanted == 480
    most = max(p.containers for p in plan.placements)
    assert most <= 8
    assert told.plants_expected > 240
