"""What the daybook says governs the plan: hand-made tables, one daybook each."""

from datetime import date, datetime

import numpy as np
import pytest
from builders import make_batch, make_season, make_space

from propsched.advice.state import BatchState, Stay, standing
from propsched.biology.growth import NOT_THROUGH, StageGrowth
from propsched.domain.batch import Event
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.quantities import Horizon
from propsched.domain.space import Variant
from propsched.optimise.problem import PPM, Problem
from propsched.optimise.solve import solve
from propsched.service.assemble import build_problem
from propsched.service.ground import Ground
from propsched.service.raised import Raised, raised
from propsched.service.stands import leave_standing, make_room
from propsched.service.underway import through
from propsched.service.written import Written, batches, placements, standing_over
from propsched.thermal.rootzone import RootZone

BEFORE, DAYS, AFTER = 30, 60, 20
N = BEFORE + DAYS + AFTER
START = date(2027, 3, 1)
TRAY = Container(name="tray")


def leek(**over: object) -> Crop:
    stages = tuple(Needs(stage=s, container=TRAY, wait_d=30) for s in ("start", "grow"))
    plain: dict[str, object] = {"name": "leek", "method": "seed", "stages": stages}
    return Crop(**{**plain, **over})  # type: ignore[arg-type]


def season(**over: object):  # type: ignore[no-untyped-def]
    plain: dict[str, object] = {
        "start": START,
        "end": date(2027, 4, 29),
        "spaces": (make_space(id="sill"), make_space(id="frame")),
    }
    return make_season(**{**plain, **over})


def ground(today: date, **over: object) -> Ground:
    one = season(**over)
    hours = np.full((2, 1, 24 * N), 10.0, dtype=np.float32)
    zone = RootZone(
        variants=tuple(Variant(space) for space in one.spaces),
        horizon=Horizon(date(2027, 1, 30), N),
        winters=("a",),
        root_c=hours,
        air_c=hours,
        light_mol=hours[:, :, :N],
        kwh=np.zeros((2, 1, N), dtype=np.float32),
        outdoor_c=hours[0],
    )
    return Ground(season=one, zone=zone, offset=BEFORE, today=today)


def growth(stage: str, days: tuple[int, int], over: float = np.nan) -> StageGrowth:
    """So many days in the sill and in the frame, whatever the day of the start."""
    length = np.repeat(np.array(days, dtype=np.int16)[:, None], N, axis=1)
    return StageGrowth(
        stage=stage,
        median=np.where(length < NOT_THROUGH, length - 2, length).astype(np.int16),
        booked=length,
        success=np.ones((2, N), dtype=np.float32),
        over_success=np.full((2, N), over, dtype=np.float32),
        why=np.zeros((2, N), dtype=np.uint8),
    )


def event(day: str, name: str, space: str = "", count: int | None = None) -> Event:
    return Event(
        time=datetime.fromisoformat(f"{day} 10:00"),
        batch="leek",
        event=name,  # type: ignore[arg-type]
        space=space,
        count=count,
    )


def world(
    *daybook: Event,
    today: str,
    start: tuple[int, int] = (20, 10),
    crop: Crop | None = None,
    over: float = np.nan,
    **seasons: object,
) -> tuple[Problem, Written, dict[str, BatchState], Raised]:
    """The problem of one batch and what is needed to write its plan out."""
    where = ground(date.fromisoformat(today), **seasons)
    one = raised(make_batch(wanted=60, wanted_by=date(2027, 4, 20)), crop or leek())
    states = standing(daybook, where.season, {"leek": one.crop})
    grown = {one.profile: (growth("start", start, over), growth("grow", (20, 15)))}
    grown[one.profile] = grown[one.profile][: len(one.crop.stages)]
    problem = build_problem((one,), states, {}, grown, where, {"leek": 0})
    problem, _ = make_room(problem, where.season)
    solution = solve(problem, time_limit_s=5)
    out = Written(
        ground=where,
        problem=problem,
        solution=solution,
        raised=(one,),
        growths=grown,
        states=states,
    )
    return problem, out, states, one


def test_what_was_sown_before_the_season_counts_from_its_day() -> None:
    """Sown 20 February in the sill, booked 20 days: through on 12 March, a Friday."""
    _, out, _, _ = world(event("2027-02-20", "sown", "sill", 60), today="2027-03-02")
    first = placements(out)[0]
    assert first.start == START
    assert first.end == date(2027, 3, 13)


def test_what_is_overdue_can_go_on_from_today() -> None:
    """Booked to be through on 12 March and not noted: not before today, the 20th."""
    _, out, _, _ = world(event("2027-02-20", "sown", "sill", 60), today="2027-03-20")
    assert placements(out)[0].end == date(2027, 3, 20)
    told = batches(out, {})[0]
    assert told.ready is not None
    assert told.ready >= date(2027, 3, 20)


