"""The crop table in the terminal and for other programs."""

import csv
import json
from io import StringIO

import pytest
from rich.console import Console

from propsched.report.crops import (
    bases_csv,
    bases_json,
    bases_report,
    crops_csv,
    crops_json,
    crops_report,
)
from propsched.report.dots import curve_plot
from propsched.service.crops import bases, crops


def printed(renderable: object) -> str:
    console = Console(file=StringIO(), width=80)
    console.print(renderable)
    assert isinstance(console.file, StringIO)
    return console.file.getvalue()


def test_a_curve_is_drawn_to_scale() -> None:
    """A straight rise from 0 at 0 to 10 at 10 °C."""
    lines = curve_plot([0.0, 10.0], [0.0, 10.0], width=8 + 11)
    assert lines == [
        "   10 │           ●",
        *(f"    {n} │ {' ' * n}●" for n in range(9, 0, -1)),
        "    0 ┼ ●──────────",
        "        0    5    10",
    ]


def test_a_shown_crop_has_stages_sources_and_both_plots() -> None:
    text = printed(crops_report(crops(["tomato"]), width=80))
    for words in ("start: development, % a day", "start: final fraction, %", "Sources",
                  "[harrington-minges-1954]", "recalled, no source"):  # fmt: skip
        assert words in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_csv_has_the_figures_of_one_and_the_rows_of_many() -> None:
    one = list(csv.DictReader(StringIO(crops_csv(crops(["tomato"])))))
    assert {"stage", "figure", "value", "basis", "source"} <= set(one[0])
    many = list(csv.DictReader(StringIO(crops_csv(crops(["bean"])))))
    assert {"crop", "method", "figures", "memory"} <= set(many[0])


def test_json_is_whole() -> None:
    found = json.loads(crops_json(crops(["tomato"])))
    assert found["rows"][0]["stages"] == ["start", "seedling", "prick-out", "harden"]
    points = found["shown"]["curves"][0]["points"]
    assert {p["temp_c"] for p in points} >= {0.0, 20.5}
    assert json.loads(crops_json(crops(["bean"])))["shown"] is None


@pytest.mark.parametrize("word", ["all", "each once", "recalled", "share every figure"])
def test_bases_are_told(word: str) -> None:
    assert word in printed(bases_report(bases(), width=80))


def test_bases_for_programs() -> None:
    answer = bases()
    rows = list(csv.DictReader(StringIO(bases_csv(answer))))
    assert [row["method"] for row in rows][-2:] == ["all", "each once"]
    found = json.loads(bases_json(answer))
    assert found["rows"][-1]["memory"] == int(rows[-1]["memory"])
    assert all(len(names) > 1 for names in found["alike"])
