"""Pictures of the season: words that stay words, the same bytes each time."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from builders import make_season, make_space
from tui_desks import garden_temps, read_garden
from tui_season import TODAY, garden_plan

from propsched.report.figures import drawn, timeline_figure, warmth_figure
from propsched.report.take_away import pictures
from propsched.service.answers import TempsAnswer

TEXT = "{http://www.w3.org/2000/svg}text"


def texts(svg: bytes) -> list[str]:
    return [
        "".join(t.itertext()).strip() for t in ElementTree.fromstring(svg).iter(TEXT)
    ]


def test_every_placement_is_named_on_the_timeline() -> None:
    season = read_garden().opened.season
    svg = drawn(timeline_figure(garden_plan(), season, TODAY), "svg")
    said = texts(svg)
    assert {p.batch for p in garden_plan().placements} <= set(said)
    assert {s.id for s in season.spaces if s.stands} <= set(said)
    assert svg == drawn(timeline_figure(garden_plan(), season, TODAY), "svg")


def test_warmth_has_its_range_and_readings() -> None:
    rows = [row for row in garden_temps().rows if row.space == "frame"]
    season = read_garden().opened.season
    said = texts(drawn(warmth_figure(rows, season, TODAY), "svg"))
    assert {"root zone, 80 % range", "readings", "air, lowest", "°C"} <= set(said)


@pytest.mark.parametrize("form", ["svg", "png"])
def test_there_is_one_picture_a_space_and_none_leaves_the_folder(form) -> None:
    names = ["../../up", "../../Up", "$x^2$ <b>", "a/b"]
    season = make_season(spaces=tuple(make_space(id=name) for name in names))
    rows = [row for row in garden_temps().rows if row.space == "frame"]
    some = TempsAnswer(
        rows=tuple(replace(row, space=name) for name in names for row in rows)
    )
    found = dict(pictures(garden_plan(placements=()), season, some, TODAY, form))
    assert len(found) == 1 + len(names)
    assert all("/" not in name and ".." not in name for name in found)
    start = b"\x89PNG" if form == "png" else b"<?xml"
    assert all(content.startswith(start) for content in found.values())
