"""The order of the tests: files with long ones first (xdist gives out whole files)."""

import pytest


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """No core is to wait in the end for the other's last long test."""
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)
