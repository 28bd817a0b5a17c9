"""A small plan for tests; it takes overrides."""

from datetime import date
from typing import Any

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

DAY = date(2027, 2, 1)


def make_plan(**over: Any) -> Plan:
    plain: dict[str, Any] = {
        "season": "invented",
        "today": DAY,
        "status": "within gap",
        "worth": 12.5,
        "bound": 12.75,
        "gap": 0.02,
        "terms": {"late": -0.5, "done": 13.0},
        "placements": (
            Placement(
                batch="leeks", crop="leek", method="seed", stage="start",
                space="bench", start=DAY, end=date(2027, 2, 20),
                end_latest=date(2027, 2, 18), root_mean_c=17.25, area_m2=0.0912,
                containers=1, container="tray",
            ),
        ),
        "batches": (
            BatchPlan(
                batch="leeks", ready=DAY, ready_latest=DAY, wanted_by=None,
                plants_expected=180.5, cost=1.25,
            ),
        ),
        "not_placed": (NotPlaced(batch="salad-4", reason="no room by 20 March"),),
        "standing_over": (
            StandingOver(batch="currants", space="border", half_by=None),
        ),
        "heat": (HeatRun(space="bench", start=DAY, end=DAY, kwh=3.5, cost=1.0),),
        "hotbeds": (HotbedRun(space="hotbed", make_up=DAY),),
        "scarce": (Scarce(space="bench", week=DAY, worth_per_tray=0.4),),
        "cautions": ("Wash hands after handling “manure”.",),
    }  # fmt: skip
    return Plan(**{**plain, **over})
