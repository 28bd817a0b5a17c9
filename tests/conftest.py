"""Tests of one file that share something costly run in one process."""

from pathlib import Path

import pytest

TOGETHER = frozenset(
    {
        "biology/test_hotbed_sowing.py",
        "biology/test_rank.py",
        "service/test_at_risk.py",
        "service/test_change.py",
        "service/test_explain.py",
        "service/test_growers_answers.py",
        "service/test_left_open.py",
        "service/test_promise.py",
        "service/test_replan.py",
        "service/test_suppose.py",
        "service/test_walled_garden.py",
        "test_examples.py",
        "thermal/test_stations.py",
    }
)
"""Files with a garden that is simulated or planned once and looked at many times."""
HERE = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)  # before xdist reads the groups
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        name = item.path.relative_to(HERE).as_posix()
        if name in TOGETHER:
            item.add_marker(pytest.mark.xdist_group(name))
    # the long ones first, so that no core waits for the other's last one
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)
