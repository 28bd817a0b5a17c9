"""The README's count of recalled figures against the table."""

import re
from pathlib import Path

from propsched.service.crops import bases

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
STATED = re.compile(r"([\d,]+) of (?:its |the crop table's )?([\d,]+) figures")
SHARE = re.compile(r"(\d+) % of the crop table's figures are recalled")


def _once() -> tuple[int, int]:
    (row,) = (row for row in bases().rows if row.method == "each once")
    return row.memory, row.figures


def test_the_readme_states_how_many_figures_are_recalled() -> None:
    stated = [
        tuple(int(number.replace(",", "")) for number in found.groups())
        for found in STATED.finditer(README)
    ]
    assert stated == [_once()]


def test_the_readme_states_what_share_of_the_figures_is_recalled() -> None:
    memory, figures = _once()
    assert [int(n) for n in SHARE.findall(README)] == [round(100 * memory / figures)]


def test_rows_that_share_every_figure_are_few() -> None:
    """Twelve did before each was given what tells it apart."""
    assert bases().alike == ()
