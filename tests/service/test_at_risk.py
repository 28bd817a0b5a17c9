"""What stands on a night, what is at risk there, and what would help."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from builders import (
    make_batch,
    make_crop,
    make_needs,
    make_outlook,
    make_season,
    make_space,
    run_spaces,
)

from propsched.advice.state import BatchState, Stay
from propsched.domain.container import Container
from propsched.domain.crop import Needs
from propsched.domain.plan import Placement, Plan
from propsched.domain.space import Heat
from propsched.service.at_risk import Nights, is_likely, risks_of, with_helps
from propsched.service.climate import Warmth
from propsched.service.raised import Raised, raised
from propsched.service.remedies import FLEECE, HEAT, MAT, remedies
from propsched.service.stands_on import OnNight, stands_on, there_since
from propsched.thermal.correction import NOTHING_READ, Corrected, Offset

TODAY = date(2027, 1, 20)
POT = Container(name="9cm-pot")


def night(number: int) -> date:
    return TODAY + timedelta(days=number)


def one_raised(name: str = "fuchsia", **needs: Any) -> Raised:
    start = make_needs(container=POT, damage_c=-1.0, **needs)
    potted = make_needs(stage="pot-up", container=POT, damage_c=-1.0)
    crop = make_crop(start, potted, name=name, method="tip")
    return raised(make_batch(id=name, crop=name, method="tip", wanted=10), crop)


def state(space: str = "frame", **over: Any) -> BatchState:
    plain: dict[str, Any] = {
        "batch": "fuchsia", "stage": "start", "stage_index": 0, "space": space,
        "since": night(-30), "here_since": night(-30),
        "stays": (Stay(space, night(-30)),),
    }  # fmt: skip
    return BatchState(**{**plain, **over})


def placement(stage: str, space: str, start: int, end: int) -> Placement:
    return Placement(
        batch="fuchsia", crop="fuchsia", method="tip", stage=stage, space=space,
        start=night(start), end=night(end), end_latest=night(end), root_mean_c=9.0,
        area_m2=0.08, containers=10, container="9cm-pot",
    )  # fmt: skip


def plan(*placements: Placement) -> Plan:
    return Plan(
        season="invented", today=TODAY, status="optimal", worth=1.0, bound=1.0,
        gap=0.0, terms={}, placements=placements, batches=(), not_placed=(),
        standing_over=(), heat=(), hotbeds=(), scarce=(), cautions=(),
    )  # fmt: skip


def where(
    number: int,
    states: dict[str, BatchState],
    before: Plan | None = None,
    *,
    noted: bool = True,
) -> list[tuple[str, bool]]:
    found = stands_on(
        night(number),
        today=TODAY,
        raised=[one_raised()],
        states=states,
        plan=before,
        noted=noted,
    )
    return [(one.space, one.planned) for one in found]


MOVES = plan(placement("start", "frame", -30, 2), placement("pot-up", "house", 2, 9))


def test_it_stands_where_the_daybook_has_it_until_the_plan_moves_it() -> None:
    under_way = {"fuchsia": state("sill")}
    assert where(0, under_way, MOVES) == [("sill", False)]
    assert where(2, under_way, MOVES) == [("house", True)]
    assert where(9, under_way, MOVES) == []
    assert where(0, under_way) == [("sill", False)]


def test_what_is_not_noted_does_not_stand_unless_nobody_notes_anything() -> None:
    assert where(0, {}, MOVES) == []
    assert where(0, {}, MOVES, noted=False) == [("frame", True)]
    assert where(0, {"fuchsia": state(lost=True)}, MOVES) == []


def test_by_the_plan_it_has_stood_in_leaf_since_it_came_there() -> None:
    """Potted on where it stood it is no newcomer; brought there or rooted there, it
    is."""
    there = placement("pot-on", "house", 2, 9)
    grown = [placement("start", "sill", -60, -20), placement("pot-up", "house", -20, 2)]
    brought = [
        placement("pot-up", "house", -60, -20),
        placement("grow", "sill", -20, 2),
    ]
    rooted = [placement("start", "house", -20, 2)]

    assert there_since(there, [*grown, there]) == night(-20)
    assert there_since(there, [*brought, there]) == night(2)
    assert there_since(there, [*rooted, there]) == night(2)


def test_by_the_daybook_it_has_stood_in_leaf_since_it_came_there() -> None:
    stages = [make_needs(container=POT)]
    stages += [make_needs(stage=s, container=POT) for s in ("pot-up", "pot-on")]
    crop = make_crop(*stages, name="fuchsia", method="tip")
    batch = make_batch(id="fuchsia", crop="fuchsia", method="tip", wanted=10)

    def since(index: int) -> date:
        now = state(
            stage=stages[index].stage, stage_index=index,
            since=night(-5), here_since=night(-30),
        )  # fmt: skip
        (one,) = stands_on(
            TODAY, today=TODAY, raised=[raised(batch, crop)],
            states={"fuchsia": now}, plan=None, noted=True,
        )  # fmt: skip
        return one.since

    assert since(2) == night(-30)
    assert since(1) == night(-5)


FRAME = make_space(id="frame", kind="cold-frame", area_m2=1.4)
GROUND = make_space(id="border", area_m2=6.0)
SHED = make_space(id="shed", kind="store", area_m2=0.8, room_c=6)
FRIDGE = make_space(id="fridge", kind="store", area_m2=0.8, room_c=3)
HOUSE = make_space(id="house", kind="glasshouse", area_m2=4.0)
BENCH = make_space(
    id="bench",
    kind="heated-bench",
    area_m2=0.5,
    inside="house",
    heat=Heat(set_c=18, w_per_m2=100, when="never"),
)


@pytest.fixture(scope="module")
def nights() -> Nights:
    spaces = (FRAME, GROUND, SHED, FRIDGE, HOUSE, BENCH)
    outlook = make_outlook(
        first=date(2026, 12, 1), days=60, winters=12, spread_k=2.0, mean_c=7.0
    )
    zone = run_spaces(*spaces, outlook=outlook)
    quiet = Offset(mean_c=np.zeros(60), sd_c=np.full(60, 0.5))
    season = make_season(start=date(2026, 12, 1), end=date(2027, 1, 29), spaces=spaces)
    warm = Warmth(
        outlook=outlook,
        zone=zone,
        modelled=zone,
        corrected=tuple(Corrected(seen=NOTHING_READ, offset=quiet) for _ in spaces),
        learnt={},
        states={s.id: np.full(60, i) for i, s in enumerate(spaces)},
    )
    return Nights(warm, season)


def on_night(space: str, needs: Needs, area_m2: float = 0.08) -> OnNight:
    return OnNight(
        batch="fuchsia", crop=make_crop(needs, name="fuchsia", method="tip"),
        needs=needs, space=space, variant="", area_m2=area_m2, since=night(-30),
        planned=False,
    )  # fmt: skip


TENDER = make_needs(container=POT, damage_c=0.0)


def test_the_open_is_at_greater_risk_than_the_frame(nights: Nights) -> None:
    both = [on_night("frame", TENDER), on_night("border", TENDER)]
    border, frame = risks_of(both, nights, TODAY)
    assert (border.space, frame.space) == ("border", "frame")
    assert border.probability > frame.probability + 0.05
    assert border.loss > frame.loss
    assert border.low_c < border.expected_c < border.high_c
    assert border.harm == "frost"


def test_hardy_stock_and_warm_places_are_not_at_risk(nights: Nights) -> None:
    hardy = on_night("border", make_needs(container=POT))
    assert risks_of([hardy], nights, TODAY) == ()
    (risk,) = risks_of([on_night("shed", TENDER)], nights, TODAY)
    assert not is_likely(risk)
    assert risk.margin_k > 3


def helped(nights: Nights, one: OnNight) -> dict[str, float | None]:
    (risk,) = with_helps(
        risks_of([one], nights, TODAY), {"fuchsia": one}, nights, TODAY
    )
    assert all(h.probability <= risk.probability for h in risk.helps)
    return {h.what: h.gain_k for h in risk.helps}


def test_a_mat_helps_a_frame_and_a_fleece_little(nights: Nights) -> None:
    """A mat keeps a frame some kelvins warmer (a grower's frame: 9 over outside with
    it); of a fleece 0.75 to 0.9 K were measured, and no more is promised."""
    gains = helped(nights, on_night("frame", TENDER))
    mat, fleece = gains[MAT], gains.get(FLEECE, 0.0)
    assert mat is not None
    assert fleece is not None
    assert 1.0 <= mat <= 5.0
    assert fleece <= 0.8


def test_it_is_brought_in_to_the_coolest_safe_place_with_room(nights: Nights) -> None:
    assert "bring in to shed" in helped(nights, on_night("border", TENDER))
    large = helped(nights, on_night("border", TENDER, area_m2=2.0))
    assert not [what for what in large if what.startswith("bring in")]
    row = make_needs(container=Container(name="row"), damage_c=0.0)
    fixed = helped(nights, on_night("border", row))
    assert not [what for what in fixed if what.startswith("bring in")]


def test_heat_that_is_off_can_be_switched_on(nights: Nights) -> None:
    """It warms the root zone of a bench within a night, its air hardly."""
    row = nights.row("bench", "", TODAY)
    assert row is not None
    offered = {
        r.what: r for r in remedies(nights.warm, nights.season, [row], TODAY, night(1))
    }
    assert offered[HEAT].gain_root_k > 3
    assert offered[HEAT].gain_root_k > offered[HEAT].gain_air_k


def test_a_room_is_given_away_once(nights: Nights) -> None:
    """The shed has 0.8 m²: of two batches of 0.5 m² only one goes in."""
    first, second = on_night("border", TENDER, 0.5), on_night("border", TENDER, 0.5)
    second = replace(second, batch="salvia")
    both = {"fuchsia": first, "salvia": second}
    risks = with_helps(risks_of([first, second], nights, TODAY), both, nights, TODAY)
    places = [h.what for r in risks for h in r.helps if h.gain_k is None]
    assert len(places) == len(set(places))
