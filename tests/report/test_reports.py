"""Reports at fixed widths against files kept beside this one."""

import os
import re
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from builders import make_season, make_space
from rich.console import Console, RenderableType

from propsched.advice.day_work import DayWork
from propsched.advice.job import Job
from propsched.domain.plan import (
    BatchPlan,
    HeatRun,
    HotbedRun,
    NotPlaced,
    Placement,
    Plan,
    Scarce,
    StandingOver,
)
from propsched.domain.season import HeatPrice
from propsched.report.answers import (
    check_report,
    temps_report,
    where_report,
)
from propsched.report.jobs import jobs_report
from propsched.report.layout import Trimmed
from propsched.report.tables import headline, plan_report
from propsched.report.timeline import Axis, timeline
from propsched.service.answers import (
    CheckAnswer,
    JobsAnswer,
    TempsAnswer,
    TempsRow,
    WhereAnswer,
    WhereRow,
)

GOLDEN = Path(__file__).parent / "golden"
SEASON = make_season(
    spaces=(
        make_space(id="propagator", kind="propagator", area_m2=0.3),
        make_space(id="bench", kind="heated-bench", area_m2=1.2),
        make_space(id="cold-frame", kind="cold-frame", area_m2=2.2),
        make_space(id="screen", kind="check-point", area_m2=0.0),
    ),
    heat=HeatPrice(price_per_kwh=0.3, currency="£"),
)
DAYS = SEASON.horizon.days


def printed(report: RenderableType, width: int) -> str:
    out = StringIO()
    console = Console(
        file=out,
        width=width,
        color_system=None,
        force_terminal=False,
        legacy_windows=False,
        highlight=False,
        markup=False,
        emoji=False,
    )
    console.print(Trimmed(report), end="")
    return out.getvalue()


def agrees(name: str, text: str) -> None:
    """Compare, or with PROPSCHED_GOLDEN=write renew, a golden file."""
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("PROPSCHED_GOLDEN") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text


def stop(batch: str, stage: str, space: str, start: date, end: date) -> Placement:
    return Placement(
        batch=batch, crop=batch.rstrip("-123"), method="seed", stage=stage,
        space=space, start=start, end=end, end_latest=end, root_mean_c=17.5,
        area_m2=0.18, containers=2, container="tray",
    )  # fmt: skip


def the_plan(**over: Any) -> Plan:
    placements = (
        stop("leek", "start", "propagator", date(2027, 2, 6), date(2027, 2, 20)),
        stop("leek", "seedling", "bench", date(2027, 2, 20), date(2027, 4, 3)),
        stop("leek", "harden", "cold-frame", date(2027, 4, 3), date(2027, 4, 24)),
        stop("holly", "start", "cold-frame", date(2026, 11, 7), date(2027, 6, 1)),
    )
    plain: dict[str, Any] = {
        "season": "invented",
        "today": date(2026, 11, 1),
        "status": "within gap",
        "worth": 7.4,
        "bound": 7.407,
        "gap": 0.00095,
        "terms": {},
        "placements": placements,
        "batches": (
            BatchPlan(
                batch="leek", ready=date(2027, 4, 17), ready_latest=date(2027, 4, 24),
                wanted_by=date(2027, 4, 20), plants_expected=57.6, cost=2.1,
            ),
            BatchPlan(
                batch="holly", ready=None, ready_latest=None, wanted_by=None,
                plants_expected=40.0, cost=0.0,
            ),
        ),
        "not_placed": (
            NotPlaced(batch="aubergine", reason="no space is warm enough before May"),
        ),
        "standing_over": (
            StandingOver(batch="holly", space="cold-frame", half_by=date(2027, 7, 2)),
        ),
        "heat": (
            HeatRun(
                space="bench", start=date(2027, 2, 1), end=date(2027, 4, 30),
                kwh=38.0, cost=11.4,
            ),
        ),
        "hotbeds": (HotbedRun(space="hotbed", make_up=date(2027, 2, 13)),),
        "scarce": (
            Scarce(space="bench", week=date(2027, 3, 1), worth_per_tray=0.12),
            Scarce(space="bench", week=date(2027, 3, 8), worth_per_tray=0.31),
        ),
        "cautions": ("bench: mains electricity near water. " * 3,),
        "warnings": ("lavender will not come through where it stands",),
    }  # fmt: skip
    return Plan(**{**plain, **over})


