"""What was due before today and is not in the daybook, step by step."""

from datetime import date, timedelta

import pytest
from builders import make_batch, make_crop, make_needs

from propsched.advice.state import BatchState
from propsched.domain.batch import EVENTS
from propsched.domain.crop import METHODS, STAGES, Method, StageName
from propsched.domain.plan import Placement
from propsched.service.not_noted import begun_as, entered_as, not_noted, said
from propsched.service.raised import raised
from propsched.service.way import Way

TODAY = date(2027, 3, 1)


def way(
    *stages: StageName, method: Method = "seed", state: BatchState | None = None
) -> Way:
    crop = make_crop(*(make_needs(stage=s) for s in stages), method=method)
    one = raised(make_batch(id="leek", method=method), crop)
    return Way("leek", one, {}, {}, state)


def due(stage: str, days: int, *, moved: bool = False) -> Placement:
    start = TODAY + timedelta(days=days)
    return Placement(
        batch="leek", crop="leek", method="seed", stage=stage, space="frame",
        start=start, end=start, end_latest=start, root_mean_c=9.0, area_m2=0.1,
        containers=1, container="tray", moved=moved,
    )  # fmt: skip


def at(index: int, space: str) -> BatchState:
    return BatchState(
        batch="leek", stage="start", stage_index=index, space=space,
        since=date(2027, 1, 1), here_since=date(2027, 1, 1),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stages", "k", "event"),
    [
        (("start", "seedling"), 0, "sown"),
        (("chill", "start"), 1, "sown"),
        (("start", "seedling"), 1, "emerged"),
        (("start", "grow", "harden"), 2, "hardening"),
        (("start", "prick-out"), 1, "pricked-out"),
        (("start", "pot-up", "pot-on"), 2, "potted-on"),
    ],
)
def test_each_step_by_the_event_that_the_daybook_has_for_it(
    stages: tuple[StageName, ...], k: int, event: str
) -> None:
    assert entered_as(way(*stages), k) == event


def test_every_start_and_every_stage_has_an_event() -> None:
    assert {begun_as(method) for method in METHODS} == {
        "sown", "struck", "divided", "started",
    }  # fmt: skip
    for stage in STAGES:
        assert entered_as(way("start", stage, method="tip"), 1) in EVENTS
    assert entered_as(way("start", "grow", method="tip"), 1) == "rooted"
    assert (said("hardening"), said("potted-up")) == ("hardening off", "potted up")


def test_only_what_was_due_before_today_was_missed() -> None:
    one = way("start", "seedling", "harden")
    assert not_noted(one, 0, due("start", -3), TODAY) == (
        "not noted as sown yet (due 26 February): note it with propsched note SEASON "
        "sown leek --space frame"
    )
    assert not_noted(one, 0, due("start", 0), TODAY) == ""
    here = way("start", "seedling", "harden", state=at(0, "frame"))
    assert not_noted(here, 1, due("seedling", -3), TODAY).endswith("emerged leek")
    assert not_noted(here, 2, due("harden", -1), TODAY) == ""
    away = not_noted(here, 1, due("start", -3, moved=True), TODAY)
    assert away.startswith("not noted as moved yet")