def test_losses_after_the_start_lower_what_is_expected() -> None:
    """60 came up, 40 were lost: 20 of 60 plants, a third of the worth."""
    book = (
        event("2027-03-01", "sown", "sill", 60),
        event("2027-03-10", "emerged", "sill", 60),
        event("2027-03-12", "lost", "", 40),
    )
    problem, out, _, _ = world(*book, today="2027-03-14")
    assert batches(out, {})[0].plants_expected == pytest.approx(20, abs=0.1)
    assert problem.tasks[0].share[1] == round(PPM / 3)
    assert placements(out)[0].containers == 1


def test_losses_of_seed_lower_what_comes_up() -> None:
    """Half of the sown seed lost before emergence: half the plants."""
    book = (
        event("2027-03-01", "sown", "sill", 60),
        event("2027-03-04", "lost", "", 30),
    )
    _, out, _, _ = world(*book, today="2027-03-05")
    assert batches(out, {})[0].plants_expected == pytest.approx(30, abs=0.1)


def test_what_stands_over_is_told_from_its_real_start() -> None:
    """Struck 10 February, half through after 58 days of 60: 9 April."""
    crop = leek(
        method="hardwood",
        stages=(Needs(stage="start", container=Container(name="row")),),
        stands_over=True,
    )
    _, out, _, _ = world(
        event("2027-02-10", "struck", "sill", 60),
        today="2027-03-05",
        start=(60, 60),
        crop=crop,
        over=1.0,
        spaces=(make_space(id="sill", area_m2=9.0), make_space(id="frame")),
    )
    assert standing_over(out)[0].half_by == date(2027, 4, 9)


def test_work_already_done_is_not_asked_again() -> None:
    """Ten trays take 20 minutes of a day that has 5: they were sown all the same."""
    work = make_season().work
    busy = type(work)(days=("sat", "sun"), minutes_per_day=5)
    _, out, _, _ = world(
        event("2027-03-06", "sown", "sill", 600), today="2027-03-08", work=busy
    )
    assert placements(out)[0].space == "sill"


def test_a_space_may_hold_more_than_its_area_if_it_does() -> None:
    """Nine trays on half a square metre, because the daybook says so."""
    small = (make_space(id="sill", area_m2=0.05), make_space(id="frame", area_m2=0.2))
    where = ground(date(2027, 3, 8), spaces=small)
    one = raised(make_batch(wanted=60), leek())
    states = standing(
        (event("2027-03-06", "sown", "sill", 60),), where.season, {"leek": one.crop}
    )
    grown = {one.profile: (growth("start", (20, 10)), growth("grow", (20, 15)))}
    plain = build_problem((one,), states, {}, grown, where, {"leek": 0})
    roomy, told = make_room(plain, where.season)
    assert "sill holds 0.04 m² more than its area until" in told[0]
    assert (roomy.capacity >= plain.capacity).all()
    assert solve(roomy, time_limit_s=5).routes
    # what can leave today is no trouble any more
    late = make_room(plain, where.season, today=40)
    assert late[1] == ()
    assert (late[0].capacity == roomy.capacity).all()


def test_what_was_begun_in_its_place_is_read_on_the_day_its_stage_began() -> None:
    """Chilled on the sill from February, brought on there in March: half come."""
    where = ground(date(2027, 3, 20))
    one = raised(make_batch(wanted=60), leek())
    state = BatchState(
        batch="leek", stage="start", stage_index=0, space="sill",
        since=date(2027, 3, 11), here_since=date(2027, 3, 2),
        stays=(Stay("sill", date(2027, 3, 11)),),
    )  # fmt: skip
    grown = growth("start", (20, 20))
    grown.success[:, BEFORE + 10 :] = 0.5
    problem = build_problem(
        (one,),
        {"leek": state},
        {},
        {one.profile: (grown, growth("grow", (9, 9)))},
        where,
        {"leek": 0},
    )
    (pin,) = problem.tasks[0].pins
    assert (pin.start, pin.length) == (10, 20)
    table = problem.stages(problem.tasks[0])[0]
    assert table.success[0, pin.start] == PPM // 2


def test_what_finds_no_way_on_is_left_standing() -> None:
    """Through too late for its next stage: its room is kept, nothing is expected."""
    where = ground(date(2027, 4, 24))
    one = raised(make_batch(wanted=60), leek())
    book = (event("2027-04-20", "sown", "sill", 60),)
    states = standing(book, where.season, {"leek": one.crop})
    grown = {one.profile: (growth("start", (5, 5)), growth("grow", (40, 40)))}
    problem = build_problem((one,), states, {}, grown, where, {"leek": 0})
    free = leave_standing(problem, [0])
    route = solve(free, time_limit_s=5).routes[0]
    assert route.over
    assert route.stops[-1].end == problem.days
    assert leave_standing(free, [0]) is free


def test_partly_grown_elsewhere_is_through_sooner_than_from_new() -> None:
    """Without hourly warmth the present space's tables are counted from the start."""
    book = (
        event("2027-03-01", "sown", "frame", 60),
        event("2027-03-06", "moved", "sill"),
    )
    _, out, states, one = world(*book, today="2027-03-07")
    state = states["leek"]
    grown = out.growths[one.profile][0]
    day = through(one, state, grown, out.ground, quantile=0.8)
    assert day == 20
    assert placements(out)[0].start == date(2027, 3, 6)