JOBS = (
    Job(
        date=date(2026, 11, 7), kind="strike", batch="holly", crop="holly",
        what="Strike cuttings of holly: 2 × half-tray → cold-frame",
        space="cold-frame", containers=2, container="half-tray", minutes=20,
        caution="berries are poisonous",
    ),
    Job(
        date=date(2026, 11, 1), kind="night mat", space="cold-frame",
        what="Mat on cold-frame every evening, off in the morning",
        until=date(2026, 11, 14),
    ),
)  # fmt: skip


def days_of(*levels: tuple[int, float]) -> tuple[float, ...]:
    """A level from each day of the season on."""
    values, level = [], 0.0
    changes = dict(levels)
    for day in range(DAYS):
        level = changes.get(day, level)
        values.append(level)
    return tuple(values)


FILL = {
    "propagator": days_of((0, 0.0), (97, 0.6), (111, 0.0)),
    "bench": days_of((0, 0.004), (111, 1.0), (153, 0.25)),
    "cold-frame": days_of((0, float("nan")), (6, 0.9951), (40, 0.994)),
}
WARMTH = {
    "propagator": days_of((0, 18.0)),
    "bench": days_of((0, 8.0), (92, 18.2)),
    "cold-frame": days_of((0, 9.0), (60, -0.3), (90, 6.6), (150, 12.2)),
    "screen": days_of((0, 7.5), (70, -2.4), (120, 8.8)),
}


@pytest.mark.parametrize("width", [80, 120])
def test_plan_reads_as_kept(width: int) -> None:
    report = plan_report(the_plan(), SEASON, JOBS, FILL, WARMTH, width=width)
    text = printed(report, width)
    assert max(map(len, text.splitlines())) <= width
    agrees(f"plan-{width}", text)


def temps_rows(days: int) -> TempsAnswer:
    return TempsAnswer(
        rows=tuple(
            TempsRow(
                date=date(2027, 1, 29) + timedelta(days=n), space=space,
                root_mean_c=4.0 + n / 10, root_min_c=3.1, root_max_c=6.0,
                low_c=2.9 - n / 10, high_c=5.5 + n / 10, air_min_c=-3.2,
                source="forecast" if n < 3 else "outlook",
            )
            for space in ("border", "cold-frame")
            for n in range(days)
        )
    )  # fmt: skip


@pytest.mark.parametrize(("name", "days"), [("temps-days", 4), ("temps-weeks", 30)])
def test_temps_reads_as_kept(name: str, days: int) -> None:
    agrees(name, printed(temps_report(temps_rows(days)), 80))


def test_temps_show_reading_model_and_what_comes_of_both() -> None:
    """Where one space was read, its table alone has the two columns."""
    rows = list(temps_rows(4).rows)
    rows[1] = replace(rows[1], reading_c=5.2, model_c=3.6, source="reading")
    rows[2] = replace(rows[2], model_c=3.8)
    agrees("temps-read", printed(temps_report(TempsAnswer(rows=tuple(rows))), 80))


def where_answer() -> WhereAnswer:
    return WhereAnswer(
        crop="blackcurrant", method="hardwood", on=date(2026, 11, 15),
        rows=(
            WhereRow(
                space="border", start=date(2026, 11, 15), half_by=date(2027, 4, 2),
                most_by=date(2027, 4, 28), days=138, root_mean_c=6.2, success=0.92,
                basis="derived",
            ),
            WhereRow(
                space="bench", start=date(2026, 11, 15), half_by=None, most_by=None,
                days=None, root_mean_c=14.0, success=0.3,
                limits=("buds break before roots form", "air too warm"),
                basis="common practice", stands_over=True, cost=1.2,
            ),
        ),
        figures=("start, base_c 3.5: recalled, no source",),
        explanation=("Two clocks run against each other: roots in the ground's "
                     "warmth, buds in the air's.",),
        currency="£",
    )  # fmt: skip


def test_where_reads_as_kept() -> None:
    agrees("where", printed(where_report(where_answer(), explain=True), 80))


def test_where_explains_only_when_asked() -> None:
    text = printed(where_report(where_answer(), explain=False), 80)
    assert "Two clocks" not in text


def test_a_sowing_floor_is_said_in_plain_words_once() -> None:
    answer = where_answer()
    assert "Sowing floor" not in printed(where_report(answer, explain=False), 80)
    floor = ("below the sowing floor of 10 °C until 7 April",)
    rows = tuple(replace(row, limits=floor) for row in answer.rows)
    text = printed(where_report(replace(answer, rows=rows), explain=False), 80)
    assert text.count("Sowing floor: in a colder root zone seed rots") == 1


