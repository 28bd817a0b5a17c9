"""Ten answers of growers (common practice) on the walled garden, with tolerances."""

import pytest
from benchmarks.growers_answers import ASKED, garden

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("ask", ASKED, ids=lambda ask: ask.__name__)
def test_the_tool_answers_as_growers_do(ask) -> None:
    answer = ask()
    assert answer.right, answer.tool


def test_all_ten_are_asked_over_twenty_winters_or_more() -> None:
    assert len(ASKED) == 10
    assert garden().ground.climate.shape[1] >= 20
