"""Jobs from a plan and what the daybook has as done."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from builders import make_batch, make_season, make_space

from propsched.advice.job import DUTIES, Job
from propsched.advice.jobs import jobs_between
from propsched.advice.state import BatchState, Stay
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.plan import HeatRun, HotbedRun, Placement, Plan, StandingOver
from propsched.domain.season import Probe
from propsched.domain.space import Heat, Lamp

SAT = date(2027, 2, 6)
TRAY, POT = Container(name="tray"), Container(name="9cm-pot")
LEEK = Crop(
    name="leek",
    method="seed",
    stages=(
        Needs(stage="start", container=TRAY, min_per_container=5),
        Needs(stage="seedling", container=TRAY, min_per_container=1),
        Needs(stage="pot-up", container=POT, min_per_container=0.5),
    ),
    hazard="none that bites",
)
SEASON = make_season(
    spaces=(
        make_space(id="propagator", kind="propagator"),
        make_space(id="bench", kind="heated-bench", heat=Heat(set_c=18, w_per_m2=100)),
        make_space(id="frame", kind="cold-frame", night_mat=True),
        make_space(id="pond", kind="check-point", area_m2=0.0),
    ),
    probes=(Probe(id="stem"),),
)


def stop(stage: str, space: str, start: int, end: int, **over: Any) -> Placement:
    """Days count from the first Saturday."""
    return Placement(
        **{
            "batch": "leek-1",
            "crop": "leek",
            "method": "seed",
            "stage": stage,
            "space": space,
            "start": SAT + timedelta(days=start),
            "end": SAT + timedelta(days=end),
            "end_latest": SAT + timedelta(days=end),
            "root_mean_c": 15.0,
            "area_m2": 0.1,
            "containers": 2,
            "container": "tray",
            **over,
        }
    )


ROUTE = (
    stop("start", "propagator", 0, 9),
    stop("seedling", "bench", 9, 28),
    stop("pot-up", "frame", 28, 56, containers=60, container="9cm-pot"),
)


def plan(*placements: Placement, **over: Any) -> Plan:
    return Plan(
        **{
            "season": "invented",
            "today": SAT,
            "status": "optimal",
            "worth": 3.0,
            "bound": 3.0,
            "gap": 0.0,
            "terms": {},
            "placements": placements,
            "batches": (),
            "not_placed": (),
            "standing_over": (),
            "heat": (),
            "hotbeds": (),
            "scarce": (),
            "cautions": (),
            **over,
        }
    )


def state(stage: str, index: int, space: str, **over: Any) -> dict[str, BatchState]:
    return {
        "leek-1": BatchState(
            batch="leek-1",
            stage=stage,
            stage_index=index,
            space=space,
            since=SAT,
            here_since=SAT,
            **over,
        )
    }


def jobs(the_plan: Plan, first: int = 0, days: int = 14, **over: Any) -> list[Job]:
    day = SAT + timedelta(days=first)
    crops = {"leek-1": LEEK}
    return list(jobs_between(the_plan, SEASON, crops, first=day, days=days, **over))


def of_kind(found: list[Job], kind: str) -> list[Job]:
    return [j for j in found if j.kind == kind]


def test_a_start_has_its_count_containers_minutes_and_hazard() -> None:
    (job,) = of_kind(jobs(plan(*ROUTE), sown={"leek-1": 90}), "sow")
    assert (
        job.date, job.count, job.containers, job.container, job.minutes,
    ) == (SAT, 90, 2, "tray", 10.0)  # fmt: skip
    assert job.what == "Sow leek: 90 in 2 × tray → propagator"
    assert job.caution == "none that bites"


def test_a_batch_gives_its_variety_and_the_number_sown() -> None:
    batch = make_batch(id="leek-1", variety="Long White", sown=80)
    (job,) = of_kind(jobs(plan(*ROUTE), batches=[batch]), "sow")
    assert job.what == "Sow leek Long White: 80 in 2 × tray → propagator"
    assert job.count == 80
    (job,) = of_kind(jobs(plan(*ROUTE), batches=[batch], sown={"leek-1": 90}), "sow")
    assert job.count == 90


def test_a_move_waits_for_the_seedlings() -> None:
    (job,) = of_kind(jobs(plan(*ROUTE)), "move")
    assert SAT + timedelta(days=9) == job.date
    assert (job.from_space, job.space) == ("propagator", "bench")
    assert "once the seedlings show" in job.what


def test_potting_up_and_planting_out() -> None:
    found = jobs(plan(*ROUTE), days=60)
    (pot,) = of_kind(found, "pot up")
    (out,) = of_kind(found, "plant out")
    assert pot.what == "Pot up leek: 60 × 9cm-pot → frame"
    assert pot.minutes == 30.0
    assert SAT + timedelta(days=56) == out.date


def test_the_last_day_asked_for_is_the_day_before_the_end() -> None:
    assert of_kind(jobs(plan(*ROUTE), days=9), "move") == []
    assert len(of_kind(jobs(plan(*ROUTE), days=10), "move")) == 1


def test_a_growing_step_in_the_same_space_is_no_job() -> None:
    still = plan(stop("start", "bench", 0, 9), stop("seedling", "bench", 9, 28))
    assert of_kind(jobs(still), "move") == []


def test_the_verb_follows_the_method() -> None:
    def kind(method: str) -> str:
        return jobs(plan(stop("start", "bench", 0, 9, method=method)))[0].kind

    assert [kind(m) for m in ("seed", "hardwood", "root", "division", "tuber")] == [
        "sow",
        "strike",
        "strike",
        "divide",
        "start",
    ]


def test_what_the_daybook_has_as_done_is_left_out() -> None:
    there = jobs(plan(*ROUTE), states=state("start", 0, "propagator"))
    beyond = jobs(plan(*ROUTE), states=state("seedling", 1, "bench"))
    assert of_kind(there, "sow") == []
    assert len(of_kind(there, "move")) == 1
    assert of_kind(beyond, "sow") + of_kind(beyond, "move") == []


def test_a_batch_in_its_stage_but_elsewhere_is_still_to_be_moved() -> None:
    found = jobs(plan(*ROUTE), states=state("seedling", 1, "propagator"))
    assert len(of_kind(found, "move")) == 1


def test_a_move_in_the_middle_of_a_stage_is_a_move_and_done_once_noted() -> None:
    potted = stop("pot-up", "frame", -5, 7, containers=60, container="9cm-pot")
    goes_on = stop(
        "pot-up", "bench", 7, 30, containers=60, container="9cm-pot", moved=True
    )
    way = plan(potted, goes_on)
    found = jobs(way, states=state("pot-up", 2, "frame"))
    (move,) = of_kind(found, "move")
    assert (move.from_space, move.space, move.minutes) == ("frame", "bench", 0)
    assert move.what == "Move leek: frame → bench"
    assert not of_kind(found, "pot up")
    done = jobs(way, first=7, states=state("pot-up", 2, "bench"))
    assert not of_kind(done, "move")


def test_a_batch_that_is_to_come_back_is_moved_twice() -> None:
    """Out of a space and into it again: both moves are jobs, from where it then is."""
    away = stop("start", "bench", 3, 9, moved=True)
    back = stop("seedling", "propagator", 9, 28)
    way = plan(stop("start", "propagator", 0, 3), away, back)
    moves = of_kind(jobs(way, states=state("start", 0, "propagator")), "move")
    assert [(m.from_space, m.space) for m in moves] == [
        ("propagator", "bench"),
        ("bench", "propagator"),
    ]


def test_a_lost_or_finished_batch_has_no_jobs() -> None:
    for over in ({"lost": True}, {"done": True}):
        found = jobs(plan(*ROUTE), days=90, states=state("start", 0, "bench", **over))
        assert [j for j in found if j.batch == "leek-1"] == []


def test_what_was_due_and_is_not_noted_is_named_with_its_day() -> None:
    (job,) = of_kind(jobs(plan(*ROUTE), first=7), "sow")
    assert job.date == SAT
    assert "(was due 6 February)" in job.what


def test_a_start_stays_on_the_list_until_it_is_noted_and_nothing_after_it() -> None:
    found = [j for j in jobs(plan(*ROUTE), first=30, days=60) if j.batch]
    assert [j.kind for j in found] == ["sow"]
    assert found[0].date == SAT
    assert found[0].count is None
    noted = state("start", 0, "propagator")
    assert of_kind(jobs(plan(*ROUTE), first=30, states=noted), "sow") == []


def test_what_was_never_started_calls_for_no_duties() -> None:
    found = [j for j in jobs(plan(*ROUTE), first=3, days=60) if not j.batch]
    assert {j.kind for j in found} == {"take readings"}
    assert all(j.what.endswith("depth in pond") for j in found)


def test_a_step_after_the_start_is_let_go_after_a_fortnight() -> None:
    noted = state("start", 0, "propagator")
    assert len(of_kind(jobs(plan(*ROUTE), first=20, states=noted), "move")) == 1
    assert of_kind(jobs(plan(*ROUTE), first=24, states=noted), "move") == []


def test_without_a_daybook_what_was_due_counts_as_done() -> None:
    found = [j.kind for j in jobs(plan(*ROUTE), first=7, days=30, noted=False)]
    assert "sow" not in found
    assert "move" in found
    assert "pot up" in found
    assert "look daily" in found


def test_what_stands_over_is_not_planted_out() -> None:
    over = StandingOver(batch="leek-1", space="frame", half_by=None)
    found = jobs(plan(*ROUTE, standing_over=(over,)), days=90)
    assert of_kind(found, "plant out") == []


def test_a_bed_is_made_up_once() -> None:
    bed = plan(hotbeds=(HotbedRun(space="hotbed", make_up=SAT),))
    (job,) = of_kind(jobs(bed), "make up bed")
    assert "wash hands" in job.caution
    for days in (2, 60):
        made = {"hotbed": SAT - timedelta(days=days)}
        assert of_kind(jobs(bed, beds=made), "make up bed") == []
    last_years = {"hotbed": SAT - timedelta(days=61)}
    assert len(of_kind(jobs(bed, beds=last_years), "make up bed")) == 1


def test_heat_is_switched_on_and_off_on_its_days() -> None:
    run = HeatRun(
        space="bench", start=SAT, end=SAT + timedelta(days=10), kwh=10, cost=3
    )
    found = jobs(plan(heat=(run,)))
    assert [j.kind for j in found if "heat" in j.kind] == ["heat on", "heat off"]


def test_a_lamp_is_no_heat() -> None:
    lamp, heater = Lamp(mol_m2_d=6, w=40), Heat(set_c=18, w_per_m2=100, end=SAT)
    run = HeatRun(space="sill", start=SAT, end=SAT + timedelta(days=10), kwh=10, cost=3)

    def heat_jobs(**over: Any) -> list[tuple[str, date]]:
        season = make_season(
            spaces=(make_space(id="sill", kind="windowsill", lamp=lamp, **over),)
        )
        found = jobs_between(plan(heat=(run,)), season, {}, first=SAT)
        return [(j.kind, j.date) for j in found]

    assert heat_jobs() == []
    assert heat_jobs(heat=replace(heater, when="never")) == []
    assert heat_jobs(heat=heater) == [("heat off", SAT)]


def test_hardening_off_where_it_stands_says_what_to_do() -> None:
    crop = replace(LEEK, stages=(*LEEK.stages, Needs(stage="harden", container=POT)))

    def sentence(space: str) -> str:
        way = (*ROUTE[:2], stop("harden", space, 28, 42))
        noted = state("seedling", 1, "bench")
        found = jobs_between(
            plan(*way), SEASON, {"leek-1": crop}, first=SAT, days=30, states=noted
        )
        return of_kind(list(found), "harden off")[0].what

    assert sentence("frame") == "Harden off leek → frame"
    there = "Harden off leek where it stands: open a little more each day"
    assert sentence("bench") == there


def test_duties_are_named_only_where_something_stands() -> None:
    early = jobs(plan(*ROUTE))
    late = jobs(plan(*ROUTE), first=28, states=state("pot-up", 2, "frame"))
    (look,) = of_kind(early, "look daily")
    assert (SAT, SAT + timedelta(days=8)) == (look.date, look.until)
    assert of_kind(early, "night mat") + of_kind(early, "ventilate") == []
    assert [j.space for j in of_kind(late, "night mat")] == ["frame"]
    assert [j.space for j in of_kind(late, "ventilate")] == ["frame"]


def test_readings_are_asked_for_once_a_week_on_a_work_day() -> None:
    noted = state("start", 0, "propagator")
    found = of_kind(jobs(plan(*ROUTE), first=2, states=noted), "take readings")
    assert [date(2027, 2, 13), date(2027, 2, 20)] == [j.date for j in found]
    assert all(SEASON.is_work_day(j.date) for j in found)
    assert "pond" in found[0].what


def test_looking_stops_once_the_seedlings_are_noted() -> None:
    found = jobs(plan(*ROUTE), first=3, states=state("seedling", 1, "propagator"))
    assert of_kind(found, "look daily") == []


def test_what_should_be_up_where_it_stands_is_asked_after_until_it_is_noted() -> None:
    """Nobody lifts a hand for it, so nobody thinks of noting it."""
    here = (stop("start", "frame", 0, 9), stop("seedling", "frame", 9, 28))
    sown = state("start", 0, "frame")
    assert of_kind(jobs(plan(*here), 9, states=sown), "note") == []
    for late in (10, 40):
        (job,) = of_kind(jobs(plan(*here), late, states=sown), "note")
        assert job.date == SAT + timedelta(days=late)
        assert job.what == (
            "Look whether leek in frame is up (due 15 February) and note it with its "
            "day: propsched note SEASON emerged leek-1 --date 2027-02-15"
        )
    up = state("seedling", 1, "frame")
    assert of_kind(jobs(plan(*here), 10, states=up), "note") == []
    elsewhere = (here[0], stop("seedling", "bench", 9, 28))
    assert of_kind(jobs(plan(*elsewhere), 10, states=sown), "note") == []


def test_what_was_carried_on_is_not_sent_back_to_where_it_was_sown() -> None:
    """Moved as planned and not noted as up: there is no way back to ask for."""
    stays = (Stay("propagator", SAT), Stay("bench", SAT + timedelta(days=9)))
    on = state("start", 0, "bench", stays=stays)
    assert of_kind(jobs(plan(*ROUTE), 10, states=on), "move") == []
    begun_there = state("start", 0, "bench", stays=stays[1:])
    (back,) = of_kind(jobs(plan(*ROUTE), 5, states=begun_there), "move")
    assert (back.from_space, back.space) == ("bench", "propagator")


def test_what_is_overdue_is_marked_and_comes_first() -> None:
    other = stop("start", "bench", 7, 20, batch="leek-2")
    found = jobs(plan(*ROUTE, other), first=7)
    assert [j.overdue for j in found if j.kind == "sow"] == [True, False]
    assert found[0].batch == "leek-1"
    assert not any(j.overdue for j in jobs(plan(*ROUTE, other), first=0))


def test_of_another_span_only_its_own_days_are_named() -> None:
    """Looked at in advance, what is due until then is neither named nor overdue."""
    noted = state("start", 0, "propagator")
    ahead = jobs(plan(*ROUTE), first=14, days=28, today=SAT, states=noted)
    assert [(j.kind, j.overdue) for j in ahead if j.batch] == [("pot up", False)]
    back = jobs(plan(*ROUTE), first=0, days=7, today=SAT + timedelta(days=9))
    assert [(j.kind, j.overdue) for j in back if j.batch] == [("sow", True)]


def test_it_is_to_be_planted_out_until_that_is_noted() -> None:
    noted = state("pot-up", 2, "frame")
    (late,) = of_kind(jobs(plan(*ROUTE), first=80, days=1, states=noted), "plant out")
    assert late.overdue
    assert late.what.endswith("(was due 3 April)")
    gone = state("pot-up", 2, "frame", done=True)
    assert of_kind(jobs(plan(*ROUTE), first=80, days=1, states=gone), "plant out") == []


def test_a_job_has_compost_and_label() -> None:
    batch = make_batch(id="leek-1", variety="Long White")
    found = jobs(plan(*ROUTE), days=60, batches=[batch])
    sow, move, pot = (of_kind(found, kind)[0] for kind in ("sow", "move", "pot up"))
    assert (sow.compost, sow.compost_l) == ("seed compost", 8.0)
    assert sow.label == ("leek Long White", "leek-1, seed", "sown 6 Feb 2027")
    assert (move.compost, move.compost_l, move.label) == ("", 0.0, ())
    assert (pot.compost, pot.compost_l) == ("potting compost", 24.0)
    assert pot.label[-1] == "potted up 6 Mar 2027"


def test_what_is_sown_late_has_today_on_its_label() -> None:
    (sow,) = of_kind(jobs(plan(*ROUTE), first=7), "sow")
    assert sow.label[-1] == "sown 13 Feb 2027"


DORMANT = replace(
    LEEK,
    stages=tuple(
        Needs(stage=stage, container=TRAY)  # type: ignore[arg-type]
        for stage in ("warm", "chill", "start", "seedling")
    ),
)
LIES = (
    stop("warm", "bench", 0, 4),
    stop("chill", "frame", 4, 7),
    stop("start", "propagator", 7, 12),
)


def dormant_jobs(states: dict[str, BatchState] | None = None) -> list[str]:
    found = jobs_between(
        plan(*LIES), SEASON, {"leek-1": DORMANT}, first=SAT, states=states
    )
    return [job.what for job in found if job.batch]


def test_seed_that_lies_warm_is_brought_into_the_cold_and_out_of_it() -> None:
    assert dormant_jobs()[:3] == [
        "Sow leek: 2 × tray → bench, to lie warm",
        "Bring leek into the cold → frame",
        "Bring leek out of the cold → propagator",
    ]


def test_what_lies_warm_by_the_daybook_is_only_brought_on() -> None:
    assert dormant_jobs(state("warm", 0, "bench"))[:2] == [
        "Bring leek into the cold → frame",
        "Bring leek out of the cold → propagator",
    ]


def test_how_many_is_told_where_the_containers_do_not_tell_it() -> None:
    def sentence(number: int, **over: Any) -> str:
        way = plan(stop("start", "bench", 0, 9, **over))
        return of_kind(jobs(way, sown={"leek-1": number}), "sow")[0].what

    assert (
        sentence(8, containers=8, container="5l-pot") == "Sow leek: 8 × 5l-pot → bench"
    )
    row = sentence(300, containers=60, container="row")
    assert row == "Sow leek: 300 for 60 in the row → bench"


def test_nothing_is_asked_for_outside_the_season() -> None:
    before = jobs_between(plan(*ROUTE), SEASON, {}, first=date(2026, 8, 1), days=92)
    after = jobs_between(plan(*ROUTE), SEASON, {}, first=date(2027, 6, 1), days=60)
    assert [job.kind for job in before] == []
    assert [job.kind for job in after if job.kind in DUTIES] == []