def test_jobs_read_as_kept() -> None:
    answer = JobsAnswer(today=date(2026, 11, 1), rows=JOBS, cautions=("Take care.",))
    agrees("jobs", printed(jobs_report(answer), 80))


BUSY = JobsAnswer(
    today=date(2026, 11, 6),
    rows=(
        Job(
            date=date(2026, 11, 1), kind="sow", batch="onion-1", crop="onion",
            what="Sow onion: 2 × tray → bench (was due 1 November)", space="bench",
            containers=2, container="tray", minutes=10, overdue=True,
            compost="seed compost", compost_l=8.0,
            label=("onion Red Globe", "onion-1, seed", "sown 6 Nov 2026"),
        ),
        *JOBS,
        Job(
            date=date(2026, 11, 14), kind="plant out", batch="sweet-pea",
            what="Plant out sweet pea from cold-frame", from_space="cold-frame",
            minutes=15,
        ),
    ),
    days=(
        DayWork(
            date=date(2026, 11, 7), minutes=20, overdue_minutes=10, of_minutes=25,
            compost_l={"seed compost": 8.0},
        ),
        DayWork(date=date(2026, 11, 14), minutes=15, of_minutes=25),
    ),
)  # fmt: skip


def test_what_is_overdue_sums_and_labels_read_as_kept() -> None:
    agrees("jobs-busy", printed(jobs_report(BUSY), 80))


def test_jobs_by_space_read_as_kept() -> None:
    rows = sorted(BUSY.rows, key=lambda job: (job.space or job.from_space) != "bench")
    answer = replace(BUSY, rows=tuple(rows), by_space=True)
    agrees("jobs-by-space", printed(jobs_report(answer), 80))


def test_no_jobs_and_no_days_say_so() -> None:
    none = JobsAnswer(today=date(2026, 11, 1), rows=())
    assert "Nothing to do" in printed(jobs_report(none), 80)
    assert "outside the season" in printed(temps_report(TempsAnswer(rows=())), 80)


def test_the_headline_is_the_sentence_of_the_contract() -> None:
    """34 of 36 placed at a gap of 0.095 %, rounded up so that it stays true."""
    one = the_plan().batches[0]
    plan = the_plan(
        batches=(one,) * 34,
        not_placed=the_plan().not_placed * 2,
        standing_over=(),
    )
    assert (
        headline(plan, "£")
        == "34 of 36 batches placed, within 0.1 % of the best possible, heat £11.40"
    )


def heat_in(**over: Any) -> str:
    run = replace(the_plan().heat[0], **over)
    return headline(the_plan(heat=(run,), today=date(2027, 3, 1)), "£")


def test_heat_without_a_price_is_told_in_energy() -> None:
    text = heat_in(cost=0.0)
    assert "heat 38 kWh (no price given)" in text
    assert "£" not in text
    assert "heat £11.40" in heat_in()


def test_heat_that_is_spent_is_told_apart_from_heat_to_come() -> None:
    assert "heat £11.40, of it £9.80 still to come" in heat_in(cost_to_come=9.8)
    later = heat_in(cost_to_come=11.4, start=date(2027, 3, 2))
    assert "to come" not in later


def test_plants_expected_are_told_beside_those_wanted() -> None:
    def table(expected: float) -> str:
        one = replace(the_plan().batches[0], plants_expected=expected, wanted=40)
        plan = the_plan(batches=(one,))
        return printed(plan_report(plan, SEASON, (), {}, {}, width=80), 80)

    assert "25 of 40" in table(25.2)
    assert "40 of 40" in table(39.8)


def test_weeks_of_short_room_come_in_order_of_time_and_tell_something() -> None:
    weeks = [(8, "bench", 0.02), (1, "sill", 0.3), (1, "bench", 0.1), (1, "bed", 0.009)]
    scarce = tuple(
        Scarce(space=space, week=date(2027, 3, day), worth_per_tray=worth)
        for day, space, worth in weeks
    )
    text = printed(
        plan_report(the_plan(scarce=scarce), SEASON, (), {}, {}, width=80), 80
    )
    section = text.split("Where room is short")[1].split("\n\n")[0]
    rows = [line.split()[:3] for line in section.splitlines()[2:]]
    assert rows == [["bench", "1", "Mar"], ["sill", "1", "Mar"], ["bench", "8", "Mar"]]


def test_the_headline_never_promises_more_than_was_proven() -> None:
    assert "within 0.2 %" in headline(the_plan(gap=0.00101), "£")
    assert "best possible" in headline(the_plan(gap=0.0), "£")
    assert "within" not in headline(the_plan(gap=0.0), "£")
    assert "11.40 EUR" in headline(the_plan(), "EUR")


