"""Halves that the daybook has named since the plan was made are shown once."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from tui_desks import garden_temps, make_desk
from tui_season import BATCHES, DAYBOOK, TODAY, garden_plan, write_garden

from propsched.domain.plan import Plan
from propsched.files.write import write_plan
from propsched.service.opened import open_season
from propsched.tui.desk import Desk
from propsched.tui.views.batches_book import batches_book
from propsched.tui.views.season_book import season_book
from propsched.tui.views.spoken import batch_lines

HEAD, *ROWS = BATCHES.splitlines()
SPLIT = "\n".join(
    [
        HEAD.replace(",note", ",split,note"),
        *(
            ",".join([*row.split(",")[:10], "yes" if row[:6] == "tomato" else "", ""])
            for row in ROWS
        ),
    ]
)
NOTED = DAYBOOK + "2027-03-06 09:00,tomato (1 of 2),pricked-out,bench,12,\n"


def _plan(*, split: bool) -> Plan:
    """Made before the half was noted: it knows of the tomatoes as a whole."""
    plan = garden_plan()
    if not split:
        return plan
    stays = []
    for one in plan.placements:
        if one.batch != "tomato":
            stays.append(one)
            continue
        half = replace(one, area_m2=one.area_m2 / 2)
        other = replace(half, space="windowsill") if one.stage == "prick-out" else half
        stays += [half, other]
    return replace(plan, placements=tuple(stays))


def _desk(folder: Path, plan: Plan, daybook: str = NOTED) -> Desk:
    write_garden(folder, batches_csv=SPLIT, daybook_csv=daybook)
    write_plan(folder, plan)
    opened = open_season(folder, today=TODAY)
    return make_desk(opened=opened, temps=garden_temps())


@pytest.mark.parametrize("split", [False, True])
def test_each_half_stands_in_one_place_at_a_time(tmp_path: Path, split: bool) -> None:
    desk = _desk(tmp_path, _plan(split=split))
    book = season_book(desk)
    assert book is not None
    assert "tomato" not in book.routes
    first, second = (book.routes[f"tomato ({n} of 2)"] for n in (1, 2))
    assert len(first) == len(second) == 1
    assert [s.space for s in first[0] if s.on(TODAY)] == ["bench"]
    assert [s.space for s in second[0] if s.on(TODAY)] == ["propagator"]
    for space in book.spaces:
        names = [track.batch for track in space.tracks]
        assert len(names) == len(set(names)), space.space.id
    # twelve of 9 cm by the daybook, and as much again to come: not more than planned
    bench = book.of("bench")
    assert bench is not None
    day = book.day(date(2027, 3, 20))
    area = sum(
        spell.area_m2
        for track in bench.tracks
        if track.batch.startswith("tomato")
        for spell in track.spells
        if spell.on(date(2027, 3, 20))
    )
    assert area == pytest.approx(0.1 if split else 0.2)
    assert bench.used_m2[day] == pytest.approx(area + 0.16)  # the vines beside them


@pytest.mark.parametrize("split", [False, True])
def test_each_half_has_its_share_of_the_plants(tmp_path: Path, split: bool) -> None:
    desk = _desk(tmp_path, _plan(split=split))
    rows = batches_book(desk)
    assert rows is not None
    shown = {row.name: row.plants_text for row in rows.rows if "tomato" in row.name}
    assert shown == {"tomato (1 of 2)": "12/12", "tomato (2 of 2)": "12/12"}
    said = "\n".join(batch_lines(desk, "tomato (2 of 2)"))
    assert "12 of 12 plants expected" in said
    assert ("→ windowsill" in said) == split


def test_what_is_whole_again_is_shown_as_a_whole(tmp_path: Path) -> None:
    plan = garden_plan()
    stays = tuple(
        replace(one, batch=f"tomato ({part} of 2)", area_m2=one.area_m2 / 2)
        if one.batch == "tomato"
        else one
        for one in plan.placements
        for part in ((1, 2) if one.batch == "tomato" else (1,))
    )
    own = tuple(
        replace(one, batch="tomato (1 of 2)") if one.batch == "tomato" else one
        for one in plan.batches
    )
    desk = _desk(tmp_path, replace(plan, placements=stays, batches=own), DAYBOOK)
    book = season_book(desk)
    assert book is not None
    assert len(book.routes["tomato"]) == 2
    assert not [name for name in book.routes if "of 2" in name]
    assert "tomato" in book.batches


def test_the_pages_share_one_book_of_a_desk() -> None:
    desk = make_desk()
    assert season_book(desk) is season_book(replace(desk, said="else"))
    other = make_desk("unplanned")
    assert season_book(other) is not season_book(desk)
    assert season_book(replace(desk, temps=None)) is not season_book(desk)
