"""What containers take; sizes are those of the trade (common practice)."""

from dataclasses import replace
from datetime import date

import pytest
from builders import make_crop, make_needs

from propsched.advice.compost import (
    CUTTING,
    DAMP,
    FILL_L,
    POTTING,
    SEED,
    compost_of,
    total_l,
)
from propsched.advice.job import Job, JobKind
from propsched.domain.container import CONTAINERS, TRAY_M2, Container
from propsched.domain.crop import Crop, StageName


def job(kind: JobKind, number: int, container: str, stage: str = "start") -> Job:
    return Job(
        date=date(2027, 2, 6), kind=kind, batch="b", what="w", containers=number,
        container=container, stage=stage,
    )  # fmt: skip


def way(*stages: tuple[StageName, str]) -> Crop:
    return make_crop(
        *(
            make_needs(stage=stage, container=Container(name=name))  # type: ignore[arg-type]
            for stage, name in stages
        )
    )


def test_every_container_has_its_fill() -> None:
    assert set(FILL_L) == set(CONTAINERS)


@pytest.mark.parametrize("litres", [1, 2, 3, 5])
def test_pots_sold_by_the_litre_hold_it(litres: int) -> None:
    assert FILL_L[f"{litres}l-pot"] == litres  # type: ignore[index]


@pytest.mark.parametrize(
    ("container", "area_m2", "deep_cm"),
    [
        ("tray", TRAY_M2, (3.5, 5.5)),
        ("half-tray", TRAY_M2 / 2, (3.5, 5.5)),
        ("module-tray", TRAY_M2, (2, 5)),
        ("9cm-pot", 0.0081, (4, 9)),
        ("deep-pot", 0.0081, (8, 18)),
        ("crate", 0.24, (6, 15)),
    ],
)
def test_others_are_filled_as_deep_as_they_are(
    container: str, area_m2: float, deep_cm: tuple[float, float]
) -> None:
    """Litres over standing area, in cm: walls slope, so less than the outside."""
    deep = FILL_L[container] / area_m2 / 10  # type: ignore[index]
    assert deep_cm[0] <= deep <= deep_cm[1]


@pytest.mark.parametrize(
    ("kind", "container", "filled"),
    [
        ("sow", "tray", (SEED, 8.0)),
        ("sow", "row", ("", 0.0)),
        ("sow", "bag", (DAMP, 1.0)),
        ("strike", "half-tray", (CUTTING, 4.0)),
        ("strike", "bundle", ("", 0.0)),
        ("divide", "3l-pot", (POTTING, 6.0)),
        ("start", "chitting-tray", ("", 0.0)),
        ("move", "tray", ("", 0.0)),
        ("plant out", "tray", ("", 0.0)),
    ],
)
def test_each_start_has_its_own(
    kind: JobKind, container: str, filled: tuple[str, float]
) -> None:
    crop = way(("chill" if container == "bag" else "start", container))
    stage = crop.stages[0].stage
    assert compost_of(job(kind, 2, container, stage), crop) == filled


def test_a_root_ball_comes_along_out_of_a_pot_but_not_out_of_a_tray() -> None:
    crop = way(("start", "tray"), ("pot-up", "9cm-pot"), ("pot-on", "2l-pot"))
    up = compost_of(job("pot up", 30, "9cm-pot", "pot-up"), crop)
    on = compost_of(job("pot on", 30, "2l-pot", "pot-on"), crop)
    assert (up, on) == ((POTTING, 12.0), (POTTING, 48.0))


def test_seed_out_of_the_cold_is_filled_anew_only_out_of_a_bag() -> None:
    stays = way(("chill", "half-tray"), ("start", "half-tray"))
    bag = way(("chill", "bag"), ("start", "half-tray"))
    out = job("start", 3, "half-tray")
    assert compost_of(out, stays) == ("", 0.0)
    assert compost_of(out, bag) == (SEED, 6.0)


def test_totals_by_kind_most_first() -> None:

    one = replace(job("sow", 1, "tray"), compost=SEED, compost_l=4.0)
    two = replace(one, compost=POTTING, compost_l=6.0)
    assert list(total_l([one, two, one]).items()) == [(SEED, 8.0), (POTTING, 6.0)]