def test_a_plan_cut_short_says_so() -> None:
    assert "at the time limit" in headline(the_plan(status="time limit"), "£")
    assert "stopped" in headline(the_plan(status="stopped"), "£")


def test_reasons_are_given_when_asked_for() -> None:
    plan = the_plan()
    why = replace(plan.batches[0], reason="the frame would take 11 days longer")
    plan = replace(plan, batches=(why,))
    report = [
        printed(plan_report(plan, SEASON, (), {}, {}, width=80, explain=e), 80)
        for e in (False, True)
    ]
    assert ["11 days longer" in text for text in report] == [False, True]


def test_an_empty_season_says_what_to_do_next() -> None:
    empty = the_plan(batches=(), not_placed=(), placements=(), standing_over=())
    assert "add batches to batches.csv" in headline(empty, "£")


def test_columns_are_weeks_that_fit() -> None:
    """212 days are 31 weeks; 80 columns hold 17 of them, 140 hold all."""
    assert (Axis.fitting(SEASON, 80).step, Axis.fitting(SEASON, 80).columns) == (2, 16)
    assert (
        Axis.fitting(SEASON, 140).step,
        Axis.fitting(SEASON, 140).columns,
    ) == (1, 31)


def test_full_means_full_and_empty_means_empty() -> None:
    """0.9951 is full to the last tray, 0.994 is not; 0.004 is not nothing."""
    text = printed(timeline(SEASON, FILL, WARMTH, width=80), 80).splitlines()
    rows = [line.split()[3:] for line in text if line.startswith("  in use")]
    propagator, bench, frame = rows
    assert {"·", "60"} == set(propagator)
    assert bench[0] == "1"
    assert "100" in bench
    assert frame[0] == "100"
    assert frame[-1] == "99"


def test_what_one_more_tray_is_worth_stands_under_its_space() -> None:
    """Six days of the week of 1 March are in the column from 21 February to 6 March."""
    bench = [
        Scarce(space="bench", week=date(2027, 3, 1), worth_per_tray=0.12),
        Scarce(space="bench", week=date(2027, 3, 8), worth_per_tray=1.31),
        Scarce(space="bench", week=date(2026, 11, 9), worth_per_tray=0.001),
        Scarce(space="propagator", week=date(2026, 11, 9), worth_per_tray=0.004),
    ]
    text = printed(timeline(SEASON, FILL, WARMTH, width=80, scarce=bench), 80)
    (row,) = (line for line in text.splitlines() if line.startswith("  +1 tray"))
    cells = row.split()[2:]
    assert cells[8:10] == [".10", "1.3"]  # 6/7 × 0.12; 1/7 × 0.12 + 1.31
    assert set(cells[:8]) | set(cells[10:]) == {"·"}
    assert "+1 tray: what" in text
    assert "+1 tray" not in printed(timeline(SEASON, FILL, WARMTH, width=80), 80)


def test_text_from_files_cannot_command_the_terminal() -> None:
    nasty = "\x1b[31m[bold]x[/bold]\x07\u202e"
    plan = the_plan(
        not_placed=(NotPlaced(batch=nasty, reason=nasty),), warnings=(nasty,)
    )
    spaces = (replace(SEASON.spaces[0], id=nasty),)
    season = replace(SEASON, spaces=spaces)
    fill = {nasty: FILL["bench"]}
    text = printed(plan_report(plan, season, JOBS, fill, fill, width=80), 80)
    assert "[bold]x[/bold]" in text
    assert not {"\x1b", "\x07", "\u202e"} & set(text)


def test_no_color_is_honoured_and_no_sign_is_colour_alone() -> None:
    """https://no-color.org: with NO_COLOR set to anything, no colour is added."""
    report = plan_report(the_plan(), SEASON, JOBS, FILL, WARMTH, width=80)
    out = StringIO()
    console = Console(
        file=out, width=80, force_terminal=True, color_system="truecolor",
        _environ={"NO_COLOR": "1"},
    )  # fmt: skip
    console.print(Trimmed(report), end="")
    coloured = re.compile("\x1b\\[[0-9;]*[34][0-9]")
    assert "\x1b[1m" in out.getvalue()
    assert not coloured.search(out.getvalue())
    stripped = re.sub("\x1b\\[[0-9;]*m", "", out.getvalue())
    assert stripped == printed(report, 80)


def test_check_prints_its_lines() -> None:
    assert printed(check_report(CheckAnswer(lines=("2 spaces",))), 80) == "2 spaces\n"
