"""Each caution only where a space or a batch calls for it."""

from datetime import date
from textwrap import wrap
from typing import Any

import pytest
from builders import make_batch, make_season, make_space

from propsched.advice.cautions import cautions, cautions_of_jobs
from propsched.advice.job import Job, JobKind
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.plan import Placement, Plan
from propsched.domain.space import Heat, Lamp

START = Needs(stage="start", container=Container(name="tray"))


def crop(**over: Any) -> Crop:
    return Crop(**{"name": "leek", "method": "seed", "stages": (START,), **over})


def lines(*spaces: Any, plan: Plan | None = None, **crop_over: Any) -> str:
    season = make_season(spaces=spaces)
    crops = {"leek": crop(**crop_over)}
    return "\n".join(cautions(season, [make_batch()], crops, plan=plan))


def plan_in(space: str) -> Plan:
    stop = Placement(
        batch="leek", crop="leek", method="seed", stage="start", space=space,
        start=date(2027, 2, 6), end=date(2027, 2, 20), end_latest=date(2027, 2, 20),
        root_mean_c=18.0, area_m2=0.1, containers=1, container="tray",
    )  # fmt: skip
    return Plan(
        season="invented", today=date(2027, 2, 1), status="optimal", worth=3.0,
        bound=3.0, gap=0.0, terms={}, placements=(stop,), batches=(), not_placed=(),
        standing_over=(), heat=(), hotbeds=(), scarce=(), cautions=(),
    )  # fmt: skip


HOTBED = make_space(id="hotbed", kind="hotbed", make_up=date(2027, 2, 1))


def test_a_cold_frame_and_leeks_call_for_no_caution() -> None:
    assert lines(make_space(kind="cold-frame"), edible=True) == ""


def test_food_on_raw_manure_keeps_the_intervals_of_the_rule() -> None:
    """7 CFR 205.203(c)(1): 120 days where the edible part touches the soil, else 90."""
    text = lines(HOTBED, edible=True)
    assert "120 days" in text
    assert "90 days" in text
    assert "7 CFR 205.203(c)(1)" in text
    assert "local rules" in text


def test_no_interval_for_what_is_not_eaten_or_does_not_stand_there() -> None:
    frame = make_space(id="frame", kind="cold-frame")
    assert "120 days" not in lines(HOTBED, edible=False)
    assert "120 days" not in lines(HOTBED, frame, edible=True, plan=plan_in("frame"))
    assert "120 days" in lines(HOTBED, frame, edible=True, plan=plan_in("hotbed"))


def test_manure_calls_for_hygiene_and_the_bean_test_mowings_for_hygiene() -> None:
    dung = lines(HOTBED)
    grass = lines(make_space(id="pile", kind="heap", material="mowings"))
    assert all(word in dung for word in ("tetanus", "Legionella", "beans"))
    assert "Legionella" in grass
    assert "beans" not in grass


@pytest.mark.parametrize(
    "over", [{"heat": Heat(set_c=18, w_per_m2=100)}, {"lamp": Lamp(mol_m2_d=5, w=40)}]
)
def test_mains_defer_to_an_electrician_and_local_rules(over: dict[str, Any]) -> None:
    text = lines(make_space(id="bench", kind="heated-bench", **over))
    assert "bench: mains" in text
    assert "residual-current" in text
    assert "qualified electrician" in text
    assert "local wiring rules" in text


def test_only_a_check_point_in_water_warns_of_depth_and_liner() -> None:
    assert "liner" in lines(make_space(id="Pond", kind="check-point"))
    assert lines(make_space(id="screen", kind="check-point")) == ""
    assert lines(make_space(id="pond-frame", kind="cold-frame")) == ""


def test_poisonous_stock_is_named_once() -> None:
    season = make_season()
    batches = [make_batch(id="a"), make_batch(id="b")]
    yew = crop(name="yew", hazard="All parts but the red aril are poisonous.")
    found = cautions(season, batches, {"a": yew, "b": yew})
    assert found == ("yew: all parts but the red aril are poisonous.",)


BENCH = make_space(id="bench", kind="heated-bench", heat=Heat(set_c=18, w_per_m2=100))
FRAME = make_space(id="frame", kind="cold-frame")
POND = make_space(id="pond", kind="check-point")


def of_jobs(*listed: Job) -> str:
    season = make_season(spaces=(HOTBED, BENCH, FRAME, POND))
    batches = [make_batch(id="leek"), make_batch(id="yew")]
    crops = {
        "leek": crop(edible=True),
        "yew": crop(name="yew", hazard="The leaves are poisonous."),
    }
    plan = plan_in("hotbed")
    return "\n".join(cautions_of_jobs(listed, season, batches, crops, plan=plan))


def job(kind: JobKind, **over: Any) -> Job:
    return Job(date=date(2027, 2, 6), kind=kind, what="invented", **over)


def test_jobs_that_touch_nothing_harmful_call_for_no_caution() -> None:
    assert of_jobs() == ""
    assert of_jobs(job("move", batch="leek", from_space="bench", space="frame")) == ""
    assert of_jobs(job("ventilate", space="hotbed")) == ""


def test_jobs_call_for_the_caution_of_what_they_touch_alone() -> None:
    bed = of_jobs(job("make up bed", space="hotbed"))
    assert all(word in bed for word in ("tetanus", "beans", "120 days"))
    assert "mains" not in bed
    assert "poisonous" not in bed
    assert "tetanus" in of_jobs(job("sow", batch="leek", space="hotbed"))
    for kind, batch in (("heat on", ""), ("sow", "leek")):
        found = of_jobs(job(kind, batch=batch, space="bench"))  # type: ignore[arg-type]
        assert found.startswith("bench: mains")
        assert len(found.splitlines()) == 1
    assert of_jobs(job("take readings")).startswith("pond: ")
    assert of_jobs(job("pot up", batch="yew", space="frame")) == (
        "yew: the leaves are poisonous."
    )


def test_cautions_of_spaces_take_two_lines_at_80_columns() -> None:
    season = make_season(spaces=(HOTBED, BENCH, FRAME, POND))
    crops = {"leek": crop(edible=True)}
    for line in cautions(season, [make_batch()], crops, plan=plan_in("hotbed")):
        assert len(wrap(line, 78)) <= 2, line
