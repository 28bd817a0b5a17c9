"""Files of other formats: refused in one sentence, or carried here step by step."""

import json
from pathlib import Path

import pytest
from folders import GOOD, write_folder
from plans import make_plan

from propsched.errors import InvalidInputError
from propsched.files.migrate import (
    FORMAT,
    PLAN_STEPS,
    SEASON_STEPS,
    Document,
    FormatError,
    carried,
)
from propsched.files.read import read_season
from propsched.files.write import plan_as_json, read_plan


def test_a_newer_season_is_refused_in_one_sentence(tmp_path: Path) -> None:
    """Whatever else may be in it and in the files beside it."""
    text = GOOD["season.toml"].replace("format = 1", "format = 2\nnovelty = 3")
    folder = write_folder(tmp_path, season_toml=text, daybook_csv="when\nnow\n")
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    assert str(caught.value) == (
        f"{folder / 'season.toml'}:1: format: is 2, of a newer propsched – this one "
        "reads format 1: update it, or take the folder back there"
    )


def test_a_newer_plan_is_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "plan.json").write_text('{"format": 9, "novelty": 1}')
    with pytest.raises(InvalidInputError) as caught:
        read_plan(tmp_path)
    assert len(caught.value.problems) == 1
    assert "format is 9, of a newer propsched" in str(caught.value)


def test_a_plan_that_does_not_say_its_format_is_of_the_first(tmp_path: Path) -> None:
    plan = make_plan()
    document = json.loads(plan_as_json(plan))
    assert document.pop("format") == 1
    (tmp_path / "plan.json").write_text(json.dumps(document))
    assert read_plan(tmp_path) == plan


@pytest.mark.parametrize("given", [0, -1, "1", None, True, 1.0])
def test_an_older_one_without_a_way_here_says_what_to_write(given: object) -> None:
    document = {} if given is None else {"format": given}
    with pytest.raises(FormatError) as caught:
        carried(document, SEASON_STEPS)
    assert caught.value.right.startswith("must be format = 1, at the top")


def test_a_document_is_carried_by_each_step_in_turn() -> None:
    """Formats of an invented document: no older one of ours has ever been."""

    def metres(document: Document) -> Document:
        return {"length_m": document["feet"] * 0.3048}

    def renamed(document: Document) -> Document:
        return {"depth_m": document["length_m"]}

    steps = {3: metres, 4: renamed}
    old = {"format": 3, "feet": 10}
    assert carried(old, steps, to=5) == {"format": 5, "depth_m": pytest.approx(3.048)}
    assert old == {"format": 3, "feet": 10}
    assert carried({"format": 5, "depth_m": 1}, steps, to=5)["depth_m"] == 1
    assert carried({"feet": 10}, steps, to=4, unsaid=3)["format"] == 4
    with pytest.raises(FormatError, match="is 2"):
        carried({"format": 2}, steps, to=5)


@pytest.mark.parametrize("steps", [SEASON_STEPS, PLAN_STEPS])
def test_every_step_leads_here(steps: dict[int, object]) -> None:
    """From the oldest format that can be carried on, none is left out."""
    assert sorted(steps) == list(range(FORMAT - len(steps), FORMAT))
