"""How the states of spaces and the halves of batches read."""

from dataclasses import replace
from datetime import date
from io import StringIO

from builders import make_season, make_space
from rich.console import Console, RenderableType

from propsched.domain.plan import BatchPlan, HeatRun, NotPlaced, Placement, Plan
from propsched.domain.space import Heat
from propsched.report.tables import batch_table, headline
from propsched.report.timeline import timeline
from propsched.report.words import route_text

BY_WEEK = Heat(set_c=18, w_per_m2=100, when="by-week")
SEASON = make_season(
    start=date(2027, 2, 6),
    end=date(2027, 3, 5),
    spaces=(
        make_space(id="bench", kind="heated-bench", area_m2=1.2, heat=BY_WEEK),
        make_space(id="bed", kind="hotbed", area_m2=1.0),
    ),
)


def printed(*parts: RenderableType) -> str:
    out = StringIO()
    console = Console(file=out, width=100, color_system=None)
    for part in parts:
        console.print(part)
    return out.getvalue()


def stop(stage: str, space: str, start: int, end: int, **over: object) -> Placement:
    """Days of February 2027."""
    one = Placement(
        batch="leek", crop="leek", method="seed", stage=stage, space=space,
        start=date(2027, 2, start), end=date(2027, 2, end),
        end_latest=date(2027, 2, end), root_mean_c=17.5, area_m2=0.18,
        containers=2, container="tray",
    )  # fmt: skip
    return replace(one, **over)  # type: ignore[arg-type]


def the_plan(*placements: Placement, **over: object) -> Plan:
    told = BatchPlan(
        batch="leek", ready=date(2027, 2, 24), ready_latest=date(2027, 2, 27),
        wanted_by=None, plants_expected=40.0, cost=0.0, wanted=80,
    )  # fmt: skip
    one = Plan(
        season="invented", today=date(2027, 2, 1), status="optimal", worth=1.0,
        bound=1.0, gap=0.0, terms={}, placements=placements, batches=(told,),
        not_placed=(), standing_over=(), heat=(), hotbeds=(), scarce=(), cautions=(),
    )  # fmt: skip
    return replace(one, **over)  # type: ignore[arg-type]


def test_a_state_is_told_where_it_is_not_the_usual_one() -> None:
    way = (
        stop("start", "bench", 6, 13, variant="heat on"),
        stop("seedling", "bench", 13, 20, variant="heat off"),
        stop("harden", "bed", 20, 27, variant="made up 6 February, fleece on"),
    )
    assert route_text(way) == (
        "bench (heat on) 6 Feb → bench 13 Feb → bed (fleece on) 20 Feb"
    )


def test_halves_are_told_one_after_the_other() -> None:
    text = printed(
        *batch_table(
            the_plan(
                stop("start", "bench", 6, 20),
                stop("start", "bed", 13, 20, containers=1),
                stop("seedling", "bed", 20, 27, containers=1),
            )
        )
    )
    assert "2 × tray: bench 6 Feb; 1 × tray: bed 13 Feb" in text
    assert "40 of 80" in text


def test_a_half_left_out_is_not_counted_as_a_batch() -> None:
    half = NotPlaced(batch="leek", reason="half of it, 40 plants: no room")
    other = NotPlaced(batch="holly", reason="no room")
    text = headline(the_plan(not_placed=(half, other)), "£")
    assert text.startswith("1 of 2 batches placed")


def test_weeks_of_heat_have_a_row_and_a_bed_never_made_up_no_warmth() -> None:
    days = SEASON.horizon.days
    run = HeatRun(
        space="bench", start=date(2027, 2, 13), end=date(2027, 2, 26), kwh=9, cost=1
    )
    text = printed(
        timeline(
            SEASON,
            {"bench": (0.5,) * days, "bed": (float("nan"),) * days},
            {"bench": (12.0,) * days, "bed": (4.0,) * 7 + (float("nan"),) * (days - 7)},
            width=80,
            heat=(run,),
        )
    ).splitlines()
    (heat,) = [line.split() for line in text if line.strip().startswith("heat ")]
    assert heat == ["heat", "·", "on", "on", "·"]
    bed = text[next(i for i, line in enumerate(text) if line.startswith("bed")) :]
    assert next(line for line in bed if "root" in line).split() == ["root", "°C", "4"]
